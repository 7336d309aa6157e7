"""What was done, by whom, when and from where; and everything that happened to one lot."""

import json
from sqlite3 import Connection
from typing import Any

from curedash.domain.curing.stages import word
from curedash.domain.errors import NotFound
from curedash.domain.quantity_text import grams, phrase
from curedash.domain.record import record
from curedash.domain.records import Change, LotState, Pack, Rebase, StageEntry, WeighIn
from curedash.services.find import lot_with_id
from curedash.services.household.event_words import event_text
from curedash.services.weighing.begin_curve import ESTIMATED
from curedash.store import finishes, log, lots, rebases, weigh_ins

#: columns that say nothing to a person when they change
_SILENT = ("id", "lot_id", "created_at", "recorded_at")


@record
class HistoryLine:
    """One change as the log keeps it."""

    id: int
    at: str  # when it happened [UTC]
    recorded_at: str  # when it was written [UTC]
    actor: str
    origin: str  # screen | shell | broker | pipe
    session: str
    verb: str
    subject: str
    undoes: int | None
    undone: bool
    lot_ids: frozenset[int]
    weight_g: float | None = None  # what the scale showed, where a weigh-in was kept or taken back


@record
class Detail:
    """One value that a change set."""

    table: str
    key: int | str
    column: str
    before: Any
    after: Any


@record
class LogLine:
    """One thing that happened to a lot; ``ref`` is the row's id, for putting it right."""

    at: str
    kind: str  # weigh-in | stage | re-base | finish | pack, or the kind of an event
    words: str
    voided: bool
    ref: int
    guessed: bool = False  # a hang weight that nobody read off a scale


def history(
    conn: Connection, *, limit: int = 100, lot_id: int | None = None, before_id: int | None = None
) -> list[HistoryLine]:
    """The newest changes first, of one lot if named; ``before_id`` pages on."""
    gone = log.taken_back(conn)
    found: list[HistoryLine] = []
    for line in log.newest(conn, before_id=before_id):
        touched = _lots_of(line)
        if lot_id is None or lot_id in touched:
            found.append(_line(line, gone, touched))
        if len(found) >= limit:
            break
    return found


def details(conn: Connection, change_id: int) -> list[Detail]:
    """What one change set, value by value.

    Raises
    ------
    NotFound: no such change
    """
    line = log.one(conn, change_id)
    if line is None:
        raise NotFound(f"There is no change {change_id} in the log.")
    pairs = zip(json.loads(line.before), json.loads(line.after), strict=True)
    return [
        Detail(table, key, column, (old or {}).get(column), (new or {}).get(column))
        for (table, key, old), (_, _, new) in pairs
        for column in (new or old or {})
        if column not in _SILENT and (old or {}).get(column) != (new or {}).get(column)
    ]


def lot_log(conn: Connection, lot_id: int) -> list[LogLine]:
    """Everything that happened to a lot, oldest first, voided weigh-ins marked as such."""
    lot = lot_with_id(conn, lot_id)
    events = lots.events(conn, lot_id=lot_id)
    lines = [
        *(_weigh_in_line(row, lot) for row in weigh_ins.of_lot(conn, lot_id, voided=True)),
        *map(_stage_line, lots.stages(conn, lot_id, voided=True)),
        *map(_rebase_line, rebases.of_lot(conn, lot_id)),
        *(LogLine(e.at, e.kind, event_text(e), False, e.id) for e in events),
        *map(_pack_line, finishes.packs(conn, lot_id)),
    ]
    ended = finishes.of_lot(conn, lot_id)
    if ended is not None:
        lines.append(LogLine(ended.at, "finish", ended.note or "finished", False, lot.id))
    shown = (line for line in lines if line is not None)
    return sorted(shown, key=lambda line: line.at)


def _weigh_in_line(row: WeighIn, lot: LotState) -> LogLine | None:
    """None for a weight that came from the whole a part was cut from."""
    if row.kind == "inherited":
        return None
    if row.note == ESTIMATED or (row.kind == "hang" and lot.hang_pm_g is not None):
        about = grams(row.net_g, f"{row.net_g:.0f}")
        guess = phrase("hung with about {net} net, not weighed", net=about)
        return LogLine(row.at, "weigh-in", guess, row.voided_at is not None, row.id, True)
    words = _weighed(row.gross_g, row.tare_g, row.net_g, row.note)
    return LogLine(row.at, "weigh-in", words, row.voided_at is not None, row.id)


def _stage_line(entry: StageEntry) -> LogLine:
    words = word(entry.stage) + (f": {entry.note}" if entry.note else "")
    return LogLine(entry.at, "stage", words, entry.voided_at is not None, entry.id)


def _rebase_line(cut: Rebase) -> LogLine:
    before, after = grams(cut.before_g), grams(cut.after_g)
    words = phrase("{reason}: {before} to {after}", reason=cut.reason, before=before, after=after)
    return LogLine(cut.at, "re-base", words, False, cut.id)


def _pack_line(pack: Pack) -> LogLine:
    given = f" for {pack.given_to}" if pack.given_to else ""
    words = phrase("{weight}{given}", weight=grams(pack.weight_g), given=given)
    return LogLine(pack.at, "pack", words, False, pack.id)


def _line(line: Change, gone: set[int], touched: frozenset[int]) -> HistoryLine:
    who = (line.id, line.at_utc, line.recorded_at, line.actor, line.origin, line.session)
    undone, weight_g = line.id in gone, _weight_g(line)
    what = (line.verb, line.subject, line.undoes)
    return HistoryLine(*who, *what, undone, touched, weight_g)


def _lots_of(line: Change) -> frozenset[int]:
    touched = set()
    for table, key, image in json.loads(line.after):
        lot_id = key if table in ("lot", "finish") else (image or {}).get("lot_id")
        if lot_id is not None:
            touched.add(int(lot_id))
    return frozenset(touched)


def _weight_g(line: Change) -> float | None:
    """What the scale showed at a weigh-in, also where that is taken back; None of all else."""
    if not f"{line.verb} {line.subject}".replace("undo ", "").startswith("weigh "):
        return None
    images = (image for table, _, image in json.loads(line.after) if table == "weigh_in" and image)
    read = (image for image in images if image.get("note") != ESTIMATED)
    return next((float(image["gross_g"]) for image in read), None)


def _weighed(gross_g: float, tare_g: float, net_g: float, note: str | None) -> str:
    gross = grams(gross_g, f"{gross_g:.10g}")
    tare = phrase(" ({gross} on the scale)", gross=gross) if tare_g else ""
    said = f": {note}" if note else ""
    return phrase("{net} net{tare}{note}", net=grams(net_g), tare=tare, note=said)
