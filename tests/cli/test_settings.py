"""Settings from the shell: the household's in its file, a person's in theirs."""

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from curedash.present.display_units import show_in
from curedash.services.household.preferences import view_path
from tests.cli.conftest import Done

Shell = Callable[..., Done]


@pytest.fixture(autouse=True)
def usual_units() -> Iterator[None]:
    show_in()
    yield
    show_in()


def test_what_stands_without_a_choice(hanging: Shell) -> None:
    found = hanging("settings", "list", "--json").json
    assert found["weights"] == "g"
    assert found["temperatures"] == "C"
    assert found["copies"] == 14
    assert found["scales"] == []
    assert "rule-set" in hanging("settings", "list").out


def test_pounds_in_lines_and_grams_in_json(hanging: Shell) -> None:
    assert hanging("settings", "set", "weights", "lb").code == 0
    done = hanging("weigh", "A1", "2 lb 4.8 oz", "--at", "2026-11-20")
    # 2 lb 4.8 oz less the 28 g (1.0 oz) of hook and net
    assert "2 lb 3.8 oz net (2 lb 4.8 oz − 1 oz tare)" in done.out
    lot = next(x for x in hanging("lots", "--json").json if x["code"] == "A1")
    # NIST SP 811 (2008), appendix B.8
    assert lot["last_net_g"] == pytest.approx(2 * 453.59237 + 4.8 * 28.349523125 - 28)
    assert " oz" in hanging("handover").out


def test_fahrenheit_in_lines_and_celsius_in_json(hanging: Shell) -> None:
    hanging("settings", "set", "temperatures", "F")
    hanging("place", "set", "Fridge 2", "--temp", "2..5C")
    assert "35.6–41 °F" in hanging("place", "list").out
    assert hanging("place", "list", "--json").json[0]["temp_c"] == [2.0, 5.0]
    hanging("air", "add", "Fridge 2", "3.5", "78")  # a bare number stays °C in the shell
    assert hanging("air", "last", "--json").json[0]["last"]["temp_c"] == 3.5
    assert "in-cure-warm-24h" in hanging("rules", "list").out
    assert "41 °F" in hanging("rules", "list").out


def test_the_household_settles_rule_set_zone_copies_and_scales(hanging: Shell) -> None:
    assert hanging("settings", "set", "rule-set", "eu").code == 0
    assert hanging("settings", "set", "zone", "Europe/Vienna").code == 0
    assert hanging("settings", "set", "copies", "30").code == 0
    assert hanging("settings", "list", "--json").json["keep_days"] is None
    assert hanging("settings", "set", "keep-days", "90").code == 0
    assert hanging("settings", "list", "--json").json["keep_days"] == 90
    assert hanging("settings", "set", "keep-days", "0").code == 0
    assert hanging("settings", "list", "--json").json["keep_days"] is None
    assert hanging("settings", "scale", "fine", "0.1", "g", "500", "g").code == 0
    assert hanging("settings", "scale", "fine 0.05 g 500 g").code == 0
    found = hanging("settings", "list", "--json").json
    assert (found["rule_set"], found["zone"], found["copies"]) == ("eu", "Europe/Vienna", 30)
    assert found["scales"] == [{"name": "fine", "division_g": 0.05, "max_g": 500.0}]
    assert hanging("settings", "forget-scale", "FINE").code == 0
    assert hanging("settings", "list", "--json").json["scales"] == []


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (("set", "weights", "stone"), 65),
        (("set", "colour", "red"), 65),
        (("set", "rule-set", "mars"), 66),
        (("set", "zone", "Nowhere/At"), 65),
        (("set", "copies", "0"), 65),
        (("set", "copies", "many"), 65),
        (("set", "keep-days", "4000"), 65),
        (("set", "keep-days", "long"), 65),
        (("scale", "kitchen"), 65),
        (("scale", "kitchen 5 g 1 g"), 65),
        (("forget-scale", "none"), 66),
        (("fly",), 64),
    ],
)
def test_refused_with_one_sentence(hanging: Shell, words: tuple[str, ...], code: int) -> None:
    done = hanging("settings", *words)
    assert done.code == code
    assert done.err.count("\n") == 1


def test_a_view_that_is_no_toml_is_one_sentence_and_the_command_goes_on(hanging: Shell) -> None:
    path = Path(view_path())
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text("weights = ", encoding="utf-8")
    done = hanging("lots")
    assert done.code == 0
    assert "A1" in done.out
    assert done.err.count("\n") == 1
    assert "is not TOML" in done.err
