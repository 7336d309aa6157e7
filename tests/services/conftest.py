"""A household by hand: one batch, lots hung on known days, a clock the test moves."""

import sqlite3
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from curedash.domain.records import LotState
from curedash.domain.times import utc_text
from curedash.services.find import lot_with_id, require_lot
from curedash.services.weighing.weigh import Weighed, preview_at, weigh
from curedash.store import batches, lots, weigh_ins
from curedash.store.work import By, change

HUNG = datetime(2026, 10, 16, 12, tzinfo=UTC)


@dataclass
class House:
    """One file, one person, one clock."""

    conn: sqlite3.Connection
    now: datetime

    def by(self, session: str = "session-1", actor: str = "tester") -> By:
        return By(utc_text(self.now), actor, "shell", session)

    def batch(self, code: str = "C", **more: Any) -> int:
        values: dict[str, Any] = {
            "code": code,
            "name": "Beef eye",
            "species": "beef",
            "style": "bresaola",
            "method": "equilibrium",
            "product_class": "dry-cured",
            "rule_set": "us",
            "recipe": '{"salt_pct": 2.75}',
            "salted_at": "2026-10-01T12:00:00Z",
            "created_at": "2026-10-01T12:00:00Z",
        }
        with change(self.conn, self.by("set-up"), "add batch", subject=code) as work:
            return batches.add(work, **(values | more))

    def hang(
        self, code: str, hang_g: float, *, batch_id: int = 1, at: datetime = HUNG, **more: Any
    ) -> int:
        """A lot hung at a weight [g net], with its stages and first point of the curve."""
        values: dict[str, Any] = {
            "batch_id": batch_id,
            "code": code,
            "style": "bresaola",
            "style_name": "Bresaola",
            "stage": "drying",
            "stage_at": utc_text(at),
            "position": 1.0,
            "thickness_mm": 80.0,
            "shape": "slab",
            "green_g": hang_g * 1.04,
            "cured_g": hang_g,
            "hang_g": hang_g,
            "hang_at": utc_text(at),
            "target_lo_pct": 30.0,
            "target_hi_pct": 40.0,
            "created_at": "2026-10-01T12:00:00Z",
        }
        values |= more
        tare_g = values.get("tare_g", 0.0)
        with change(self.conn, self.by("set-up"), "hang", subject=code) as work:
            lot_id = lots.add(work, **values)
            place_id = values.get("place_id")
            lots.add_stage(work, lot_id, "in-cure", "2026-10-01T12:00:00Z", place_id, None)
            lots.add_stage(work, lot_id, "drying", utc_text(at), place_id, None)
            weigh_ins.add(
                work,
                weigh_ins.NewWeighIn(
                    lot_id=lot_id,
                    at=utc_text(at),
                    stage="drying",
                    kind="hang",
                    curve=True,
                    gross_g=hang_g + tare_g,
                    tare_g=tare_g,
                    base_factor=1.0,
                ),
            )
        return lot_id

    def weigh(self, lot_id: int, gross_g: float, *, days: float | None = None) -> Weighed:
        """Weigh in so many days after hanging, or now."""
        at = self.now if days is None else HUNG + timedelta(days=days)
        seen = preview_at(self.conn, self.lot(lot_id), f"{gross_g!r} g", self.now, UTC, at)
        return weigh(self.conn, self.by(), lot_id, seen, keep_doubtful=True)

    def lot(self, lot_id: int) -> LotState:
        return lot_with_id(self.conn, lot_id)

    def code(self, code: str) -> LotState:
        return require_lot(self.conn, code)


@pytest.fixture
def house(conn: sqlite3.Connection, now: datetime) -> House:
    """A household with one batch, 40 days after hanging."""
    made = House(conn, now)
    made.batch()
    return made
