"""The Book: finished lots, what was learned from them, and starting from one again."""

import json
from collections.abc import Sequence
from datetime import datetime
from sqlite3 import Connection
from typing import Any

from curedash.domain.curing.stages import IN_CURE, RAW
from curedash.domain.errors import NotFound
from curedash.domain.household.book import Before, FinishedLot, before, filtered, ordered
from curedash.domain.record import record
from curedash.domain.records import Batch, LotState
from curedash.domain.wording import no_such
from curedash.services.drying.lot_curve import curve_of, while_drying
from curedash.store import batches, finishes, lots, places, rack

GOOD = 4  # liked at least so much counts as liked


@record
class Again:
    """An earlier batch to start a new one from, with its notes in view."""

    batch: Batch
    recipe: dict[str, Any]  # the request its doses were computed from
    lots: tuple[LotState, ...]
    finished: tuple[FinishedLot, ...]
    notes: tuple[str, ...]
    cured_in: str | None = None  # the place it lay in while in cure; where it dried is another


@record
class Liked:
    """What a new batch starts from: the best liked lot of its style."""

    recipe: dict[str, Any]
    target_lo_pct: float | None  # the loss it was liked at
    place: str | None


def read_book(
    conn: Connection, *, order: str = "date", text: str = "", **alike: Any
) -> list[FinishedLot]:
    """Finished lots in order; ``alike`` as ``filtered`` of ``domain/household/book`` takes it.

    Raises
    ------
    Refused: an order there is not
    """
    return ordered(filtered(finishes.finished_lots(conn), text=text, **alike), order)


def what_before(
    conn: Connection,
    *,
    style: str | None = None,
    species: str | None = None,
    cut: str | None = None,
    place: str | None = None,
) -> Before:
    """What this style, cut and place did before: median days, rate, loss and their spread."""
    return before(read_book(conn, style=style, species=species, cut=cut, place=place))


def laid_over(
    conn: Connection, lot_ids: list[int], now: datetime
) -> dict[str, tuple[tuple[float, float], ...]]:
    """Curves of several lots by code while they dried: days since hanging, loss from hang [%]."""
    curves = (curve_of(conn, lot_id, now) for lot_id in lot_ids)
    return {
        curve.lot.code: tuple((point.day, point.loss_pct) for point in while_drying(curve))
        for curve in curves
    }


def make_again(conn: Connection, batch_code: str) -> Again:
    """An earlier batch with its recipe and everything that was noted about it.

    Raises
    ------
    NotFound: no such batch
    """
    batch = batches.by_code(conn, batch_code.strip().upper())
    if batch is None:
        known = [found.code for found in batches.all_batches(conn)[:8]]
        raise NotFound(no_such("batch", batch_code[:20], known))
    members = tuple(rack.lots_of_batch(conn, batch.id))
    ids = {lot.id for lot in members}
    finished = tuple(row for row in finishes.finished_lots(conn) if row.id in ids)
    notes = tuple(_notes(conn, batch, members, finished))
    recipe = json.loads(batch.recipe)
    return Again(batch, recipe, members, finished, notes, cured_in(conn, members))


def cured_in(conn: Connection, members: Sequence[LotState]) -> str | None:
    """Where a batch was in cure, else where its raw pieces wait for it; None if nobody said."""
    names = {place.id: place.name for place in places.all_places(conn)}
    entries = [entry for lot in members for entry in lots.stages(conn, lot.id)]
    for stage in (IN_CURE, RAW):
        for entry in entries:
            if entry.stage == stage and entry.place_id in names:
                return names[entry.place_id]
    return None


def liked_before(conn: Connection, *, style: str) -> Liked | None:
    """The best liked lot of a style; None before one was liked."""
    found = what_before(conn, style=style).best
    if found is None or (found.liked or 0) < GOOD:
        return None
    batch = batches.by_code(conn, found.batch)
    recipe = {} if batch is None else json.loads(batch.recipe)
    return Liked(recipe, found.liked_at_pct, found.place)


def _notes(
    conn: Connection, batch: Batch, members: tuple[LotState, ...], finished: tuple[FinishedLot, ...]
) -> list[str]:
    """Batch note, notes for next time, then what was written on its lots."""
    notes = [batch.note] if batch.note else []
    for row in finished:
        words = [
            "" if row.days is None else f"{row.days} days",
            "" if row.loss_pct is None else f"{row.loss_pct:.0f} % lost from {row.base} weight",
            f"liked {row.liked} of 5" if row.liked else "",
            row.cut_face or "",
            row.note or "",
        ]
        said = ", ".join(word for word in words if word)
        if said:
            notes.append(f"{row.code}: {said}")
    for lot in members:
        written = lots.events(conn, lot_id=lot.id)
        notes += [f"{lot.code}: {e.text}" for e in written if e.kind == "note"]
        notes += [e.text for e in written if e.kind == "opened"]  # begins with the code
    return notes
