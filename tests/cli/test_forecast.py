"""The two commands that need no file of the household: forecast --file, cure-time."""

import itertools
import json

import pytest

GOOD = "day,net_g\n0,1000\n7,930\n14,885\n21,850\n28,824\n"


@pytest.fixture
def table(tmp_path):
    def write(text, name="weighs.csv"):
        path = tmp_path / name
        path.write_text(text, encoding="utf-8")
        return str(path)

    return write


def test_forecast_of_a_file_as_json(shell, table):
    done = shell(
        "forecast", "--file", table(GOOD), "--target", "35", "--diameter", "80mm", "--json"
    )
    assert done.code == 0
    seen = done.json
    lo, hi = seen["window_day"]
    assert 28 < lo < seen["median_day"] < hi
    assert (seen["weigh_ins_used"], seen["method"]) == (5, "weigh-ins")
    assert 0 <= seen["p_levels_off"] <= 1


def test_what_moved_the_window_is_said_a_step_each(shell, table):
    air = table("day,temp_c,rh_pct\n" + "".join(f"{d},8,72\n" for d in range(29)), "air.csv")
    old = {"day": [0, 10, 20, 30, 40], "net_g": [900, 800, 740, 700, 670], "diameter_mm": 70}
    history = table(json.dumps([old]), "old.json")
    seen = shell(
        "forecast", "--file", table(GOOD), "--air", air, "--history", history, "--json"
    ).json
    steps = seen["evidence"]
    assert [one["from"] for one in steps] == [
        "thickness",
        "weigh-ins",
        "the place's air",
        "1 finished lot",
    ]
    assert steps[-1]["median_day"] == seen["median_day"]
    assert steps[0]["moved_days"] is None
    for before, after in itertools.pairwise(steps):
        moved = after["median_day"] - before["median_day"]
        assert after["moved_days"] == pytest.approx(moved, abs=0.02)
    assert sum(one["weight"] for one in seen["laws"]) == pytest.approx(1, abs=0.01)


def test_a_piece_that_stands_still_gets_no_day_but_its_chance(shell, table):
    rows = "day,net_g\n" + "".join(
        f"{d},{round(1000 * (1 - 0.2 * (1 - 2.718 ** (-d / 9))))}\n" for d in range(0, 120, 7)
    )
    done = shell("forecast", "--file", table(rows), "--target", "38")
    assert "stalled, may not get there" in done.out
    assert "pull window" not in done.out


def test_air_and_history_are_used_and_named(shell, table):
    air = table("day,temp_c,rh_pct\n" + "".join(f"{d},8,72\n" for d in range(29)), "air.csv")
    old = {"day": [0, 10, 20, 30, 40], "net_g": [900, 800, 740, 700, 670], "diameter_mm": 70}
    history = table(json.dumps([old, {**old, "in_bag": True, "air": [[0, 8, 70]]}]), "old.json")
    done = shell(
        "forecast",
        "--file",
        table(GOOD),
        "--air",
        air,
        "--history",
        history,
        "--bag",
        "--moisture",
        "73",
        "--json",
    )
    assert done.code == 0
    assert done.json["method"] == "weigh-ins, the place's air, 2 lots dried here"
    empty = shell(
        "forecast", "--file", table(GOOD), "--history", table("[]", "none.json"), "--json"
    )
    assert empty.json["method"] == "weigh-ins"


def test_two_weigh_ins_are_a_rule_of_thumb_and_say_so(shell, table):
    done = shell("forecast", "--file", table("day,net_g\n0,1000\n7,930\n"), "--target", "35")
    assert done.code == 0
    assert "rule of thumb" in done.out


def test_the_curve_is_drawn_without_colour(shell, table):
    done = shell("forecast", "--file", table(GOOD), "--target", "35", "--plot")
    assert "day since hanging" in done.out
    assert "\x1b" not in done.out


@pytest.mark.parametrize(
    ("text", "more", "code"),
    [
        ("", (), 65),
        ("day,net_g\n", (), 65),
        ("a,b\n1,2\n", (), 65),
        ("day,net_g\n0,1000\n7,x\n", (), 65),
        ("day,net_g\n0,1000\n7,nan\n14,900\n", (), 65),
        ("day,net_g\n0,1000\n14,900\n7,950\n", (), 65),
        ("day,net_g\n0,-5\n", (), 65),
        ("day,net_g\n0,1000\n7\n", (), 65),
        (GOOD, ("--target", "zero"), 65),
        (GOOD, ("--target", "99"), 65),
        (GOOD, ("--diameter", "5 kg"), 65),
        (GOOD, ("--air", "/nowhere/air.csv"), 66),
        (GOOD, ("--history", "/nowhere/old.json"), 66),
        (GOOD, ("--division", "x"), 64),
        (GOOD, ("--bogus",), 64),
    ],
)
def test_nonsense_leaves_with_one_sentence(shell, table, text, more, code):
    done = shell("forecast", "--file", table(text), *more, "--json")
    assert done.code == code
    assert done.out == ""
    assert len(done.err.strip().splitlines()) == 1


@pytest.mark.parametrize("text", ["{", "{}", "[1]", '[{"day": [0]}]', '[{"day": "x", "net_g": 3}]'])
def test_a_history_that_is_none_is_refused(shell, table, text):
    done = shell("forecast", "--file", table(GOOD), "--history", table(text, "old.json"))
    assert done.code == 65
    assert len(done.err.strip().splitlines()) == 1


def test_forecast_without_a_file_says_what_it_wants(shell):
    done = shell("forecast")
    assert done.code != 0
    assert "--file" in done.err or "curedash" in done.err


def test_cure_time_of_a_slab(shell):
    done = shell("cure-time", "--thickness", "50.8mm", "--shape", "slab", "--temp", "5C", "--json")
    assert done.code == 0
    seen = done.json
    assert seen["days_90"] == pytest.approx(10.3, abs=0.05)
    assert seen["band_90"] == pytest.approx([7.6, 15.1], abs=0.06)
    assert {"name": "one week per inch", "days": 14.0} in seen["rules"]


def test_seven_days_per_inch_is_said_to_be_short(shell):
    done = shell("cure-time", "--thickness", "89mm", "--shape", "slab", "--temp", "4C")
    assert "“one week per inch”: 24.5 d, 8 d short" in done.out


def test_cure_time_of_a_salt_box_tells_uptake_and_rest(shell):
    done = shell(
        "cure-time",
        "--thickness",
        "50mm",
        "--boundary",
        "salt-box",
        "--weight",
        "2kg",
        "--frozen",
        "--skin",
        "--json",
    )
    assert done.code == 0
    assert done.json["salt_rest_days"][0] < done.json["salt_rest_days"][1]
    assert all(0 < rule["mean_uptake_pct"] < 100 for rule in done.json["rules"])


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (("--thickness", "soft"), 65),
        (("--thickness", "0mm"), 65),
        (("--thickness", "89mm", "--temp", "200C"), 65),
        (("--thickness", "89mm", "--shape", "cube"), 64),
        ((), 64),
    ],
)
def test_cure_time_nonsense(shell, words, code):
    done = shell("cure-time", *words)
    assert done.code == code
    assert len(done.err.strip().splitlines()) == 1
