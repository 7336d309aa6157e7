"""A plain sheet of weigh-ins (date, lot, weight) read line by line; all of it is kept or nothing.

Every line goes through the same reading and the same doubts as a typed weigh-in, in the order of
time, so that a line is judged by the ones before it.
"""

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime, timedelta, tzinfo
from sqlite3 import Connection

from curedash.domain.errors import CuredashError, Refused
from curedash.domain.records import ENDED, LotState
from curedash.domain.times import moment, utc_text
from curedash.domain.typed.csv_sheet import SheetProblem, SheetRow, sheet_rows
from curedash.domain.typed.dates import parse_when
from curedash.domain.weighing.doubts import asked_of
from curedash.services.drying import forecasts
from curedash.services.find import require_lot
from curedash.services.household import household
from curedash.services.weighing.weigh import Preview, preview_at
from curedash.store import rack, weigh_ins
from curedash.store.work import By, NotKept, Work, at_once, change

#: what a heading may be called; every sheet names date, lot and weight
HEADINGS = {
    "date": "date",
    "day": "date",
    "when": "date",
    "time": "time",
    "lot": "lot",
    "code": "lot",
    "weight": "weight",
    "grams": "weight",
    "g": "weight",
    "weight g": "weight",
    "gross": "weight",
    "weight (g)": "weight",
    "scale": "weight",
    "note": "note",
    "notes": "note",
    "net": "net",
}
YES = ("yes", "y", "true", "1", "x", "net")


@dataclass(frozen=True, slots=True)
class SheetLine:
    """One line as it was read."""

    number: int  # of the line in the file, the heading is line 1
    lot: LotState
    at: datetime
    seen: Preview
    note: str | None


@dataclass(frozen=True, slots=True)
class Sheet:
    """What a sheet would change, or has changed."""

    lines: tuple[SheetLine, ...]
    known: tuple[int, ...]  # lines that are in the file already
    problems: tuple[SheetProblem, ...]
    kept: bool


@at_once
def import_sheet(
    conn: Connection,
    by: By,
    text: str,
    now: datetime,
    *,
    keep: bool = True,
    keep_doubtful: bool = False,
) -> Sheet:
    """Read a sheet and keep all of it, or none of it.

    Parameters
    ----------
    text : the sheet; comma, semicolon or tab between the cells, the first line the headings
    keep : False only looks
    keep_doubtful : keep lines that raise a question, flagged

    Returns
    -------
    what was read; ``kept`` is False if a line stood in the way

    Raises
    ------
    Refused: it has no headings for date, lot and weight, or too many lines
    """
    typed = list(sheet_rows(text, HEADINGS, ("date", "lot", "weight")))
    zone = household.zone(conn)
    lines: list[SheetLine] = []
    problems: list[SheetProblem] = []
    known: list[int] = []
    stored = False
    subject = f"{len(typed)} lines"
    with suppress(NotKept), change(conn, by, "import weigh-ins", subject=subject) as work:
        for line in _in_order(conn, typed, now, zone, problems):
            _take(conn, work, line, now, zone, lines, known, problems)
        faults = any(not problem.doubt for problem in problems)
        if not keep or faults or (problems and not keep_doubtful):
            raise NotKept
        stored = True
    if stored:
        for lot_id in dict.fromkeys(line.lot.id for line in lines):
            after = rack.one_lot(conn, lot_id)
            if after is not None:
                forecasts.refresh(conn, after, now)
    problems.sort(key=lambda problem: problem.number)
    lines.sort(key=lambda line: line.number)
    return Sheet(tuple(lines), tuple(sorted(known)), tuple(problems), stored)


# ── judging the lines ─────────────────────────────────────────────────────────────────────


@dataclass(frozen=True, slots=True)
class _Dated:
    number: int
    lot_id: int
    at: datetime
    cells: dict[str, str]


def _in_order(
    conn: Connection,
    typed: Sequence[SheetRow],
    now: datetime,
    zone: tzinfo,
    problems: list[SheetProblem],
) -> list[_Dated]:
    """The lines that name a lot and a moment, in the order of time."""
    found = []
    for line in typed:
        try:
            if line.odd is not None:
                raise Refused(line.odd)
            lot = require_lot(conn, _wanted(line.cells, "lot"))
            day = " ".join((_wanted(line.cells, "date"), line.cells.get("time", ""))).strip()
            found.append(_Dated(line.number, lot.id, _when(day, lot, now, zone), line.cells))
        except CuredashError as trouble:
            problems.append(SheetProblem(line.number, str(trouble)))
    return sorted(found, key=lambda line: (line.at, line.number))


def _wanted(cells: dict[str, str], head: str) -> str:
    if not cells.get(head):
        raise Refused(f"the {head} is missing")
    return cells[head]


def _when(text: str, lot: LotState, now: datetime, zone: tzinfo) -> datetime:
    at = parse_when(text, now, zone)
    if at > now + timedelta(days=1):
        raise Refused(f"{text} is in the future")
    began = lot.hang_at or lot.salted_at or lot.created_at
    if at.astimezone(zone).date() < moment(began).astimezone(zone).date():
        raise Refused(f"{text} is before {lot.code} began ({began[:10]})")
    if lot.stage in ENDED:
        raise Refused(f"{lot.code} is {lot.stage}; it takes no more weigh-ins")
    return max(at, moment(began))


def _take(
    conn: Connection,
    work: Work,
    line: _Dated,
    now: datetime,
    zone: tzinfo,
    lines: list[SheetLine],
    known: list[int],
    problems: list[SheetProblem],
) -> None:
    """Write one line inside the running change, so that the next one is judged by it."""
    lot = rack.one_lot(conn, line.lot_id)
    assert lot is not None  # found just now
    try:
        weight, net = _wanted(line.cells, "weight"), line.cells.get("net", "").casefold() in YES
        seen = preview_at(conn, lot, weight, now, zone, line.at, net=net)
        if _there_already(conn, lot, line.at, seen):
            known.append(line.number)
            return
        note = line.cells.get("note") or None
        _keep(work, seen, note)
    except CuredashError as trouble:
        problems.append(SheetProblem(line.number, str(trouble)))
        return
    lines.append(SheetLine(line.number, lot, line.at, seen, note))
    if seen.doubts:
        words = asked_of(lot.code, seen.doubts)
        problems.append(SheetProblem(line.number, words, doubt=True))


def _there_already(conn: Connection, lot: LotState, at: datetime, seen: Preview) -> bool:
    same = weigh_ins.at_moment(conn, lot.id, utc_text(at))
    if any(abs(w.gross_g - seen.gross_g) < 0.05 for w in same):
        return True
    if any(w.kind == "stage" for w in same):
        raise Refused(
            f"{lot.code} has another weight at that moment; give one of them another time"
        )
    return False


def _keep(work: Work, seen: Preview, note: str | None) -> None:
    lot = seen.of
    assert lot is not None  # made by preview_at just now
    odd = seen.doubts[0].kind if seen.doubts else None
    tared = {"tare_g": seen.tare_g, "own_tare": seen.own_tare}
    at = utc_text(seen.at)
    weigh_ins.add(work, weigh_ins.weighed(lot, at, seen.gross_g, flagged=odd, note=note, **tared))
