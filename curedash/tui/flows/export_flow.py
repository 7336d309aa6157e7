"""Papers and files written from any page: asked at the foot, written beside the screen.

The name asked for has a good one in it already, in the person's own folder; Enter takes it. What
is written is said with its whole path.
"""

import os
from collections.abc import Callable, Sequence

from curedash.domain.curing.stages import CLOSED, DISCARDED
from curedash.domain.errors import Refused
from curedash.domain.records import LotState
from curedash.papers.files import full_path, suggested, write_file
from curedash.present.display_units import paper
from curedash.present.words import count, plain
from curedash.services.find import lots_named
from curedash.store.watching import Connection
from curedash.tui.chassis.page import Page
from curedash.tui.prompts.questions import Choice, Save, Steps, Text, if_any

Write = Callable[[Connection, str], None]
PAPER_HELP = "name a file (.pdf .html .md .txt, else {usual}) or a folder"
TAG_HELP = "name a file (.pdf to print, .txt, else {usual}) or a folder"
MOST_SIZES = 9
NOTHING = "nothing was written"
ENDED = (CLOSED, DISCARDED)


def to_file(
    page: Page, what: str, usual: str, write: Write, help: str = PAPER_HELP, *, ended: bool = True
) -> Steps:
    """Ask where to; a file that is there already is asked about; then write it.

    ``ended``: a name without an ending takes that of the usual one.
    """
    ending = os.path.splitext(usual)[1]
    help = help.format(usual=ending)

    def read(text: str) -> str:
        return full_path(text, usual, ending if ended else "")

    def echo(path: str) -> str:
        return help if path == read(usual) else f"writes {path}"

    path = yield Text(f"{what} to", read, help, echo, text=usual)
    if os.path.lexists(path):
        yield Choice(f"{path} is there already", ((True, "replace it"),))

    def job(conn: Connection) -> str:
        write(conn, path)
        return str(path)

    page.if_slow(f"making the {'PDF' if str(path).endswith('.pdf') else 'file'} …")
    written = yield Save(lambda _: lambda conn, _by: job(conn))
    page.show_message(f"Written to {plain(written)}", "good")


def named(lots: Sequence[LotState]) -> str:
    """``C2``; of several ``C`` for a batch, else how many.

    Example
    -------
    >>> from types import SimpleNamespace as Made
    >>> c1, c2, d1 = (Made(code=code, batch=code[0]) for code in ("C1", "C2", "D1"))
    >>> named([c2]), named([c1, c2]), named([c1, d1])
    ('C2', 'C', '2-lots')
    """
    if len(lots) == 1:
        return lots[0].code
    batches = {lot.batch for lot in lots}
    return batches.pop() if len(batches) == 1 else f"{len(lots)}-lots"


def which_lots(page: Page, here: LotState, shown: Sequence[LotState], what: str) -> Steps:
    """This lot, its batch, or all the rows in sight: whatever of these differs."""
    found = page.house.read(lots_named, [here.batch])
    batch = [lot for lot in found if (lot.stage in ENDED) == (here.stage in ENDED)]
    options: list[tuple[tuple[LotState, ...], str]] = [((here,), here.code)]
    if len(batch) > 1:
        options.append((tuple(batch), f"batch {here.batch} ({count(len(batch), 'lot')})"))
    if len(shown) > 1 and {lot.id for lot in shown} != {lot.id for lot in batch}:
        options.append((tuple(shown), f"all shown ({len(shown)})"))
    if len(options) == 1:
        return (here,)
    return (yield Choice(f"{what} of which lots?", tuple(options), usual=0))


def tags(page: Page, here: LotState, shown: Sequence[LotState] = ()) -> Steps:
    """Tags for a printer: which lots, which paper, which file."""
    from curedash.papers.sheet_sizes import SIZES

    lots = yield from which_lots(page, here, shown, "Tags")
    usual = suggested(f"tags-{named(lots)}")
    size = paper()
    if usual.endswith(".pdf"):
        sizes = tuple((size.id, size.id) for size in SIZES[:MOST_SIZES])
        at = next(n for n, (size_id, _) in enumerate(sizes) if size_id == paper())
        size = yield Choice("paper", sizes, usual=at)

    def write(conn: Connection, path: str) -> None:
        from curedash.papers.paper_files import write_tags
        from curedash.papers.tags import tags_for

        now = page.house.now()
        made = tags_for(conn, lots, now)
        write_tags(path, made, now, size=size, never=page.house.db_path)

    yield from to_file(page, "tags", usual, write, TAG_HELP)


def record(page: Page, here: LotState, shown: Sequence[LotState] = ()) -> Steps:
    """The whole record of a lot or more."""
    lots = yield from which_lots(page, here, shown, "The record")

    def write(conn: Connection, path: str) -> None:
        from curedash.papers.paper_files import write_paper
        from curedash.papers.record import record_of

        now = page.house.now()
        write_paper(path, record_of(conn, lots, now), now, never=page.house.db_path)

    yield from to_file(page, "record", suggested(f"record-{named(lots)}"), write)


def calendar(page: Page) -> Steps:
    """The days to come for a phone; taken in again it doubles nothing."""

    def write(conn: Connection, path: str) -> None:
        from curedash.papers.calendar import calendar_file

        if not path.endswith(".ics"):
            raise Refused("End the name in .ics, so that a phone can open it.")
        write_file(path, calendar_file(conn, page.house.now()), never=page.house.db_path)

    yield from to_file(
        page, "calendar", suggested("curing", "ics"), write, "name an .ics file or a folder"
    )


def export(page: Page) -> Steps:
    """Everything, lossless: one JSON document, or a new folder of tables."""
    today = page.house.today().isoformat()

    def write(conn: Connection, path: str) -> None:
        from curedash.papers.whole_files import write_json, write_tables

        if path.endswith(".json"):
            write_json(conn, path, _nobody, never=page.house.db_path)
        elif "." in os.path.basename(path):
            raise Refused("End the name in .json, or give a folder without an ending.")
        else:
            write_tables(conn, path, _nobody)

    yield from to_file(
        page,
        "everything",
        suggested(f"curedash-{today}", "json"),
        write,
        "name a .json file, or a new folder for CSV tables",
        ended=False,
    )


def _nobody(_rows: int) -> None:
    """No one looks at a count of rows here."""


def back_up(page: Page) -> Steps:
    """A consistent copy of the whole file, now."""
    from curedash.services.file import backup

    def target(text: str) -> str | None:
        return os.path.abspath(os.path.expanduser(text)) if text.strip() else None

    path = yield Text(
        "copy the file to",
        target,
        "Enter: beside the file; or name a folder or a new file",
        if_any(lambda path: f"a folder there, or the new file {path}"),
    )
    at = page.house.now()
    made = yield Save(
        lambda _: lambda conn, _by: backup.back_up(conn, page.house.db_path, path, at)
    )
    page.show_message(f"Copied to {plain(made)}", "good")
