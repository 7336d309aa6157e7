"""Random lives of one lot, entered in whatever order a person could."""

import random
import shutil
import sqlite3
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path

from curedash.domain.weighing.rebase_reasons import REMOVED
from curedash.services.curing.change_stage import Move, change_stage
from curedash.services.drying.lot_curve import curve_of
from curedash.services.household.undo import redo_last, undo_last
from curedash.services.weighing.correct import (
    Right,
    correct_start,
    correct_weigh_in,
    put_tare_right,
    void_weigh_in,
)
from curedash.services.weighing.divide import Cut, Part, divide
from curedash.services.weighing.rebase import Rebasing, rebase
from curedash.services.weighing.weigh import preview_at, weigh
from curedash.store import rebases, weigh_ins
from curedash.store.open import open_db
from tests.services.conftest import HUNG, House

#: what it is hung with [g]; nothing is where a weight without the net looks like one with it
FIRST_TARES_G = [0.0, 20.0, 28.0, 61.5]

Step = Callable[[House, dict[str, int]], None]


@dataclass
class Event:
    """One thing a person enters; ``after`` are the events that must be entered before it."""

    name: str
    do: Step
    after: set[str] = field(default_factory=set)


def at_day(day: float) -> datetime:
    return HUNG + timedelta(days=day)


def make_life(rng: random.Random) -> list[Event]:
    """The events of a lot in the order in which they happened."""
    events: list[Event] = []
    tare_g, net_g, day = rng.choice(FIRST_TARES_G), 1000.0, 0.0
    tare_changes: list[str] = []  # each needs the one before it: a tare is put right as known
    stages: list[str] = []  # a lot is moved on in the order of its stages
    stage = "drying"
    corrected = started = False
    first_tare_g = tare_g
    for number in range(rng.randint(2, 9)):
        day += rng.randint(1, 4) + rng.choice([0.0, 0.25])
        net_g *= 1 - rng.uniform(0.005, 0.06)
        name = f"{number}"
        kind = rng.choice(
            [
                "weigh",
                "weigh",
                "weigh",
                "bare",
                "net",
                "taste",
                "taste after",
                "lard",
                "unlard",
                "slip",
                "moved day",
                "void",
                "taken back",
                "stage",
                "tare",
                "slip before",
                "start",
            ]
        )
        gross_g = net_g + tare_g
        if kind in ("unlard", "lard") and corrected:
            kind = "weigh"  # which tare was put right is said by the newest change of it
        if kind == "unlard" and not first_tare_g:
            kind = "net"  # no net can come off, whatever is entered first
        if kind in ("weigh", "bare", "net"):
            events.append(Event(name, weighing(name, day, gross_g, net_g, kind), set()))
        elif kind == "taste":
            after_g = tare_g + net_g * rng.uniform(0.6, 0.95)
            events.append(Event(name, rebasing("end tasted", day, gross_g, after_g)))
            net_g = after_g - tare_g
        elif kind in ("taste after", "slip before"):
            after_g = tare_g + net_g * rng.uniform(0.6, 0.95)
            slip = kind == "slip before"
            wrong_g = gross_g + 11 if slip else gross_g
            events.append(Event(name, weighing(name, day, wrong_g, net_g, "weigh")))
            cutting = rebasing("trimmed", day, None, after_g)
            events.append(Event(f"{name} cut", cutting, {name}))
            if slip:
                events.append(Event(f"{name} right", correcting(name, gross_g), {name}))
            net_g = after_g - tare_g
        elif kind in ("lard", "unlard"):
            change_g = rng.choice([150.0, 210.5]) if kind == "lard" else -2.0
            what = "larded" if kind == "lard" else "net off"
            events.append(Event(name, rebasing(what, day, gross_g, gross_g + change_g)))
            tare_changes.append(name)
            tare_g += change_g
        elif kind == "slip":
            events.append(Event(name, weighing(name, day, gross_g + 9, net_g, "weigh")))
            events.append(Event(f"{name} right", correcting(name, gross_g), {name}))
        elif kind == "moved day":
            events.append(Event(name, weighing(name, day + 0.5, gross_g, net_g, "weigh")))
            events.append(Event(f"{name} day", correcting(name, None, day), {name}))
        elif kind == "void":
            events.append(Event(name, weighing(name, day, gross_g * 0.9, net_g, "weigh")))
            events.append(Event(f"{name} void", voiding(name), {name}))
        elif kind == "taken back":
            events.append(Event(name, taking_back(day, gross_g, rng.random() < 0.5)))
        elif kind == "stage":
            stage = "equalising" if stage == "drying" else "drying"
            events.append(Event(name, staging(stage, day, gross_g), set(stages)))
            stages.append(name)
        elif kind == "start" and not started:
            started = True
            events.append(Event(name, starting(1000.0 + rng.choice([-25.0, 40.0]) + first_tare_g)))
        elif kind == "tare" and not corrected:
            corrected = True
            known_g, tare_g = tare_g, tare_g + (9.0 if tare_g < 12 else rng.choice([-6.0, 9.0]))
            net_g += (
                known_g - tare_g
            )  # it weighs what it weighs; the tare was wrong since its change
            events.append(Event(name, taring(tare_g), set(tare_changes)))
    if rng.random() < 0.3:
        others = {event.name for event in events}
        events.append(Event("divide", dividing(day + 1, net_g + tare_g), others))
    return events


def weighing(name: str, day: float, gross_g: float, net_g: float, kind: str) -> Step:
    def do(house: House, ids: dict[str, int]) -> None:
        shown_g = gross_g if kind == "weigh" else net_g
        seen = preview_at(
            house.conn,
            house.lot(1),
            f"{shown_g!r} g",
            house.now,
            UTC,
            at_day(day),
            net=kind == "net",
            without_tare=kind == "bare",
        )
        ids[name] = weigh(house.conn, house.by(), 1, seen, keep_doubtful=True).weigh_in_id

    return do


def rebasing(reason: str, day: float, before_g: float | None, after_g: float) -> Step:
    def do(house: House, _ids: dict[str, int]) -> None:
        what = Rebasing(reason, after_g, at_day(day), before_g, keep_doubtful=True)
        rebase(house.conn, house.by(), 1, what)

    return do


def standing(conn: sqlite3.Connection, weigh_in_id: int) -> int:
    """The weigh-in that counts now in place of this one."""
    (lot_id,) = conn.execute("SELECT lot_id FROM weigh_in WHERE id = ?", (weigh_in_id,)).fetchone()
    entered = weigh_ins.first_entered(conn, lot_id)
    now = (row.id for row in weigh_ins.of_lot(conn, lot_id))
    return next(number for number in now if entered[number] == entered[weigh_in_id])


def correcting(name: str, gross_g: float | None, day: float | None = None) -> Step:
    def do(house: House, ids: dict[str, int]) -> None:
        right = Right(gross_g, at=None if day is None else at_day(day), keep_doubtful=True)
        correct_weigh_in(house.conn, house.by(), standing(house.conn, ids[name]), right)

    return do


def voiding(name: str) -> Step:
    def do(house: House, ids: dict[str, int]) -> None:
        void_weigh_in(house.conn, house.by(), standing(house.conn, ids[name]))

    return do


def taking_back(day: float, gross_g: float, cut: bool) -> Step:
    """Entered by mistake and taken back; once done again and taken back for good."""

    def do(house: House, _ids: dict[str, int]) -> None:
        if cut:
            what = Rebasing("larded", gross_g + 70, at_day(day), gross_g, keep_doubtful=True)
            rebase(house.conn, house.by(), 1, what)
        else:
            weighing("", day, gross_g, 0, "weigh")(house, {})
        undo_last(house.conn, house.by())
        redo_last(house.conn, house.by())
        undo_last(house.conn, house.by())

    return do


def staging(stage: str, day: float, gross_g: float) -> Step:
    def do(house: House, _ids: dict[str, int]) -> None:
        move = Move(stage, at_day(day), gross_g, note="as found", keep_doubtful=True)
        change_stage(house.conn, house.by(), 1, move)

    return do


def taring(tare_g: float) -> Step:
    def do(house: House, _ids: dict[str, int]) -> None:
        put_tare_right(house.conn, house.by(), 1, tare_g)

    return do


def starting(gross_g: float) -> Step:
    def do(house: House, _ids: dict[str, int]) -> None:
        correct_start(house.conn, house.by(), 1, gross_g, keep_doubtful=True)

    return do


def dividing(day: float, gross_g: float) -> Step:
    """Parts of what the whole weighs less the tare it has then, so they are never heavier."""

    def do(house: House, _ids: dict[str, int]) -> None:
        net_g = gross_g - house.lot(1).tare_g
        parts = (Part(net_g * 0.5), Part(net_g * 0.45))
        divide(house.conn, house.by(), 1, Cut(parts, at_day(day), gross_g, keep_doubtful=True))

    return do


def orders(rng: random.Random, events: list[Event]) -> list[Event]:
    """The same events in a random order in which each still comes after what it needs."""
    left, done, found = list(events), set(), []
    while left:
        ready = [event for event in left if event.after <= done]
        event = rng.choice(ready)
        left.remove(event)
        done.add(event.name)
        found.append(event)
    return found


def live(house: House, events: list[Event], tare_g: float) -> list[object]:
    """Enter the events one by one; what every front can read of the weights afterwards."""
    house.hang("C1", 1000.0, tare_g=tare_g)
    ids: dict[str, int] = {}
    for event in events:
        event.do(house, ids)
    return [shown(house, lot_id) for lot_id in lot_ids(house.conn)]


def lot_ids(conn: sqlite3.Connection) -> list[int]:
    return [
        row[0] for row in conn.execute("SELECT id FROM lot WHERE voided_at IS NULL ORDER BY id")
    ]


def shown(house: House, lot_id: int) -> dict[str, object]:
    """Curve, weigh-ins, cuts and the lot as it is now, rounded to a thousandth of a gram."""
    lot = house.lot(lot_id)
    rows = weigh_ins.of_lot(house.conn, lot_id)
    return {
        "curve": sorted(
            (round(p.day, 6), round(p.loss_pct, 6), round(p.net_g, 3))
            for p in curve_of(house.conn, lot_id, house.now).points
        ),
        "weigh-ins": sorted(
            (
                row.at,
                round(row.gross_g, 3),
                round(row.tare_g, 3),
                round(row.base_factor, 9),
                row.stage,
                row.curve,
                row.own_tare,
            )
            for row in rows
        ),
        "cuts": sorted(
            (cut.at, round(cut.factor, 9), round(cut.before_g, 3), round(cut.after_g, 3))
            for cut in rebases.of_lot(house.conn, lot_id)
            if cut.kind == REMOVED
        ),
        "lot": (
            lot.stage,
            round(lot.tare_g, 3),
            round(lot.base_factor, 9),
            round(lot.green_factor, 9),
            round(lot.hang_g or 0, 6),
            round(lot.last_net_g or 0, 3),
            lot.curve_count,
        ),
    }


def entered(template: Path, events: list[Event], tare_g: float) -> list[object]:
    """A household of its own that lived through these events."""
    path = template.with_name("life.db")
    for old in template.parent.glob("life.db*"):
        old.unlink()
    shutil.copy(template, path)
    conn = open_db(str(path))
    conn.execute("PRAGMA synchronous = OFF")
    try:
        house = House(conn, HUNG + timedelta(days=60))
        house.batch()
        return live(house, events, tare_g)
    finally:
        conn.close()


def differing(template: Path, seed: int) -> list[str] | None:
    """One life in the order it happened, and twice in another one: the order that shows another."""
    rng = random.Random(seed)
    tare_g = random.Random(seed).choice(FIRST_TARES_G)
    events = make_life(random.Random(seed))
    in_order = entered(template, events, tare_g)
    for _ in range(2):
        shuffled = orders(rng, events)
        if entered(template, shuffled, tare_g) != in_order:
            return [event.name for event in shuffled]
    return None
