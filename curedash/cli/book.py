"""``curedash book``: finished lots and what was learned from them."""

from curedash.cli.command import Chosen, Command, Word, switch
from curedash.cli.context import Context

_ALIKE = ("style", "species", "cut", "place")


def run(chosen: Chosen, context: Context) -> None:
    """List finished lots, sum them up, or show a batch to make again."""
    from curedash.domain.household.book import before
    from curedash.present.drying import lot_phrases, past_windows
    from curedash.services.drying.past_windows import scores
    from curedash.services.household.book import make_again, read_book

    conn = context.open()
    if chosen.again is not None:
        found = make_again(conn, chosen.again)
        document = lot_phrases.again_document(found)
        context.answer(chosen.json, document, lot_phrases.again_lines(found))
        return
    alike = {name: getattr(chosen, name) for name in _ALIKE} | {"least_liked": chosen.liked}
    rows = read_book(conn, order=chosen.order, text=" ".join(chosen.text), **alike)
    if chosen.sum:
        summed = before(rows)
        _, told = scores(conn, {row.id for row in rows})
        windows = {"windows": past_windows.score_documents(told)}
        lines = [f"windows of {line}" for line in past_windows.score_lines(told)]
        document = lot_phrases.before_document(summed) | windows
        context.answer(chosen.json, document, lot_phrases.before_lines(summed) + lines)
        return
    lines = [lot_phrases.book_line(row) for row in rows] or ["no finished lots yet"]
    context.answer(chosen.json, [lot_phrases.book_document(row) for row in rows], lines)


COMMAND = Command(
    "book",
    "Finished lots: loss, days, yield, cost, liking, notes.",
    "curedash book --style bresaola --sum",
    Word("text", "words to search for", nargs="*"),
    Word("--order", "sort by date, liked, loss, days, yield, cost or name", default="date"),
    *(Word(f"--{name}", f"only this {name}") for name in _ALIKE),
    Word("--liked", "only lots liked at least this much, 1 to 5", type=int),
    switch("--sum", "medians and spread, and how well the pull windows did"),
    Word("--again BATCH", "show a batch to make it again, with its notes"),
    switch("--json", "JSON on stdout"),
    run=run,
)
