"""Rows of lots, their stages, re-bases, dose lines, events and finishing."""

from __future__ import annotations

from collections.abc import Sequence
from sqlite3 import Connection

from curedash.domain.fast_json import dumps
from curedash.domain.records import DoseLine, Event, StageEntry
from curedash.store.rows import many, one, value
from curedash.store.work import Work

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import Any


def add(work: Work, **values: Any) -> int:
    """A new lot; its id."""
    return work.insert("lot", **values)


def update(work: Work, lot_id: int, **values: Any) -> None:
    """Change columns of one lot."""
    work.update("lot", lot_id, **values)


def add_stage(
    work: Work, lot_id: int, stage: str, at: str, place_id: int | None, note: str | None
) -> int:
    """Record that the lot entered a stage."""
    return work.insert(
        "stage_entry", lot_id=lot_id, stage=stage, at=at, place_id=place_id, note=note
    )


def stages(conn: Connection, lot_id: int, *, voided: bool = False) -> list[StageEntry]:
    """The stages of one lot in order."""
    standing = "stage_entry WHERE lot_id = ? AND (voided_at IS NULL OR ?) ORDER BY at, id"
    return many(conn, StageEntry, standing, (lot_id, voided))


def hung_last_in(
    conn: Connection, stage: str, *, lot_id: int | None = None, style: str | None = None
) -> int | None:
    """The place a lot was in last to dry, or to ferment: this one, one of a style, or any."""
    found: int | None = value(
        conn,
        "SELECT s.place_id FROM stage_entry s JOIN lot ON lot.id = s.lot_id"
        " WHERE s.stage = ? AND s.place_id IS NOT NULL"
        " AND s.voided_at IS NULL AND lot.voided_at IS NULL"
        " AND (? IS NULL OR lot.id = ?) AND (? IS NULL OR lot.style = ?)"
        " ORDER BY s.at DESC, s.id DESC LIMIT 1",
        (stage, lot_id, lot_id, style, style),
    )
    return found


_NOT_DIVIDED = (
    "lot.id NOT IN (SELECT part.parent_id FROM lot part"
    " WHERE part.parent_id IS NOT NULL AND part.voided_at IS NULL)"
)
_SOFTENED = (
    "EXISTS (SELECT 1 FROM stage_entry past WHERE past.lot_id = lot.id"
    " AND past.stage IN ('equalising', 'keeping') AND past.voided_at IS NULL)"
)
_ENDED_DRYING = f"({_SOFTENED} OR EXISTS (SELECT 1 FROM finish WHERE finish.lot_id = lot.id))"
_HUNG_WEIGHT = (
    "EXISTS (SELECT 1 FROM weigh_in w WHERE w.lot_id = {lot}.id AND w.curve = 1"
    " AND w.stage IN ('drying', 'ferment') AND w.kind <> 'inherited' AND w.voided_at IS NULL)"
)
_OWN_CURVE = (
    f"(lot.parent_id IS NULL OR {_HUNG_WEIGHT.format(lot='lot')} OR ({_SOFTENED}"
    " AND lot.id = (SELECT min(part.id) FROM lot part WHERE part.batch_id = lot.batch_id"
    " AND part.parent_id = lot.parent_id AND part.voided_at IS NULL"
    f" AND NOT {_HUNG_WEIGHT.format(lot='part')})))"
)


def dried_in(conn: Connection, place_id: int | None, now_in: Sequence[str], most: int) -> list[int]:
    """Lots that last hung in this place and dried to their end there, newest first.

    A lot that was divided only went on as its parts. A part with no weigh-in of its own while it
    hung has the curve of the whole: it counts where the whole was past drying when it was cut, and
    then one part for all. A closed lot counts where its end was written down.
    """
    marks = ", ".join("?" * len(now_in))
    rows = conn.execute(
        f"SELECT lot.id FROM lot WHERE lot.stage IN ({marks}) AND lot.hang_g IS NOT NULL"
        " AND lot.start_from IS NULL"
        f" AND lot.voided_at IS NULL AND {_NOT_DIVIDED} AND {_ENDED_DRYING} AND {_OWN_CURVE}"
        " AND (SELECT s.place_id FROM stage_entry s WHERE s.lot_id ="
        " lot.id AND s.stage IN ('drying', 'ferment') AND s.voided_at IS NULL"
        " ORDER BY s.at DESC, s.id DESC LIMIT 1) IS ? ORDER BY lot.hang_at DESC LIMIT ?",
        (*now_in, place_id, most),
    )
    return [int(row[0]) for row in rows]


def add_dose_line(
    work: Work,
    lot_id: int,
    seq: int,
    name: str,
    kind: str,
    exact_g: float,
    planned_g: float,
    weighed_g: float | None,
    ticked_at: str | None,
) -> int:
    """One ingredient on the lot's dose sheet."""
    what = {"seq": seq, "name": name, "kind": kind}
    weights = {"exact_g": exact_g, "planned_g": planned_g, "weighed_g": weighed_g}
    return work.insert("dose_line", lot_id=lot_id, ticked_at=ticked_at, **what, **weights)


def tick(work: Work, line_id: int, weighed_g: float | None, ticked_at: str | None) -> None:
    """Tick an ingredient off with what was weighed, or untick it (None, None)."""
    work.update("dose_line", line_id, weighed_g=weighed_g, ticked_at=ticked_at)


def dose_line(conn: Connection, line_id: int) -> DoseLine | None:
    """One line of a dose sheet."""
    return one(conn, DoseLine, "dose_line WHERE id = ?", (line_id,))


def dose_lines(conn: Connection, lot_id: int) -> list[DoseLine]:
    """The dose sheet of one lot."""
    return many(conn, DoseLine, "dose_line WHERE lot_id = ? ORDER BY seq", (lot_id,))


def add_event(
    work: Work,
    at: str,
    kind: str,
    text: str,
    lot_id: int | None = None,
    place_id: int | None = None,
    data: dict[str, Any] | None = None,
) -> int:
    """Something that happened, in words and data."""
    body = None if data is None else dumps(data)
    return work.insert(
        "event", lot_id=lot_id, place_id=place_id, at=at, kind=kind, text=text, data=body
    )


def events(
    conn: Connection,
    *,
    lot_id: int | None = None,
    place_id: int | None = None,
    kind: str | None = None,
) -> list[Event]:
    """Events of a lot or a place, oldest first, without voided ones."""
    asked = {"lot_id": lot_id, "place_id": place_id, "kind": kind}
    fits = "".join(f" AND (:{name} IS NULL OR {name} = :{name})" for name in asked)
    return many(conn, Event, f"event WHERE voided_at IS NULL{fits} ORDER BY at, id", asked)


def outages_since(conn: Connection, at: str) -> list[Event]:
    """Failures of every place that began since, theirs and those of the lots they touched."""
    rows = conn.execute(
        "SELECT e.id, e.lot_id, e.place_id, e.at, e.kind, e.text, e.data, e.voided_at"
        " FROM place CROSS JOIN event e ON e.place_id = place.id AND e.at >= ?"
        " WHERE e.kind = 'outage' AND e.voided_at IS NULL ORDER BY e.at, e.id",
        (at,),
    )
    return [Event(*row) for row in rows]


def last_event(conn: Connection, lot_id: int, kind: str) -> Event | None:
    """The newest event of this kind of a lot, voided ones left out."""
    of_kind = "event WHERE lot_id = ? AND kind = ? AND voided_at IS NULL"
    return one(conn, Event, f"{of_kind} ORDER BY at DESC, id DESC LIMIT 1", (lot_id, kind))


def event(conn: Connection, event_id: int) -> Event | None:
    """One event, voided or not."""
    return one(conn, Event, "event WHERE id = ?", (event_id,))


def void_event(work: Work, event_id: int) -> None:
    """Mark an event as not counting; it stays in the file and the log."""
    work.update("event", event_id, voided_at=work.by.now)
