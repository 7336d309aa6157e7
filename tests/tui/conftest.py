"""A small household for the screens, written through the real store into a real file."""

import random
import sqlite3
from collections.abc import Callable
from contextlib import asynccontextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from textual import events
from textual.pilot import Pilot

from curedash.domain.times import utc_text
from curedash.store import batches, lots, places, weigh_ins
from curedash.store.open import open_db
from curedash.store.work import By, Work, change
from curedash.tui.app import Dashboard
from curedash.tui.chassis.state import DashboardState
from tests.tui.quiet import quickly  # noqa: F401 (a fixture)

NOW = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)


def days_ago(days: float) -> str:
    return utc_text(NOW - timedelta(days=days))


def add_batch(work: Work, code: str, name: str, style: str, since: float) -> int:
    return batches.add(
        work,
        code=code,
        name=name,
        species="pork",
        style=style,
        method="equilibrium",
        product_class="dry-cured",
        rule_set="us",
        salted_at=days_ago(since),
        recipe="{}",
        created_at=days_ago(since),
    )


def add_lot(work: Work, batch_id: int, code: str, piece: str, stage: str, **more) -> int:
    usual = {
        "style": "coppa",
        "style_name": "coppa",
        "stage_at": days_ago(12),
        "created_at": days_ago(40),
        "green_g": 1600.0,
        "target_lo_pct": 30.0,
        "target_hi_pct": 35.0,
        "thickness_mm": 80.0,
        "weigh_every_days": 7.0,
        "cure_usual_days": 19.0,
        "cure_earliest_days": 15.0,
        "cure_rule": "2 d per cm",
        "shape": "round",
    }
    own = {"batch_id": batch_id, "code": code, "piece": piece, "stage": stage}
    values = usual | own | more
    lot_id = lots.add(work, **values)
    lots.add_stage(work, lot_id, stage, values["stage_at"], values.get("place_id"), None)
    if stage == "in-cure":
        lots.add_event(work, at=days_ago(1), kind="turn", lot_id=lot_id, text="turn the bag")
    return lot_id


def add_drying(
    work: Work,
    batch_id: int,
    code: str,
    piece: str,
    *,
    hung: float = 31,
    hang_g: float = 1534.0,
    loss_pct: float = 24.0,
    last: float = 7,
    points: int = 6,
    tare_g: float = 28.0,
    **more,
) -> int:
    """A hanging lot with a drying curve that ends ``last`` days ago at ``loss_pct``."""
    lot_id = add_lot(
        work,
        batch_id,
        code,
        piece,
        "drying",
        **({"stage_at": days_ago(hung)} | more),
        hang_at=days_ago(hung),
        hang_g=hang_g,
        tare_g=tare_g,
        tare_what="hook, net",
        cured_g=hang_g + 20,
    )
    for n in range(points):
        share = n / max(1, points - 1)
        net = hang_g * (1 - loss_pct / 100 * share**0.8)
        weigh_ins.add(
            work,
            weigh_ins.NewWeighIn(
                lot_id=lot_id,
                at=days_ago(hung - share * (hung - last)),
                stage="drying",
                kind="hang" if n == 0 else "stage",
                curve=True,
                gross_g=net + tare_g,
                tare_g=tare_g,
                base_factor=1.0,
            ),
        )
    return lot_id


def fill(path: Path, *, drying: int = 5, names: tuple[str, ...] = ()) -> None:
    """A batch with drying lots C1…, two in cure, one raw, one softening, one keeping."""
    conn = open_db(str(path), create=True)
    by = By(days_ago(1), "anna", "shell", "before")
    with change(conn, by, "build") as work:
        cold = places.add(
            work,
            name="Fridge 2",
            created_at=days_ago(90),
            temp_lo_c=2.0,
            temp_hi_c=5.0,
            watch="not-watched",
        )
        chamber = places.add(
            work,
            name="Chamber",
            created_at=days_ago(90),
            temp_lo_c=10.0,
            temp_hi_c=14.0,
            rh_lo_pct=70.0,
            rh_hi_pct=80.0,
            watch="not-watched",
        )
        batch = add_batch(work, "C", "Pork collar", "coppa", 50)
        other = add_batch(work, "D", "Belly", "pancetta", 12)
        usual = ["thick end", "thin end", "middle", "tip", "tied round"]
        rng = random.Random(1)
        for n in range(drying):
            piece = names[n] if n < len(names) else usual[n % 5]
            add_drying(
                work,
                batch,
                f"C{n + 1}",
                piece,
                loss_pct=20 + 14 * rng.random(),
                last=8 if n < 5 else 2,
                hang_g=1534.0 - 5 * (n % 60),
                place_id=chamber,
                position=n,
            )
        add_lot(work, other, "D1", "collar, tied", "in-cure", place_id=cold, position=900)
        add_lot(
            work,
            other,
            "D2",
            "belly",
            "in-cure",
            place_id=cold,
            position=901,
            stage_at=days_ago(21),
        )
        add_lot(
            work, other, "D3", "flank", "raw", place_id=cold, position=902, stage_at=days_ago(1)
        )
        add_drying(work, batch, "E1", "jowl", loss_pct=33, last=9, place_id=cold, position=903)
        work.update(
            "lot", 4 + drying, stage="equalising", stage_at=days_ago(3), stage_until=days_ago(-5)
        )
    conn.close()


@pytest.fixture
def household(tmp_path: Path) -> Callable[..., Path]:
    def build(**given) -> Path:
        path = tmp_path / "household.db"
        fill(path, **given)
        return path

    return build


class Seat:
    """Somebody at the keyboard of the dashboard on one file."""

    def __init__(self, path: Path, app: Dashboard, pilot: Pilot) -> None:
        self.path, self.app, self.pilot = path, app, pilot

    async def press(self, *keys: str) -> None:
        """Press keys; a word of several characters that is not a key name is typed."""
        await self.pilot.press(*keys)
        await self.settle()

    async def type(self, text: str) -> None:
        """Type at once what a person types one by one: paste for text, one press for the rest."""
        for char in text:
            self.app.post_message(events.Key(NAMES.get(char, char), char))
        await self.settle()

    async def settle(self) -> None:
        """Wait until the writer is through and the screen stands."""
        await self.pilot.pause()
        for _ in range(200):
            if not getattr(self.app.screen, "_writing", 0) and not self.app.scanner.waits:
                break
            await self.pilot.pause(0.01)
        await self.pilot.pause()

    def drawn(self) -> list[str]:
        """The screen as text."""
        strips = self.app.screen._compositor.render_strips()
        return ["".join(segment.text for segment in strip) for strip in strips]

    def lines(self) -> list[str]:
        """The screen as text, without the pointer of the marked line."""
        lines = [line[0] + " " + line[2:] if line[1:2] == "›" else line for line in self.drawn()]
        return [" " + line[1:] if line[:1] == "›" and line[1:2] != " " else line for line in lines]

    def text(self) -> str:
        return "\n".join(self.lines())

    def ask(self, sql: str, *given) -> list[tuple]:
        """What the file really holds, read by a connection of its own."""
        with sqlite3.connect(self.path) as conn:
            rows = conn.execute(sql, given).fetchall()
        conn.close()
        return rows


NAMES = {" ": "space", "\r": "enter", "?": "question_mark", ".": "full_stop", ",": "comma"}
NAMES["\x1b"] = "escape"


@asynccontextmanager
async def seated(path: Path, *, size=(80, 24), now=lambda: NOW, theme=None, scans=False):
    """The dashboard on a file, and somebody to press its keys, quicker than a hand would.

    With ``scans`` keys at the pace of a scanner are taken for one, as they are.
    """
    house = DashboardState(str(path), now, theme=theme)
    app = Dashboard(house)
    if not scans:
        app.scanner.gap_s = 0.0  # no two keys come so fast: all are typed
    try:
        async with app.run_test(size=size) as pilot:
            yield Seat(path, app, pilot)
        assert house.faults == []
    finally:
        house.close()


@pytest.fixture
def sit():
    return seated
