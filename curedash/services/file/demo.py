"""The invented household: built from readable data through the same services a person uses."""

import math
import os
import random
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from sqlite3 import Connection
from typing import Any

import curedash
from curedash.domain.dosing import DoseRequest, resolve_curing_salt
from curedash.domain.errors import FileTrouble, Refused
from curedash.domain.household.styles import dose_fields
from curedash.domain.household.styles import style as style_of
from curedash.domain.records import Reading
from curedash.domain.times import utc_text
from curedash.services.curing.change_stage import Move, change_stage
from curedash.services.dosing.add_batch import BatchSpec, PieceSpec, SourceSpec, add_batch
from curedash.services.dosing.tick import tick_line
from curedash.services.drying import forecasts
from curedash.services.drying.finish import Finishing, finish
from curedash.services.find import require_lot
from curedash.services.household import household
from curedash.services.household.note import add_note
from curedash.services.household.packs import NewPack
from curedash.services.places import places
from curedash.services.weighing.weigh import preview, weigh
from curedash.store import lots as lot_rows
from curedash.store import rack, settings
from curedash.store.open import open_db
from curedash.store.work import By, change

Tell = Callable[[int, int], None]  # so much is done, of so much

SCENARIO = "scenario.toml"
#: what a move of the scenario may say beside where to, as a `Move` calls it
ENDED_WITH = ("weight_g", "cut_face", "liked", "note")  # and an end, as a `Finishing`
MOVED_WITH = ("weight_g", "tare_g", "tare_what", "plus_minus_g", "place", "note")


@dataclass(frozen=True, slots=True)
class Step:
    """One thing somebody of the household did, so many days from today (negative: before)."""

    day: float
    order: int
    do: Callable[[Connection, By, datetime], None]
    who: str


def scenario_path() -> str:
    """The scenario file: inside the wheel, or beside the package in a checkout.

    Raises
    ------
    FileTrouble: the package was installed without it
    """
    package = os.path.dirname(os.path.abspath(curedash.__file__))
    for folder in ("_demo_db", os.path.join(os.pardir, "demo_db")):
        path = os.path.normpath(os.path.join(package, folder, SCENARIO))
        if os.path.exists(path):
            return path
    raise FileTrouble("The demo's scenario is missing; install curedash again.")


def build_demo(path: str, now: datetime, *, tell: Tell = lambda _done, _of: None) -> int:
    """Build the demo household into a new file, dated from today.

    Parameters
    ----------
    path : a file that does not exist yet
    now : the moment it is dated from (aware)
    tell : is called with the steps done and the steps there are

    Returns
    -------
    number of open lots

    Raises
    ------
    Refused: the file is there already
    """
    if os.path.exists(path):
        raise Refused(f"{path} is there already; name a new file for the demo.")
    scenario = _scenario()
    conn = open_db(path, create=True)
    # Nobody's data yet: the file is built in a hurry and made durable at the end.
    conn.execute("PRAGMA synchronous = OFF")
    _choose_settings(conn, scenario, _by(now - timedelta(days=500), "mara"))
    steps = sorted(_steps(scenario), key=lambda s: (s.day, s.order))
    done, total = 0, len(steps) + len(scenario["air"])
    for done, step in enumerate(steps, 1):
        at = _at(now, step.day)
        step.do(conn, _by(at, step.who), at)
        tell(done, total)
    for air in scenario["air"]:
        _breathe(conn, air, now)
        done += 1
        tell(done, total)
    for lot in rack.open_lots(conn):
        if lot.forecast is None:
            forecasts.refresh(conn, lot, now)
    conn.execute("PRAGMA synchronous = FULL")
    conn.execute("PRAGMA wal_checkpoint (TRUNCATE)")
    count = len(rack.open_lots(conn))
    conn.close()
    return count


def _by(at: datetime, who: str) -> By:
    return By(utc_text(at), who, "screen", f"demo-{who}")


def _at(now: datetime, day: float) -> datetime:
    """A day and fraction before now; whole days fall on the same hour, so nothing lies ahead."""
    return now + timedelta(days=day)


def _choose_settings(conn: Connection, told: dict[str, Any], by: By) -> None:
    with change(conn, by, "settle") as work:
        for name, value in told["household"]["settings"].items():
            settings.put(work, name, value)
        household.choose_zone(work)
        for scale in told["scale"]:
            settings.add_scale(work, scale["name"], scale["division_g"], scale.get("max_g"))
    for place in told["place"]:
        band = place.get("rh_pct")
        bands = {"temp_c": tuple(place["temp_c"]), "rh_pct": band and (band[0], band[1])}
        places.add_place(conn, by, place["name"], watch=place["watch"], **bands)


def _steps(told: dict[str, Any]) -> list[Step]:
    steps: list[Step] = []

    def later(day: float, who: str, do: Callable[..., None]) -> None:
        steps.append(Step(day, len(steps), do, who))

    for batch in told["batch"]:
        who = batch.get("by", "mara")
        later(batch["salted"], who, _salting(batch))
        for lot in batch["lot"]:
            code = lot["code"]
            for move in lot.get("moved", []):
                later(move["day"], move.get("by", who), _moving(code, move))
            for day, gross_g in lot.get("weighed", []):
                later(day, lot.get("weighed_by", who), _weighing(code, gross_g))
            if "finished" in lot:
                end = lot["finished"]
                later(end["day"], end.get("by", who), _finishing(code, end))
            for note in lot.get("noted", []):
                later(note["day"], note.get("by", who), _noting(code, note["text"]))
            if "ticked" in lot:
                later(batch["salted"] + 0.01, who, _ticking(code, lot["ticked"]))
    return steps


def _salting(batch: dict[str, Any]) -> Callable[..., None]:
    def do(conn: Connection, by: By, at: datetime) -> None:
        style = style_of(batch["style"])
        spec = BatchSpec(
            name=batch["name"],
            species=batch["species"],
            style=style,
            pieces=tuple(_piece(lot) for lot in batch["lot"]),
            dose=_dose(batch),
            place=batch["place"],
            shape=batch.get("shape", "slab"),
            salted_at=None if batch.get("raw") else at,
            in_bag=batch.get("in_bag", False),
            sources=tuple(SourceSpec(**source) for source in batch.get("source", [])),
            note=batch.get("note"),
        )
        added = add_batch(conn, by, spec)
        codes = [lot.code for lot in added.lots]
        told = [lot["code"] for lot in batch["lot"]]
        if codes != told:
            raise Refused(f"The scenario calls these lots {told}, the program {codes}.")

    return do


def _piece(lot: dict[str, Any]) -> PieceSpec:
    name, count = lot.get("piece", ""), lot.get("count", 1)
    green_g, thickness_mm = float(lot["green_g"]), lot.get("thickness_mm")
    return PieceSpec(green_g, name, thickness_mm, lot.get("source"), count)


def _dose(batch: dict[str, Any]) -> DoseRequest:
    cure = batch.get("curing_salt")
    style = style_of(batch["style"])
    return DoseRequest(
        green_g=1.0,
        method=batch.get("method", "equilibrium"),
        salt_pct=batch.get("salt_pct"),
        curing_salt=None if cure is None else resolve_curing_salt(cure),
        cure_pct=batch.get("cure_pct"),
        sugar_pct=batch.get("sugar_pct", 0.0),
        extras=tuple((name, float(pct)) for name, pct in batch.get("extras", [])),
        scale_division_g=batch.get("scale_g", 0.1),
        rule_set=batch.get("rules", "us"),
        product_class=batch.get("class"),
        planned_days=batch.get("planned_days", style.planned_days),
        answers=tuple(batch.get("because", {}).items()),
        cut=style.cut,
        eaten=style.eaten,
        **dose_fields(style),  # type: ignore[arg-type]
    )


def _moving(code: str, move: dict[str, Any]) -> Callable[..., None]:
    def do(conn: Connection, by: By, at: datetime) -> None:
        days = move.get("until_in")
        until = None if days is None else at + timedelta(days=days)
        told = {name: move[name] for name in MOVED_WITH if name in move}
        how = Move(stage=move["to"], at=at, until=until, keep_doubtful=True, **told)
        change_stage(conn, by, require_lot(conn, code).id, how)

    return do


def _weighing(code: str, gross_g: float) -> Callable[..., None]:
    def do(conn: Connection, by: By, at: datetime) -> None:
        lot = require_lot(conn, code)
        seen = preview(lot, f"{gross_g} g", at, UTC)
        weigh(conn, by, lot.id, seen, keep_doubtful=True)

    return do


def _finishing(code: str, end: dict[str, Any]) -> Callable[..., None]:
    def do(conn: Connection, by: By, at: datetime) -> None:
        packs = tuple(NewPack(float(grams), at) for grams in end.get("packs", []))
        told = {name: end[name] for name in ENDED_WITH if name in end}
        how = Finishing(at=at, keep_doubtful=True, packs=packs, **told)
        finish(conn, by, require_lot(conn, code).id, how)

    return do


def _noting(code: str, text: str) -> Callable[..., None]:
    def do(conn: Connection, by: By, _at: datetime) -> None:
        add_note(conn, by, require_lot(conn, code).id, code, text)

    return do


def _ticking(code: str, count: int) -> Callable[..., None]:
    def do(conn: Connection, by: By, _at: datetime) -> None:
        lot = require_lot(conn, code)
        for line in lot_rows.dose_lines(conn, lot.id)[:count]:
            tick_line(conn, by, line.id, line.planned_g)

    return do


# ── air ───────────────────────────────────────────────────────────────────────────────────


def _breathe(conn: Connection, air: dict[str, Any], now: datetime) -> None:
    """Readings of a place: a compressor's cycle, weather, and a drift where one is told."""
    rng = random.Random(air["place"])
    place = places.require_place(conn, air["place"])
    every = timedelta(minutes=air["every_min"])
    at = now - timedelta(days=air["days"])
    end = now - timedelta(hours=air.get("silent_h", 0))
    readings: list[Reading] = []
    while at <= end:
        readings.append(_reading(air, rng, at, now))
        at += every
    places.log_air(conn, place, readings)


def _reading(air: dict[str, Any], rng: random.Random, at: datetime, now: datetime) -> Reading:
    phase = math.sin(2 * math.pi * at.timestamp() / (air["cycle_min"] * 60))
    since = max(0.0, air.get("drift_h", 0) - (now - at).total_seconds() / 3600)
    drift = min(1.0, since / 6)
    temp_c = air["temp_c"] + air["temp_swing_c"] * phase + rng.gauss(0, 0.1)
    rh_pct = air["rh_pct"] - air["rh_swing_pct"] * phase + rng.gauss(0, 0.5)
    temp_c += drift * air.get("drift_c", 0.0)
    rh_pct += drift * air.get("drift_rh_pct", 0.0)
    return Reading(int(at.timestamp()), round(temp_c, 1), round(min(rh_pct, 99.0), 1))


def _scenario() -> dict[str, Any]:
    import tomllib

    with open(scenario_path(), "rb") as file:
        return tomllib.load(file)
