"""Records for tests, made from a few words."""

from datetime import UTC, datetime, timedelta
from typing import Any

from curedash.domain.record import replace
from curedash.domain.records import CurvePoint, LotState
from curedash.domain.times import utc_text

NOW = datetime(2026, 11, 25, 18, 0, tzinfo=UTC)

_LOT = LotState(
    id=1,
    code="A1",
    batch_id=1,
    batch="A",
    batch_name="Beef eye",
    piece="thick end",
    species="beef",
    style="bresaola",
    style_name="air-dried beef",
    method="equilibrium",
    stage="drying",
    stage_at="2026-10-25T12:00:00Z",
    salted_at="2026-10-11T12:00:00Z",
    created_at="2026-10-11T12:00:00Z",
    place_id=1,
    place="Fridge 2",
    position=1.0,
    parent_id=None,
    count=1,
    in_bag=False,
    shape="round",
    thickness_mm=70.0,
    green_g=1100.0,
    cured_g=1000.0,
    hang_g=1000.0,
    hang_at="2026-10-25T12:00:00Z",
    hang_pm_g=None,
    base_factor=1.0,
    tare_g=0.0,
    tare_what=None,
    target_lo_pct=35.0,
    target_hi_pct=40.0,
    target_base="hang",
    cure_earliest_days=14.0,
    cure_usual_days=14.0,
    cure_rule="fourteen days",
    salt_box=False,
    rest_days=None,
    min_age_days=None,
    weigh_every_days=7.0,
    by_date=False,
    ferments=False,
    has_rest=False,
    total_salt_pct=2.75,
    nitrite_mg_per_kg=156.0,
    nitrate_mg_per_kg=100.0,
    dose_verdict="ok",
    dose_open=0,
    dose_ticked=3,
    first_tick_at=None,
    stage_until=None,
    last_net_g=1000.0,
    last_gross_g=1000.0,
    last_at="2026-10-25T12:00:00Z",
    last_kind="hang",
    last_weigh_in_id=1,
    curve=(),
    curve_count=0,
    forecast=None,
)


def lot(**values: Any) -> LotState:
    """A drying lot, hung a month ago at 1000 g, with these values instead."""
    return replace(_LOT, **values)


def weighed(*points: tuple[float, float], now: datetime = NOW, **values: Any) -> LotState:
    """A drying lot with weigh-ins given as (days ago, net grams), oldest first."""
    curve = tuple(
        CurvePoint(utc_text(now - timedelta(days=days)), grams, 1.0)
        for days, grams in reversed(points)
    )
    first = utc_text(now - timedelta(days=points[0][0]))
    known = {
        "hang_g": points[0][1],
        "hang_at": first,
        "stage_at": first,
        "curve": curve,
        "curve_count": len(curve),
        "last_net_g": points[-1][1],
        "last_at": curve[0].at,
        "last_kind": "stage",
    }
    return lot(**(known | values))
