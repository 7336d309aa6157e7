"""Whatever is done in whatever order: the loss stays continuous, and all of it can be undone."""

import shutil
import sqlite3
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from curedash.domain.drying.lot_figures import figures
from curedash.domain.errors import NotFound
from curedash.services.household.undo import redo_last, undo_last
from curedash.services.needs.check import current_needs
from curedash.services.weighing.correct import void_weigh_in
from curedash.services.weighing.divide import Cut, Part, divide
from curedash.services.weighing.rebase import Rebasing, rebase
from curedash.services.weighing.weigh import preview, weigh
from curedash.store import batches, finishes, lots, places, rack, rebases, weigh_ins
from curedash.store.inspect import curve_kept_wrong
from curedash.store.open import open_db
from tests.services.conftest import HUNG, House


def read_models(conn: sqlite3.Connection, now: datetime) -> dict[str, Any]:
    """Everything a front can read, voids and log left out."""
    every = rack.all_lots(conn)
    assert curve_kept_wrong(conn) == []
    for lot in every:
        rows = [w for w in weigh_ins.of_lot(conn, lot.id) if w.curve]
        newest = sorted(rows, key=lambda w: (w.at, w.id), reverse=True)[:16]
        assert [(p.at, p.base_factor) for p in lot.curve] == [(w.at, w.base_factor) for w in newest]
        assert [p.net_g for p in lot.curve] == pytest.approx([w.net_g for w in newest], abs=1e-9)
        assert lot.curve_count == len(rows)
    return {
        "lots": every,
        "open": rack.open_lots(conn),
        "figures": [figures(lot, now, UTC) for lot in every],
        "batches": batches.all_batches(conn),
        "places": places.all_places(conn),
        "weigh-ins": [weigh_ins.of_lot(conn, lot.id) for lot in every],
        "stages": [lots.stages(conn, lot.id) for lot in every],
        "re-bases": [rebases.of_lot(conn, lot.id) for lot in every],
        "dose": [lots.dose_lines(conn, lot.id) for lot in every],
        "events": [lots.events(conn, lot_id=lot.id) for lot in every],
        "packs": finishes.packs(conn),
        "book": finishes.finished_lots(conn),
        "needs": current_needs(conn, now),
    }


class Life:
    """Carries out the steps and knows what every weigh-in has to show."""

    def __init__(self, conn: sqlite3.Connection) -> None:
        self.house = House(conn, HUNG)
        self.house.batch()
        self.house.hang("C1", 1000.0)
        self.house.hang("C2", 2345.6, tare_g=28.0)
        self.house.now = HUNG + timedelta(days=200)
        self.first = read_models(conn, self.house.now)
        self.day = 0.0
        self.loss: dict[int, float] = {}
        for lot in rack.open_lots(conn):
            self.loss[lot.last_weigh_in_id or 0] = 0.0

    @property
    def conn(self) -> sqlite3.Connection:
        return self.house.conn

    def step(self, verb: str, pick: int, share: float) -> None:
        self.day += 1
        at = HUNG + timedelta(days=self.day)
        open_lots = rack.open_lots(self.conn)
        lot = open_lots[pick % len(open_lots)]
        now_g = lot.base_g * (1 - self.loss[lot.last_weigh_in_id or 0] / 100)  # type: ignore[operator]
        before_g = now_g * (1 - 0.08 * share)
        assert lot.base_g is not None
        lost = 100 * (1 - before_g / lot.base_g)
        if lost > 88:
            return
        by = self.house.by()
        gross_g = before_g + lot.tare_g
        if verb == "weigh":
            seen = preview(lot, f"{gross_g!r} g", self.house.now, UTC, at=at)
            kept = weigh(self.conn, by, lot.id, seen, keep_doubtful=True)
            self.loss[kept.weigh_in_id] = lost
        elif verb == "trim":
            left_g = before_g * (0.55 + 0.4 * share)
            what = Rebasing("trimmed", left_g + lot.tare_g, at, gross_g, keep_doubtful=True)
            done = rebase(self.conn, by, lot.id, what)
            self.loss[done.lot.last_weigh_in_id or 0] = lost
        elif verb == "dress":
            more = Rebasing("larded", gross_g + 400 * share, at, gross_g, keep_doubtful=True)
            dressed = rebase(self.conn, by, lot.id, more)
            self.loss[dressed.lot.last_weigh_in_id or 0] = lost
        elif verb == "divide":
            self.divide(lot.id, at, before_g, share, lost)

    def divide(self, lot_id: int, at: datetime, before_g: float, share: float, lost: float) -> None:
        lot = self.house.lot(lot_id)
        parts = (Part(before_g * (0.2 + 0.5 * share)), Part(before_g * 0.25 + 12, tare_g=12))
        rows = [row for row in weigh_ins.of_lot(self.conn, lot_id) if row.curve]
        cut = Cut(parts, at, before_g + lot.tare_g, keep_doubtful=True)
        done = divide(self.conn, self.house.by(), lot_id, cut)
        self.loss[done.parent.last_weigh_in_id or 0] = lost
        for part in done.parts:
            kept = weigh_ins.of_lot(self.conn, part.id)
            assert len(kept) == len(rows) + 1
            for old, new in zip(rows, kept, strict=False):
                self.loss[new.id] = self.loss[old.id]
            self.loss[kept[-1].id] = lost

    def void(self, pick: int) -> None:
        open_lots = rack.open_lots(self.conn)
        lot = open_lots[pick % len(open_lots)]
        rows = [r for r in weigh_ins.of_lot(self.conn, lot.id) if r.kind == "stage"]
        if rows:
            void_weigh_in(self.conn, self.house.by(), rows[pick % len(rows)].id)

    def undo(self) -> bool:
        try:
            undo_last(self.conn, self.house.by())
        except NotFound:
            return False
        return True

    def redo(self) -> None:
        try:
            redo_last(self.conn, self.house.by())
        except NotFound:
            return

    def check(self) -> None:
        """Every weigh-in shows the loss it was taken at, the lot that of its newest."""
        for lot in rack.all_lots(self.conn):
            assert lot.hang_g is not None
            for row in weigh_ins.of_lot(self.conn, lot.id):
                shown = 100 * (1 - row.net_g / (lot.hang_g * row.base_factor))
                assert shown == pytest.approx(self.loss[row.id], abs=1e-8)
            found = figures(lot, self.house.now, UTC).loss_pct
            assert found is not None
            assert -1e-9 <= found < 90
            assert found == pytest.approx(self.loss[lot.last_weigh_in_id or 0], abs=1e-8)
            green = figures(lot, self.house.now, UTC, "green").loss_pct
            assert green == pytest.approx(100 - (100 - found) / 1.04, abs=1e-8)


STEP = st.tuples(
    st.sampled_from(["weigh", "weigh", "trim", "dress", "divide", "void", "undo", "redo"]),
    st.integers(0, 40),
    st.floats(0.0, 1.0),
)


@pytest.fixture(scope="module")
def template(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("life") / "template.db"
    open_db(str(path), create=True).close()
    return path


@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(steps=st.lists(STEP, max_size=14))
def test_any_sequence_keeps_the_loss_and_undoes_to_the_start(
    template: Path, steps: list[tuple[str, int, float]]
) -> None:
    path = template.with_name("example.db")
    for old in template.parent.glob("example.db*"):
        old.unlink()
    shutil.copy(template, path)
    conn = open_db(str(path))
    try:
        live_through(Life(conn), steps)
    finally:
        conn.close()


def kept_rows(conn: sqlite3.Connection) -> list[int]:
    """How many rows there are, voided ones too."""
    tables = ("weigh_in", "rebase", "lot", "stage_entry")
    return [conn.execute(f"SELECT count(*) FROM {table}").fetchone()[0] for table in tables]


def live_through(life: Life, steps: list[tuple[str, int, float]]) -> None:
    for verb, pick, share in steps:
        if verb == "void":
            life.void(pick)
        elif verb == "undo":
            life.undo()
        elif verb == "redo":
            life.redo()
        else:
            life.step(verb, pick, share)
        life.check()
    rows = kept_rows(life.conn)
    lines = life.conn.execute("SELECT count(*) FROM change").fetchone()[0]
    undone = 0
    while life.undo():
        undone += 1
        life.check()
    assert read_models(life.conn, life.house.now) == life.first
    assert kept_rows(life.conn) == rows
    assert life.conn.execute("SELECT count(*) FROM change").fetchone()[0] == lines + undone
