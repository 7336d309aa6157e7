"""``curedash book``: finished lots and what was learned from them."""

from curedash.cli.context import Context
from curedash.cli.parser import Parser


def run(argv: list[str], context: Context) -> int:
    """List finished lots, sum them up, or show a batch to make again."""
    chosen = parser().parse_args(argv)
    from curedash.domain.household.book import before
    from curedash.present.drying import lot_phrases, past_windows
    from curedash.services.drying.past_windows import scores
    from curedash.services.household.book import make_again, read_book

    conn = context.open()
    if chosen.again is not None:
        found = make_again(conn, chosen.again)
        _print(
            context, chosen.json, lot_phrases.again_document(found), lot_phrases.again_lines(found)
        )
        return 0
    rows = read_book(
        conn,
        order=chosen.order,
        text=" ".join(chosen.text),
        style=chosen.style,
        species=chosen.species,
        cut=chosen.cut,
        place=chosen.place,
        least_liked=chosen.liked,
    )
    if chosen.sum:
        summed = before(rows)
        _, told = scores(conn, {row.id for row in rows})
        document = lot_phrases.before_document(summed) | {
            "windows": past_windows.score_documents(told)
        }
        lines = [f"windows of {line}" for line in past_windows.score_lines(told)]
        _print(context, chosen.json, document, lot_phrases.before_lines(summed) + lines)
        return 0
    _print(
        context,
        chosen.json,
        [lot_phrases.book_document(row) for row in rows],
        [lot_phrases.book_line(row) for row in rows] or ["no finished lots yet"],
    )
    return 0


def _print(context: Context, as_json: bool, document: object, lines: list[str]) -> None:
    if as_json:
        context.json(document)
    else:
        for line in lines:
            context.out(line)


def parser() -> Parser:
    """The words it takes."""
    parser = Parser(
        "book",
        "Finished lots: loss, days, yield, cost, liking, notes.",
        "curedash book --style bresaola --sum",
    )
    parser.add_argument("text", nargs="*", help="words to search for")
    parser.add_argument(
        "--order", default="date", help="date, liked, loss, days, yield, cost or name"
    )
    for name in ("style", "species", "cut", "place"):
        parser.add_argument(f"--{name}", help=f"only this {name}")
    parser.add_argument("--liked", type=int, help="only lots liked at least this much, 1 to 5")
    parser.add_argument(
        "--sum", action="store_true", help="medians and spread, and how well the pull windows did"
    )
    parser.add_argument("--again", metavar="BATCH", help="a batch to make again, with its notes")
    parser.add_argument("--json", action="store_true", help="JSON on stdout")
    return parser
