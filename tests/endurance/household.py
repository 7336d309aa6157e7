"""A household for the endurance scripts and their quick versions: lots that dry, nothing else."""

from datetime import UTC, datetime, timedelta

from curedash.domain.times import utc_text
from curedash.store import batches, lots, places, weigh_ins
from curedash.store.open import open_db
from curedash.store.work import By, change

NOW = datetime(2026, 11, 25, 18, 0, tzinfo=UTC)
HUNG = NOW - timedelta(days=30)


def by(now: datetime = NOW, session: str = "endurance") -> By:
    """Who writes."""
    return By(utc_text(now), "tester", "shell", session)


def build(path: str, count: int = 1, hang_g: float = 1000.0) -> list[int]:
    """Make a file with so many drying lots A1 … hung a month ago; their ids."""
    conn = open_db(path, create=True)
    began = utc_text(HUNG - timedelta(days=15))
    with change(conn, by(HUNG), "build") as work:
        place = places.add(work, name="Cellar", created_at=began, watch="not-watched")
        batch = batches.add(
            work,
            code="A",
            name="Beef eye",
            species="beef",
            style="bresaola",
            method="equilibrium",
            product_class="dry-cured",
            rule_set="us",
            recipe="{}",
            salted_at=began,
            created_at=began,
        )
        ids = [_lot(work, batch, place, number, hang_g) for number in range(1, count + 1)]
    conn.close()
    return ids


def _lot(work, batch_id: int, place_id: int, number: int, hang_g: float) -> int:
    at = utc_text(HUNG)
    lot_id = lots.add(
        work,
        batch_id=batch_id,
        code=f"A{number}",
        style="bresaola",
        style_name="bresaola",
        stage="drying",
        stage_at=at,
        position=float(number),
        thickness_mm=80.0,
        shape="slab",
        green_g=hang_g * 1.04,
        cured_g=hang_g,
        hang_g=hang_g,
        hang_at=at,
        target_lo_pct=30.0,
        target_hi_pct=40.0,
        created_at=at,
        place_id=place_id,
    )
    lots.add_stage(work, lot_id, "drying", at, place_id, None)
    weigh_ins.add(
        work,
        weigh_ins.NewWeighIn(
            lot_id=lot_id,
            at=at,
            stage="drying",
            kind="hang",
            curve=True,
            gross_g=hang_g,
            tare_g=0.0,
            base_factor=1.0,
        ),
    )
    return lot_id
