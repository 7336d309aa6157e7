"""A sausage's own path: mixed, stuffed, fermented warm, hung; never in the cure."""

import pytest

MIX = ("batch", "add", "--name", "Garlic string", "--style", "thin salami", "--green", "2 kg")
MIX = (*MIX, "--salt", "2.75", "--curing-salt", "no2", "--cure", "0.25", "--rules", "us")
MIX = (*MIX, "--scale", "0.1", "--count", "8")


@pytest.fixture
def places(shell):
    """A warm box, a cold fridge and a cellar."""
    shell("place", "add", "Warm box", "--temp", "20..24C", "--rh", "85..95")
    shell("place", "add", "Fridge", "--temp", "2..4C")
    shell("place", "add", "Cellar", "--temp", "10..14C", "--rh", "70..80")
    return shell


def lot(shell):
    return shell("lots", "--json").json[0]


def causes(shell):
    return {need["cause"] for need in shell("check", "--json").json}


def test_what_is_mixed_waits_to_be_stuffed_and_is_not_in_the_cure(places, monkeypatch) -> None:
    done = places(*MIX, "--salted-on", "today")
    assert done.code == 0, done.err
    assert "how thick" not in done.err
    assert lot(places)["stage"] == "raw"
    assert causes(places) == set()
    monkeypatch.setenv("CUREDASH_NOW", "2026-11-27T18:00:00Z")
    (need,) = [n for n in places("check", "--json").json if n["cause"] == "not-stuffed"]
    assert need["message"] == "mixed 2 d ago, not stuffed"
    assert "ferment" in need["action"]


def test_the_salt_of_ground_meat_is_mixed_in_so_the_cure_asks_why(places) -> None:
    places(*MIX, "--salted-on", "today")
    done = places("stage", "A1", "in-cure")
    assert done.code == 65
    assert "mixed in" in done.err
    assert places("stage", "A1", "in-cure", "--note", "rests overnight before stuffing").code == 0


def test_it_is_stuffed_weighed_with_its_casing_and_ferments_warm(places, monkeypatch) -> None:
    places(*MIX)
    cold = places("stage", "A1", "ferment", "--weight", "2060 g", "--tare", "45g", "--place")
    assert cold.code != 0
    open_sheet = places("stage", "A1", "ferment", "--weight", "2060 g", "--place", "Warm box")
    assert "not ticked" in open_sheet.err
    assert places("tick", "A1", "--all").code == 0
    stuffed = ("stage", "A1", "ferment", "--weight", "2060 g", "--tare", "45g")
    cold = places(*stuffed, "--place", "Fridge")
    assert cold.code == 65
    assert "A ferment hardly starts below" in cold.err
    done = places(*stuffed, "--tare-what", "casing and string", "--place", "Warm box")
    assert done.code == 0, done.err
    found = lot(places)
    assert (found["stage"], found["base_g"]) == ("ferment", 2015)
    monkeypatch.setenv("CUREDASH_NOW", "2026-11-27T18:00:00Z")
    assert places("ph", "A1", "5.1").code == 0
    assert places("look", "A1", "--smoked", "4 h beech, 18 °C").code == 0
    hung = places("stage", "A1", "drying", "--place", "Cellar")
    assert hung.code == 0, hung.err
    monkeypatch.setenv("CUREDASH_NOW", "2026-12-20T18:00:00Z")
    done = places("finish", "A1", "1350 g", "--liked", "5", "--yes", "--json")
    assert done.code == 0, done.err
    assert "4 h beech" in places("record", "A1").out
    assert "smoke A1" in places("history", "A1").out
    assert places("look", "A1", "--smoked", "again").code == 65  # it has ended
    assert done.json["days"] == 25  # counted from the day it was mixed and stuffed


def test_ground_meat_under_way_is_not_in_the_cure(places) -> None:
    words = ("--name", "String", "--style", "thin salami", "--stage", "in-cure", "--since", "-1d")
    done = places("batch", "add", *words)
    assert done.code == 65
    assert "mixed in" in done.err


def test_a_sausage_that_ferments_already_is_taken_in(places, monkeypatch) -> None:
    words = ("--name", "String", "--style", "thin salami", "--stage", "ferment", "--since", "-1d")
    done = places("batch", "add", *words, "--weight", "2060 g", "--tare", "45g")
    assert done.code == 0, done.err
    found = lot(places)
    assert (found["stage"], found["last_net_g"]) == ("ferment", 2015)
    assert "thickness" not in places("check").out
    assert places("ph", "A1", "5.4").code == 0
    assert places("ph", "A1", "5.3").code == 0
    assert places("stage", "A1", "drying", "--place", "Cellar").code == 0
    monkeypatch.setenv("CUREDASH_NOW", "2026-11-29T18:00:00Z")
    assert places("weigh", "A1", "1990 g").code == 0


def test_out_of_the_ferment_without_its_ph_only_with_a_reason(places) -> None:
    """The pH to reach, 5.3, is that of the log form for degree-hours (domain/facts)."""
    words = ("--name", "String", "--style", "thin salami", "--stage", "ferment", "--since", "-1d")
    places("batch", "add", *words, "--weight", "2060 g", "--tare", "45g")
    leave = ("stage", "A1", "drying", "--place", "Cellar")
    asked = places(*leave)
    assert asked.code == 65
    assert "No pH was measured in its ferment, and 5.3 is not reached" in asked.err
    places("ph", "A1", "5.4")
    asked = places(*leave)
    assert "The last pH is 5.4, and 5.3 is not reached" in asked.err
    assert lot(places)["stage"] == "ferment"
    assert places(*leave, "--note", "firm and sour, dried from here on").code == 0
    assert "drying anyway: firm and sour, dried from here on" in places("record", "A1").out


def test_the_warmest_place_is_proposed_to_ferment_in_but_none_that_is_hot(places) -> None:
    places("place", "add", "Boiler room", "--temp", "36..44C")
    places(*MIX, "--salted-on", "today")
    done = places("stage", "A1", "ferment", "--weight", "2060 g", "--tare", "45g")
    assert "A1: hangs in Warm box, the warmest; --place names another place." in done.err


def test_what_is_ticked_is_mixed_and_waits_to_be_stuffed(places, monkeypatch) -> None:
    places(*MIX)
    assert places("tick", "A1", "--all").code == 0
    monkeypatch.setenv("CUREDASH_NOW", "2026-11-27T18:00:00Z")
    (need,) = [n for n in places("check", "--json").json if n["cause"] == "not-stuffed"]
    assert need["message"] == "mixed 2 d ago, not stuffed"


def test_a_use_by_day_asks_for_salt_until_it_is_mixed_in(places, monkeypatch) -> None:
    places(*MIX, "--source", "shop", "--use-by", "2026-11-26")
    assert "use-by" in causes(places)
    assert places("tick", "A1", "--all").code == 0
    assert "use-by" not in causes(places)
    assert places("tick", "A1", "salt", "--untick").code == 0
    assert "use-by" in causes(places)


def test_a_dose_outside_every_rule_is_not_stuffed_without_a_reason(places) -> None:
    places(*MIX)
    for name, grams in (("salt", "50g"), ("curing-salt", "40g")):
        places("tick", "A1", name, grams, "--note", "weighed twice", "--yes")
    places("tick", "A1", "--all")
    stuffed = ("stage", "A1", "ferment", "--weight", "2060 g", "--tare", "45g")
    asked = places(*stuffed, "--place", "Warm box")
    assert asked.code == 65
    assert "A1: Its dose is outside every rule it is checked against" in asked.err
    assert "mg/kg nitrite" in asked.err
    assert places("stage", "A1", "discarded", "--note", "too much curing salt").code == 0


def test_meat_past_its_use_by_day_is_not_stuffed_without_a_reason(places, monkeypatch) -> None:
    places(*MIX, "--source", "shop", "--use-by", "2026-11-26")
    monkeypatch.setenv("CUREDASH_NOW", "2026-11-27T18:00:00Z")
    assert places("tick", "A1", "--all").code == 0
    asked = places("stage", "A1", "ferment", "--weight", "2060 g", "--tare", "45g")
    assert asked.code == 65
    assert "use-by date, 2026-11-26, is past; curing does not rescue it" in asked.err


def test_a_whole_muscle_past_its_use_by_day_is_asked_about_as_well(places, monkeypatch) -> None:
    words = ("--name", "Eye", "--style", "bresaola", "--green", "1100g", "--thickness", "78mm")
    salts = ("--salt", "2.75", "--curing-salt", "no2", "--cure", "0.25", "--rules", "us")
    label = ("--source", "shop", "--use-by", "2026-11-26", "--scale", "0.1", "--place", "Fridge")
    assert places("batch", "add", *words, *salts, *label).code == 0
    assert places("tick", "A1", "--all").code == 0
    monkeypatch.setenv("CUREDASH_NOW", "2026-11-27T18:00:00Z")
    asked = places("stage", "A1", "in-cure")
    assert asked.code == 65
    assert "A1: The meat's use-by date, 2026-11-26, is past" in asked.err
    done = places("stage", "A1", "in-cure", "--note", "frozen since, label of the shop")
    assert done.code == 0, done.err


def test_what_was_mixed_in_time_may_be_stuffed_after_the_use_by_day(places, monkeypatch) -> None:
    places(*MIX, "--source", "shop", "--use-by", "2026-11-26")
    assert places("tick", "A1", "--all").code == 0
    monkeypatch.setenv("CUREDASH_NOW", "2026-11-27T18:00:00Z")
    done = places("stage", "A1", "ferment", "--weight", "2060 g", "--tare", "45g")
    assert done.code == 0, done.err


def test_out_of_the_ferment_a_cooler_place_is_asked_for_where_none_is_known(shell) -> None:
    shell("place", "add", "Warm box", "--temp", "20..24C", "--rh", "85..95")
    shell(*MIX, "--salted-on", "today")
    shell("stage", "A1", "ferment", "--weight", "2060 g", "--tare", "45g", "--place", "Warm box")
    assert shell("ph", "A1", "5.2").code == 0
    hung = shell("stage", "A1", "drying")
    assert hung.code == 0, hung.err
    assert "Warm box is too warm to dry in: use or add a cooler place" in hung.err
    (need,) = [n for n in shell("check", "--json").json if n["cause"] == "place-dries-warm"]
    assert need["message"] == "A1 drying at 20–24 °C, over 18 °C"
    assert need["action"] == "move what hangs there to a cooler place, or add such a place"
    shell("place", "add", "Cellar", "--temp", "10..14C")
    assert shell("move", "A1", "Cellar").code == 0
    assert "place-dries-warm" not in causes(shell)
