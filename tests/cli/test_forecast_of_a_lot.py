"""``curedash forecast C2``: the window of a lot by the calendar."""

from collections.abc import Callable
from datetime import UTC, date, datetime

import pytest

from tests.cli.conftest import Done
from tests.demo import copy_demo

Shell = Callable[..., Done]


@pytest.fixture
def demo(shell: Shell, db_path: str) -> Shell:
    copy_demo(db_path, datetime(2026, 11, 25, 18, tzinfo=UTC))
    return shell


def test_the_window_is_the_one_of_the_rack(demo: Shell) -> None:
    found = demo("forecast", "F2", "--json").json
    listed = next(lot for lot in demo("lots", "--json").json if lot["code"] == "F2")
    assert found["pull_window"] == listed["pull_window"]
    first, last = (date.fromisoformat(day) for day in found["pull_window"])
    assert first < date.fromisoformat(found["median_date"]) < last
    assert found["weigh_ins_used"] == 4


def test_it_names_what_the_scale_will_show(demo: Shell) -> None:
    found = demo("forecast", "F2", "--json").json
    # hung at 1321 g with 46 g of casing and twine: 1275 g net, pulled at 30-38 % of it
    assert found["pull_at_g_on_scale"] == [1275 * 0.62 + 46, 1275 * 0.70 + 46]


def test_a_curve_is_drawn(demo: Shell) -> None:
    assert "day since hanging" in demo("forecast", "F2", "--plot").out


def test_before_hanging_it_says_what_is_missing(demo: Shell) -> None:
    done = demo("forecast", "G1")
    assert done.code == 65
    assert "hang weight" in done.err


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("F2", "--diameter", "80mm"), "--diameter is for a file of weigh-ins"),
        (("F2", "--bag"), "--bag is for a file of weigh-ins"),
        (("F2", "--division", "0.1"), "--division is for a file of weigh-ins"),
        (("--file", "x.csv", "--place", "Cellar"), "--place is for a lot"),
        (("--file", "x.csv", "--hold", "7d"), "--hold is for a lot"),
    ],
)
def test_an_option_that_would_change_nothing_is_refused(demo: Shell, words, says: str) -> None:
    done = demo("forecast", *words)
    assert done.code == 64
    assert says in done.err


def test_a_lot_or_a_file_and_not_both(demo: Shell) -> None:
    assert demo("forecast").code == 64
    assert demo("forecast", "F2", "--file", "x.csv").code == 64
    assert demo("forecast", "Z9").code == 66


def test_what_windows_window_before_is_listed_with_the_day_it_was(demo: Shell) -> None:
    found = demo("forecast", "--past", "--json").json
    assert {"scores", "windows"} == set(found)
    done = demo("forecast", "--past", "F2")
    assert done.code == 0
    assert "has to reach its target first" in done.out
    assert demo("forecast", "--past", "--file", "x.csv").code == 64
    assert demo("forecast", "--kept", "--json").json == found


def test_what_if_stands_beside_what_is_and_stores_nothing(demo: Shell) -> None:
    before = demo("lots", "--json").out
    present = demo("forecast", "F2", "--json").json
    later = demo("forecast", "F2", "--target", "38", "--json").json
    assert later["present"]["pull_window"] == present["pull_window"]
    assert later["median_date"] > present["median_date"]
    held = demo("forecast", "F2", "--hold", "7d", "--json").json
    moved = date.fromisoformat(held["median_date"]) - date.fromisoformat(present["median_date"])
    assert 6 <= moved.days <= 8  # a week in a bag is a week later
    text = demo("forecast", "F2", "--target", "38").out
    assert "F2 is: " in text
    assert "F2 would be: " in text
    assert "Nothing was saved." in text
    assert demo("lots", "--json").out == before


def test_a_what_if_that_cannot_be_is_one_sentence(demo: Shell) -> None:
    for words in (("--target", "99"), ("--hold", "9999d"), ("--hold", "soon")):
        done = demo("forecast", "F2", *words)
        assert done.code == 65
        assert done.err.count("\n") == 1


def test_another_place_is_compared_by_its_air_and_stores_nothing(demo: Shell, monkeypatch) -> None:
    before = demo("lots", "--json").out
    present = demo("forecast", "F2", "--json").json
    assert demo("place", "add", "Dry loft", "--temp", "12..14C", "--rh", "55..60").code == 0
    assert demo("place", "add", "Damp vault", "--temp", "12..14C", "--rh", "88..92").code == 0
    dry = demo("forecast", "F2", "--place", "dry loft", "--json").json
    damp = demo("forecast", "F2", "--place", "Damp vault", "--json").json
    assert dry["place"] == "Dry loft"
    assert dry["present"]["median_date"] == present["median_date"]
    assert dry["median_date"] < present["median_date"]
    assert damp["median_date"] is None or damp["median_date"] > present["median_date"]
    assert "F2 would be: " in demo("forecast", "F2", "--place", "Dry loft").out
    said = demo("forecast", "F2", "--place", "Dry loft").out
    assert "in Dry loft" in said
    by_band = "13.0 °C, 58 %: the middle of its band, as nothing was read there lately."
    assert f"The air in Dry loft is taken as {by_band}" in said
    assert "uncertain by ±50 %, a design value" in said
    assert dry["place_air"] == {"temp_c": 13.0, "rh_pct": 57.5, "from": "band"}
    read = demo("forecast", "F2", "--place", "Pantry fridge")
    assert "its mean of the last 14 days." in read.out
    assert demo("lots", "--json").out == before


def test_another_place_of_which_nothing_is_known_is_refused(demo: Shell) -> None:
    assert demo("place", "add", "Attic").code == 0
    unknown = demo("forecast", "F2", "--place", "Attic")
    assert unknown.code == 65
    assert "Nothing is known of the air in Attic" in unknown.err
    here = next(lot for lot in demo("lots", "--json").json if lot["code"] == "F2")["place"]
    assert "already" in demo("forecast", "F2", "--place", here).err
    assert demo("forecast", "F2", "--place", "Nowhere").code != 0


@pytest.mark.parametrize("target", ["5", "31%", "31"])
def test_a_target_the_lot_has_reached_is_one_sentence(demo: Shell, target: str) -> None:
    """D1 has lost 31.1 % of its hang weight."""
    done = demo("forecast", "D1", "--target", target)
    assert (done.code, done.out) == (65, "")
    assert done.err == "D1 has lost 31.1 % already; give a target above that.\n"
    assert demo("forecast", "D1", "--target", "32").code == 0


@pytest.mark.parametrize("typed", ["7", "7d", "7 d", "7 days", "7,0d"])
def test_days_on_hold_are_read_as_they_are_said(demo: Shell, typed: str) -> None:
    assert demo("forecast", "F2", "--hold", typed).out == demo("forecast", "F2", "--hold", "7").out
    assert demo("forecast", "F2", "--hold", "1 day").code == 0
