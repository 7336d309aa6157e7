"""Names as people say them: styles, curing salts, zones, days, shares and packs.

What a style or a salt is called besides is common practice of the trade.
"""

import pytest

DOSE = ("dose", "--green", "1000 g", "--rules", "us", "--salt", "2.75", "--scale", "0.01", "--json")

ADD = ("batch", "add", "--name", "One", "--green", "1 kg", "--salt", "2.75", "--curing-salt")
ADD = (*ADD, "no2", "--cure", "0.25", "--thickness", "70mm", "--rules", "us", "--style", "bresaola")

NUMBER_TWO = ("no 2", "no. 2", "no.2", "#2", "2", "pink salt 2", "No2", "cure 2")


@pytest.mark.parametrize("said", NUMBER_TWO)
def test_a_curing_salt_is_known_by_its_number(shell, said: str) -> None:
    done = shell(*DOSE, "--curing-salt", said, "--cure", "0.25")
    assert done.code == 0, done.err
    # 0.25 % of 6.25 % nitrite: 156 mg a kg, as every table of no. 2 prints it
    assert done.json["lots"][0]["nitrite_mg_per_kg"] == pytest.approx(156.25)


def test_pink_alone_asks_which_since_one_of_them_holds_nitrate(shell) -> None:
    done = shell(*DOSE, "--curing-salt", "pink", "--cure", "0.25")
    assert done.code != 0
    assert "1 or 2" in done.err


@pytest.mark.parametrize(
    ("said", "style"),
    [
        ("lonzino", "lonza"),
        ("bre", "bresaola"),
        ("thin sal", "salami-thin"),
        ("Capocollo", "coppa"),
        ("duck", "duck-breast"),
        ("prosciutto", "leg-bone-in"),
        ("loin", "lonza"),
        ("pork loin", "lonza"),
        ("eye of round", "bresaola"),
        ("silverside", "bresaola"),
        ("beef topside", "bresaola"),
        ("girello", "bresaola"),
        ("pork neck", "coppa"),
        ("neck end", "coppa"),
        ("Boston butt", "coppa"),
        ("pork cheeks", "guanciale"),
        ("jamón", "leg-bone-in"),
        ("roe deer", "venison"),
        ("fuet", "salami-thin"),
        ("landjäger", "sticks"),
    ],
)
def test_a_style_is_known_by_any_part_and_by_words_of_the_trade(shell, said, style) -> None:
    words = ("batch", "add", "--name", "One", "--stage", "drying", "--since", "-9d", "--json")
    assert shell(*words, "--style", said).json[0]["style"] == style


@pytest.mark.parametrize(
    ("said", "answer"),
    [
        ("salami", "thin salami or thick salami"),
        ("pork belly", "flat belly, rolled belly or belly to be fried"),
        ("bresola", "the closest is air-dried beef"),
        ("goose", "style list"),
    ],
)
def test_the_shell_makes_no_new_style_silently(shell, said: str, answer: str) -> None:
    done = shell(*DOSE, "--style", said)
    assert done.code != 0
    assert answer in done.err
    add = ("batch", "add", "--name", "Leg", "--green", "1 kg", "--salt", "2.75")
    kept = shell(*add, "--style", said)
    assert kept.code != 0
    assert answer in kept.err
    assert "no file" in shell("lots").err or shell("lots", "--json").json == []


def test_a_new_style_is_made_where_that_is_said(shell) -> None:
    words = ("batch", "add", "--name", "Goose", "--stage", "drying", "--since", "-9d", "--json")
    assert shell(*words, "--style", "Goose leg", "--new-style").json[0]["style"] == "goose-leg"


def test_a_zone_is_known_by_its_city(shell) -> None:
    shell("batch", "add", "--name", "One", "--stage", "drying", "--since", "-9d")
    assert "Europe/Berlin" in shell("settings", "set", "zone", "Berlin").err
    assert "America/New_York" in shell("settings", "set", "zone", "new york").err
    wrong = shell("settings", "set", "zone", "Viena")
    assert wrong.code != 0
    assert "Europe/Vienna" in wrong.err


def test_days_are_read_as_they_are_written(shell) -> None:
    shell("batch", "add", "--name", "One", "--stage", "drying", "--since", "-9d")
    for typed in ("9.12.-19.12.", "9.12.–19.12.", "9. 12. – 19. 12."):
        found = shell("away", "look", typed, "--json").json
        assert (found["first"], found["last"]) == ("2026-12-09", "2026-12-19"), typed
    found = shell("away", "look", "next Sunday", "in 6 weeks", "--json").json
    assert (found["first"], found["last"]) == ("2026-11-29", "2027-01-06")


def test_grams_a_kilogram_are_a_share_and_times_a_count_are_weights(shell) -> None:
    words = ("--curing-salt", "no2", "--rules", "us", "--json")
    per_kg = shell("dose", "--green", "1 kg", "--salt", "27.5 g/kg", "--cure", "2.5 g/kg", *words)
    in_pct = shell("dose", "--green", "1 kg", "--salt", "2.75", "--cure", "0.25", *words)
    assert per_kg.json == in_pct.json
    for typed in ("150 x4", "4 x 150 g", "150 g × 4", "4x150"):
        many = shell("dose", "--green", typed, "--salt", "2.75", "--curing-salt", "none", "--json")
        assert [each["green_g"] for each in many.json["lots"]] == [150] * 4, typed


@pytest.mark.parametrize("meat", ["cow", "heifer", "calf", "suckling pig", "ewe", "stag"])
def test_an_animal_by_its_sex_or_age_is_its_meat(shell, meat: str) -> None:
    done = shell(*ADD, "--species", meat)
    assert done.code == 0, done.err


@pytest.mark.parametrize(
    ("meat", "answer"),
    [
        ("silverside", "a cut: name the meat here, e.g. beef"),
        ("bef", "Is it beef"),
        ("neck", "pork"),
    ],
)
def test_an_unknown_meat_offers_the_nearest(shell, meat: str, answer: str) -> None:
    done = shell(*ADD, "--species", meat)
    assert done.code != 0
    assert answer in done.err


def test_game_by_another_name_still_brings_its_caution(shell) -> None:
    assert "Game: it is not inspected" in shell(*ADD, "--species", "stag").out


def test_a_cut_spelled_nearly_right_is_kept_and_said(shell) -> None:
    done = shell(*ADD, "--species", "beef", "--cut", "silversyde")
    assert "The closest known name is silverside" in done.err
    assert "closest" not in shell(*ADD, "--species", "beef", "--cut", "outside round").err


def test_the_book_finds_a_cut_by_any_of_its_names(shell) -> None:
    words = ("--name", "Neck", "--style", "coppa", "--stage", "drying", "--since", "-40d")
    shell("batch", "add", *words, "--weight", "800 g", "--thickness", "70mm")
    assert shell("finish", "A1", "--liked", "4").code == 0
    assert [lot["code"] for lot in shell("book", "--cut", "pork neck", "--json").json] == ["A1"]
    assert shell("book", "--cut", "loin", "--json").json == []
