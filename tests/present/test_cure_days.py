"""A lot before its curve: the days of its cure as a bar, and when it is turned and taken out."""

from datetime import UTC, date, timedelta

import pytest

from curedash.domain.drying.lot_figures import figures
from curedash.domain.times import utc_text
from curedash.present.curing.cure_days import before_curve_lines, softening_words
from curedash.present.words import cells, text_of
from curedash.services.drying.lot_curve import LotCurve
from curedash.services.household.history import LogLine
from curedash.services.lot_view import LotView, water_of
from tests.build import NOW, lot

TODAY = date(2026, 11, 25)


def seen(*turned: int, begun: int = 9, every: float | None = 2.0, **given) -> LotView:
    """In the cure since so many days, turned on the days named."""
    usual = {
        "stage": "in-cure",
        "stage_at": utc_text(NOW - timedelta(days=begun)),
        "salted_at": utc_text(NOW - timedelta(days=begun)),
        "hang_g": None,
        "hang_at": None,
        "cure_earliest_days": 12.0,
        "cure_usual_days": 14.0,
        "cure_rule": "2 d per cm",
        "target_lo_pct": 30.0,
        "target_hi_pct": 35.0,
    }
    record = lot(**(usual | given))
    log = tuple(
        LogLine(utc_text(NOW - timedelta(days=ago)), "turn", "turn the bag", False, n)
        for n, ago in enumerate(sorted(turned))
    )
    curve = LotCurve(record, "hang", False, (), (), (), None, None)
    shown = figures(record, NOW, UTC, "hang")
    return LotView(
        record, None, shown, (), curve, log, (), water_of(record), None, (), turn_every_days=every
    )


def texts(view: LotView, width: int = 43, height: int = 16) -> list[str]:
    lines = before_curve_lines(view, TODAY, UTC, width, height)
    assert {cells(text_of(line)) for line in lines} == {width}
    assert len(lines) <= height
    return [text_of(line).rstrip() for line in lines]


def test_its_days_are_a_bar_with_its_turns_and_its_dates():
    """Salted on 16 November; three cells a day: nine over, three to the earliest day, two more."""
    found = texts(seen(6, 2))
    assert found[0] == "Day 9 of 14: 5 days to go"
    assert found[1] == "█" * 27 + "░" * 9 + "▓" * 6
    assert [at for at, char in enumerate(found[2]) if char == "•"] == [3 * 3, 7 * 3]
    assert found[3].split() == ["16", "Nov", "30", "Nov"]
    assert "salted  Mon 16 Nov" in found
    assert "turned  23 Nov, 2 d ago, 2 times" in found
    assert "turn    due today" in found
    assert "out     28–30 Nov by 2 d per cm" in found
    assert "then    hang it, dry it to 30–35 % lost" in found


@pytest.mark.parametrize(
    ("turned", "said"),
    [
        ((), "turn    due since Wed 18 Nov"),
        ((1,), "turn    due Thu 26 Nov"),
        ((9,), "turn    due since Wed 18 Nov"),
    ],
)
def test_the_next_turn_counts_from_the_last(turned, said):
    assert said in texts(seen(*turned))


def test_nothing_is_turned_once_it_may_come_out_or_where_there_is_nothing_to_turn():
    assert not any("turn " in line for line in texts(seen(begun=15)))
    assert not any("turn " in line for line in texts(seen(every=None)))
    assert texts(seen(begun=15))[0] == "Day 15 of 14: its time is up; it can wait"


def test_a_salt_box_counts_the_days_too_many():
    found = texts(seen(begun=16, salt_box=True, has_rest=True, rest_days=28.0))
    assert found[0] == "Day 16 of 14: 2 days too long"
    assert found[1] == "█" * 28 + "▲" * 4
    assert "out     23 Nov by 2 d per cm" in found
    assert "then    rest in the cold, 28 days" in found
    assert texts(seen(begun=14, salt_box=True))[0] == "Day 14 of 14: out today"


def test_many_days_on_few_cells_still_fill_the_bar():
    found = texts(seen(begun=30, cure_earliest_days=60.0, cure_usual_days=60.0), width=40)
    assert found[1] == "█" * 20 + "░" * 20


def test_raw_meat_names_its_dose_and_the_day_out_if_it_is_salted_today():
    found = texts(seen(begun=1, stage="raw", dose_open=1, dose_ticked=2))
    assert found[0] == "Not in salt yet."
    assert "dose    1 of 3 lines to tick" in found
    assert "cure    12–14 days by 2 d per cm" in found
    assert "        salted today, it comes out 7–9 Dec" in found


def test_rest_and_softening_have_their_days_too():
    until = utc_text(NOW + timedelta(days=3))
    rest = texts(seen(stage="salt-rest", begun=7, stage_until=until))
    assert rest[0] == "Day 7 of 10: 3 days to go"
    assert "resting since Wed 18 Nov" in rest
    assert "until   Sat 28 Nov" in rest
    soft = seen(stage="equalising", begun=7, stage_until=until)
    words = softening_words(soft, TODAY, UTC, 43)
    assert words == "softens " + "█" * 7 + "░" * 2 + " day 7 of 10, until 28 Nov"
    assert softening_words(seen(), TODAY, UTC, 43) is None


def test_a_dose_in_doubt_gives_no_day_out():
    found = texts(seen(dose_verdict="refused", nitrite_mg_per_kg=5000.0))
    assert not any("out " in line for line in found)


@pytest.mark.parametrize("size", [(24, 4), (36, 8), (45, 9), (100, 20)])
def test_it_fills_its_room_whatever_is_known(size):
    for view in (
        seen(),
        seen(6, 2),
        seen(stage="raw", begun=0),
        seen(stage="raw", begun=0, cure_usual_days=None),
        seen(cure_usual_days=None),
        seen(stage="drying"),
        seen(begun=400),
        seen(begun=0, cure_usual_days=0.4, cure_earliest_days=None),
    ):
        assert texts(view, *size)
