"""Pieces under way from a sheet, one line a piece; all of it is taken in, or nothing.

Lines of one batch name are one batch. Without that column, pieces of one style that came to their
stage on the same day are one.
"""

from collections.abc import Iterable, Sequence
from contextlib import suppress
from datetime import date, datetime, tzinfo
from sqlite3 import Connection

from curedash.domain.curing.stages import parse_stage
from curedash.domain.errors import CuredashError, Refused
from curedash.domain.household.styles import Style
from curedash.domain.record import record, replace
from curedash.domain.records import LotState
from curedash.domain.times import local_day, utc_text
from curedash.domain.typed.csv_sheet import SheetProblem, SheetRow, headings_of, sheet_rows
from curedash.domain.typed.dates import parse_day, parse_when
from curedash.domain.typed.units import parse_length_mm
from curedash.domain.typed.weights import parse_weight_g
from curedash.services.dosing.add_batch import SourceSpec, short_name
from curedash.services.dosing.dosing_means import DosingDefaults, dosing_defaults, find_style
from curedash.services.dosing.sheet_roasts import ROAST_COLUMNS, differs, filled, read_roast
from curedash.services.dosing.take_in import (
    PieceUnderWay,
    UnderWay,
    Whereabouts,
    add_under_way,
    require_possible,
    taken_in,
)
from curedash.services.drying import forecasts
from curedash.services.household import household
from curedash.store import lots, rack, weigh_ins
from curedash.store.work import By, NotKept, at_once, change

NEEDED = ("style", "stage", "since")
#: what a heading may be called, and the column it names
COLUMNS = {
    "name": "name",
    "piece": "name",
    "batch": "batch",
    "style": "style",
    "stage": "stage",
    "since": "since",
    "salted": "salted",
    "salted on": "salted",
    "green": "green",
    "green weight": "green",
    "weight": "weight",
    "weight now": "weight",
    "tare": "tare",
    "thickness": "thickness",
    "bag": "bag",
    "place": "place",
    "planned": "planned",
    "planned day": "planned",
    "sticker": "planned",
    "roast": "roast",
    "source": "roast",
    **ROAST_COLUMNS,
}
YES = ("yes", "y", "true", "1", "x", "bag")
NO = ("", "no", "n", "false", "0", "-")


@record
class SheetPiece:
    """One line as it was read, and the lot it became."""

    number: int  # of the line in the file, the heading is line 1
    batch: str
    style: Style
    new_style: bool
    piece: PieceUnderWay
    own: Whereabouts
    roast: SourceSpec | None = None  # what its line says of the roast
    lot: LotState | None = None


@record
class PieceSheet:
    """What a sheet would take in, or has taken in."""

    pieces: tuple[SheetPiece, ...]
    problems: tuple[SheetProblem, ...]
    stored: bool
    messages: tuple[str, ...] = ()
    new_places: tuple[str, ...] = ()
    again: tuple[tuple[int, str], ...] = ()  # lines that are lots already: number, code


def is_sheet_of_pieces(text: str) -> bool:
    """Tell a sheet of pieces from one of weigh-ins by its headings."""
    heads = {COLUMNS.get(name) for name in headings_of(text)}
    return {"style", "stage"} <= heads or {"style", "since"} <= heads


@at_once
def take_in_sheet(
    conn: Connection,
    by: By,
    text: str,
    now: datetime,
    *,
    keep: bool = True,
    may_be_new: bool = False,
    may_repeat: bool = False,
) -> PieceSheet:
    """Read a sheet and take in every piece of it, or none.

    Parameters
    ----------
    text : the sheet; comma, semicolon or tab between the cells, the first line the headings
    keep : False only looks
    may_be_new : whether a name that fits no style makes one
    may_repeat : whether lines that are lots already are taken in once more

    Returns
    -------
    what was read; ``stored`` is False if a line was refused, or is a lot already

    Raises
    ------
    Refused: a column is missing or has another name, or there is no line
    """
    typed = list(sheet_rows(text, COLUMNS, NEEDED, only_known=True))
    if not typed:
        raise Refused("The sheet has headings and no line below them: one line for each piece.")
    zone, means = household.zone(conn), dosing_defaults(conn)
    pieces: list[SheetPiece] = []
    problems: list[SheetProblem] = []
    for row in typed:
        try:
            found = _read(row, now, zone, means, may_be_new)
            require_possible(_spec((found,), now))
            pieces.append(found)
        except CuredashError as trouble:
            problems.append(SheetProblem(row.number, str(trouble)))
    problems += two_answers(pieces)
    if problems:
        return PieceSheet(tuple(pieces), tuple(problems), stored=False)
    again = () if may_repeat else taken_in_before(conn, pieces, zone)
    if again:
        return PieceSheet(tuple(pieces), (), stored=False, again=again)
    return _take_in(conn, by, pieces, now, zone, keep=keep)


def _take_in(
    conn: Connection, by: By, pieces: list[SheetPiece], now: datetime, zone: tzinfo, *, keep: bool
) -> PieceSheet:
    """Take in what was read, in one change; only looking, everything is rolled back at its end."""
    done: list[SheetPiece] = []
    messages: list[str] = []
    made: list[str] = []
    stored = False
    subject = f"{len(pieces)} pieces"
    with suppress(NotKept), change(conn, by, "take in", subject=subject) as work:
        for group in _batches(pieces, zone):
            spec = _spec(group, now)
            batch_id, new_places = add_under_way(work, spec)
            taken = taken_in(conn, spec, batch_id, new_places)
            made += new_places
            messages += taken.messages
            done += [replace(p, lot=lot) for p, lot in zip(group, taken.lots, strict=True)]
        if not keep:
            raise NotKept
        stored = True
    if stored:
        for each in done:
            assert each.lot is not None  # taken in just now
            forecasts.refresh(conn, each.lot, now)
    done.sort(key=lambda each: each.number)
    return PieceSheet(tuple(done), (), stored, tuple(dict.fromkeys(messages)), tuple(made))


def _batches(pieces: Iterable[SheetPiece], zone: tzinfo) -> list[tuple[SheetPiece, ...]]:
    """The pieces that were salted together, in the order of the sheet."""
    groups: dict[tuple[object, ...], list[SheetPiece]] = {}
    for each in pieces:
        if each.batch:
            key: tuple[object, ...] = (each.batch.casefold(), each.style.id)
        else:
            own = each.own
            day = local_day(utc_text(own.salted_at or own.since), zone)
            key = ("", each.style.id, own.stage, day)
        groups.setdefault(key, []).append(each)
    return [tuple(group) for group in groups.values()]


def _spec(group: tuple[SheetPiece, ...], now: datetime) -> UnderWay:
    first = group[0]
    return UnderWay(
        name=first.batch or first.style.name,
        style=first.style,
        new_style=first.new_style,
        pieces=tuple(replace(each.piece, own=each.own) for each in group),
        sources=roasts_of(group),
        stage=first.own.stage,
        since=first.own.since,
        at=now,
    )


# ── the roasts, and lots that are there already ───────────────────────────────────────────


def roasts_of(group: Iterable[SheetPiece]) -> tuple[SourceSpec, ...]:
    """Each roast of a batch once, with all that its lines say of it."""
    found: dict[str, SourceSpec] = {}
    for each in group:
        if each.roast is not None:
            known = found.get(each.roast.name)
            found[each.roast.name] = each.roast if known is None else filled(known, each.roast)
    return tuple(found.values())


def two_answers(pieces: Sequence[SheetPiece]) -> list[SheetProblem]:
    """Lines that say otherwise of a roast than a line above."""
    problems: list[SheetProblem] = []
    known: dict[tuple[str, str], SourceSpec] = {}
    for each in pieces:
        if each.roast is None:
            continue
        key = (each.batch.casefold() or each.style.id, each.roast.name)
        before = known.get(key, each.roast)
        if (said := differs(before, each.roast)) is not None:
            problems.append(SheetProblem(each.number, said))
        known[key] = filled(before, each.roast)
    return problems


def taken_in_before(
    conn: Connection, pieces: Sequence[SheetPiece], zone: tzinfo
) -> tuple[tuple[int, str], ...]:
    """The lines that are lots already: of one name, style, stage, day and weight."""
    there = [(lot, lots.stages(conn, lot.id)) for lot in rack.all_lots(conn)]
    found = []
    for each in pieces:
        day = local_day(utc_text(each.own.since), zone)
        for lot, entries in there:
            stayed = any(
                entry.stage == each.own.stage and local_day(entry.at, zone) == day
                for entry in entries
            )
            alike = (lot.style, lot.piece) == (each.style.id, each.piece.name)
            if stayed and alike and _weighs(conn, lot, each.piece):
                found.append((each.number, lot.code))
                there.remove((lot, entries))
                break
    return tuple(found)


def _weighs(conn: Connection, lot: LotState, piece: PieceUnderWay) -> bool:
    """Whether a lot was weighed as a line says, where it says a weight."""
    if piece.green_g is not None and piece.green_g != lot.green_g:
        return False
    shown = [row.gross_g for row in weigh_ins.of_lot(conn, lot.id)]
    return piece.weight_g is None or piece.weight_g in shown


# ── reading one line ──────────────────────────────────────────────────────────────────────


def _read(
    row: SheetRow, now: datetime, zone: tzinfo, means: DosingDefaults, may_be_new: bool
) -> SheetPiece:
    if row.odd is not None:
        raise Refused(f"{row.odd[:1].upper()}{row.odd[1:]}; leave unknown cells empty.")
    cells = row.cells
    for head in NEEDED:
        if not cells[head]:
            raise Refused(f"The {head} is missing; {_HOW[head]}.")
    style, new = find_style(cells["style"], means, may_be_new=may_be_new)
    own = Whereabouts(
        stage=parse_stage(cells["stage"]),
        since=parse_when(cells["since"], now, zone),
        salted_at=parse_when(cells["salted"], now, zone) if cells.get("salted") else None,
        place=short_name(cells.get("place", "")) or None,
        in_bag=_yes(cells.get("bag", "")),
        planned_on=_day(cells.get("planned", ""), now, zone),
    )
    piece = PieceUnderWay(
        name=short_name(cells.get("name", "")),
        green_g=_grams(cells.get("green", "")),
        thickness_mm=parse_length_mm(cells["thickness"]) if cells.get("thickness") else None,
        weight_g=_grams(cells.get("weight", "")),
        tare_g=_grams(cells.get("tare", "")) or 0.0,
    )
    batch = short_name(cells.get("batch", ""))
    roast = read_roast(cells, batch or style.name, now, zone)
    piece = replace(piece, source=None if roast is None else roast.name)
    return SheetPiece(row.number, batch, style, new, piece, own, roast)


#: what a cell that is needed looks like
_HOW = {
    "style": "e.g. bresaola",
    "stage": "e.g. in cure or drying",
    "since": "the day is enough, e.g. 21 Nov",
}


def _grams(text: str) -> float | None:
    if not text or text.split() in (["0"], ["0g"], ["0", "g"]):
        return None
    return parse_weight_g(text, marks_are_decimal=True)


def _day(text: str, now: datetime, zone: tzinfo) -> date | None:
    return parse_day(text, now, zone) if text else None


def _yes(text: str) -> bool:
    typed = text.casefold()
    if typed not in (*YES, *NO):
        raise Refused(f"“{text[:20]}” in the column bag: type yes or no.")
    return typed in YES
