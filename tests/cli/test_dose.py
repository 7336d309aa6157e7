"""``curedash dose`` as other programs call it: flags in, one JSON document or one sentence out."""

import json

import pytest

from curedash.__main__ import main

US = ["--rules", "us", "--class", "dry-cured"]
NO1 = ["--curing-salt", "no1"]
KEYS = {
    "green_g",
    "ingredients",
    "total_salt_pct",
    "nitrite_mg_per_kg",
    "nitrate_mg_per_kg",
    "half_division_error_pct",
    "verdict",
    "messages",
    "limit",
    "nitrate_limit",
}


@pytest.fixture
def dose(tmp_path, monkeypatch, capsys):
    monkeypatch.setenv("CUREDASH_DB", str(tmp_path / "none.db"))

    def call(*words):
        code = main(["dose", *words, "--json"])
        out, err = capsys.readouterr()
        return code, json.loads(out)["lots"] if out else None, err

    return call


def weighed(lot, kind):
    return next(item["weigh_g"] for item in lot["ingredients"] if item["kind"] == kind)


def test_the_contract_of_two_pieces(dose):
    code, lots, err = dose(
        "--green",
        "1134 g",
        "--green",
        "2 lb 4.8 oz",
        "--salt",
        "2.75",
        "--curing-salt",
        "no2",
        "--cure",
        "0.25",
        *US,
        "--scale",
        "0.1",
        "--thickness",
        "80mm",
        "--style",
        "bresaola",
    )
    assert (code, err) == (0, "")
    assert [lot["green_g"] for lot in lots] == [1134.0, pytest.approx(1043.26, abs=0.005)]
    for lot in lots:
        assert set(lot) >= KEYS
        assert {"name", "exact_g", "weigh_g"} <= set(lot["ingredients"][0])
        assert {"mg_per_kg", "basis", "rule_set", "product_class", "source"} <= set(lot["limit"])
        assert lot["verdict"] == "within-limits"
    assert weighed(lots[0], "curing-salt") == 2.8
    assert lots[0]["half_division_error_pct"] == pytest.approx(100 * 0.05 / 2.835, abs=1e-3)


def test_refused_prints_the_document_and_one_sentence(dose):
    code, lots, err = dose("--green", "1 kg", "--salt", "2.75", *NO1, "--cure", "2.5", *US)
    assert code == 65
    assert lots[0]["verdict"] == "refused"
    assert lots[0]["nitrite_mg_per_kg"] == pytest.approx(1562.5, rel=0.02)
    assert {"field": "cure_pct", "value": 0.25} in lots[0]["accepted"]
    assert err.count("\n") == 1
    assert "Accepted: curing salt 0.25 %" in err


def test_a_caution_leaves_with_zero(dose):
    code, lots, _err = dose(
        "--green",
        "1 kg",
        "--salt",
        "2.75",
        "--curing-salt",
        "nitrited-0.6",
        "--cure",
        "0.25",
        *US,
        "--scale",
        "0.01",
    )
    assert (code, lots[0]["verdict"]) == (0, "caution")
    assert lots[0]["nitrite_mg_per_kg"] == 15


@pytest.mark.parametrize(
    ("words", "method", "nitrite"),
    [
        (
            ["--method", "equilibrium-brine", "--water", "500 g", "--salt", "3", "--wanted", "120"],
            "equilibrium-brine",
            120,
        ),
        (
            ["--method", "immersion", "--pickup", "4", "--salt", "12", "--wanted", "78.92"],
            "immersion",
            78.92,
        ),
        (
            ["--method", "injection", "--pump", "10", "--salt", "15", "--wanted", "148.6 ppm"],
            "injection",
            148.6,
        ),
        (["--method", "ground", "--salt", "2.75", "--cure", "0.25"], "ground", 156.25),
        (["--method", "salt-box"], "salt-box", None),
    ],
)
def test_every_method_from_the_shell(dose, words, method, nitrite):
    asked = [] if method == "salt-box" else [*NO1, "--because", "class=only the arithmetic"]
    code, lots, _err = dose("--green", "1000 g", *words, *asked, "--scale", "0.001", *US)
    assert code == 0
    assert lots[0]["method"] == method
    expected = None if nitrite is None else pytest.approx(nitrite, rel=2e-3)
    assert lots[0]["nitrite_mg_per_kg"] == expected


def test_a_pack_of_unknown_strength(dose):
    code, lots, _err = dose(
        "--green", "1134 g", "--method", "pack", "--pack-weight", "145g", "--pack-for", "5lb"
    )
    lot = lots[0]
    assert (code, lot["verdict"], lot["pack_ratio"]) == (0, "caution", 1.0)
    assert (lot["nitrite_mg_per_kg"], lot["total_salt_pct"]) == (None, None)
    assert any("Strength unknown" in text for text in lot["messages"])


def test_one_pack_shared_between_pieces(dose):
    pack = ["--pack-weight", "145g", "--pack-for", "5lb", "--packs", "1", "--scale", "0.1"]
    code, lots, _err = dose("--green", "1000 g", "--green", "1250 g", *pack)
    assert code == 0
    assert sum(weighed(lot, "pack") for lot in lots) == pytest.approx(145, abs=0.11)


def test_a_group_dose_is_one_lot_and_says_so(dose):
    _code, lots, _err = dose(
        "--green", "180 g", "--green", "195 g", "--group", "--salt", "2.75", "--scale", "0.1"
    )
    assert [(lot["green_g"], lot["pieces"]) for lot in lots] == [(375.0, 2)]
    assert any("together" in text for text in lots[0]["messages"])


def test_the_mis_dose_bench(dose):
    base = ["--green", "1 kg", "--salt", "2.75", *NO1, "--cure", "0.25", "--scale", "0.1", *US]
    code, lots, _err = dose(*base, "--given", "curing-salt=7.5g", "--lost-liquid", "20 g")
    bench = lots[0]["given"]
    assert code == 0
    line = next(line for line in bench["ingredients"] if line["kind"] == "curing-salt")
    assert (line["planned_g"], line["given_g"], line["over_g"]) == (2.5, 7.5, 5.0)
    assert bench["meat_to_plan_g"] == 2000
    assert bench["at_least"]["nitrite_mg_per_kg"] < bench["nitrite_mg_per_kg"] < 468.75
    assert bench["choices"]
    code, lots, _err = dose(*base, "--given", "curing-salt=1 g", "--given-salt", "5.88/0")
    assert lots[0]["given"]["nitrite_mg_per_kg"] == pytest.approx(58.8)


def test_a_premix_is_proposed_on_a_coarse_scale(dose):
    _code, lots, _err = dose("--green", "300 g", "--salt", "2.75", *NO1, "--cure", "0.25", *US)
    premix = lots[0]["premix"]
    assert premix["nitrite_pct"] == pytest.approx(6.25 / (1 + premix["parts_plain"]))
    assert premix["plain_salt_g"] == premix["curing_salt_g"] * premix["parts_plain"]


@pytest.mark.parametrize(
    ("words", "code"),
    [
        ([], 64),
        (["--green", "1 kg"], 65),
        (["--green", "1 kg", "--salt", "1 tsp"], 65),
        (["--green", "nan", "--salt", "2.75"], 65),
        (["--green", "-5 g", "--salt", "2.75"], 65),
        (["--green", "1 kg", "--salt", "2.75", "--cure", "0.25"], 65),
        (["--green", "1 kg", "--salt", "2.75", "--cure", "0.25", "--curing-salt", "🧂"], 65),
        (["--green", "1 kg", "--salt", "2.75", "--rules", "mars"], 64),
        (["--green", "1 kg", "--salt", "2.75", "--rules", "us", "--class", "shelf-stable"], 65),
        (["--green", "1 kg", "--salt", "2.75", "--method", "pack"], 65),
        (["--green", "1 kg", "--salt", "2.75", "--thickness", "8cm", "--thickness", "9cm"], 64),
        (["--green", "1 kg", "--salt", "2.75", "--given", "curing-salt"], 64),
        (["--green", "1 kg", "--salt", "2.75", "--given", "magic=3g"], 65),
        (["--green", "1,043", "--salt", "2.75"], 65),
        (["--green", "1 kg", "--salt", "2.75", "--style", "\x1b[31m"], 66),
        (["--green", "1 kg", "--salt", "2.75", "--scale", "0"], 65),
        (["--green", "1 kg", "--salt", "2.75", "--wanted", "lots", *NO1], 65),
    ],
)
def test_what_cannot_be_is_one_sentence(dose, words, code):
    left, lots, err = dose(*words)
    assert (left, lots) == (code, None)
    assert err.count("\n") == 1
    assert "Traceback" not in err


def test_lines_for_people(dose, capsys):
    words = [
        "dose",
        "--green",
        "1134 g",
        "--salt",
        "2.75",
        *NO1,
        "--cure",
        "0.25",
        "--scale",
        "0.1",
    ]
    assert main([*words, *US, "--thickness", "3 in", "--shape", "round"]) == 0
    out = capsys.readouterr().out
    assert "nitrite 154.3 mg/kg" in out
    assert "earliest day" in out
    assert "FSIS Handbook" in out


def test_markup_and_control_characters_in_names_stay_text(dose):
    _code, lots, _err = dose(
        "--green", "1 kg", "--salt", "2.75", "--extra", "[b]pepper[/b]\n=0.3", "--scale", "0.1"
    )
    assert lots[0]["ingredients"][-1]["name"] == "[b]pepper[/b]"


# ── what is asked, in the shell ───────────────────────────────────────────────────────────


SALAMI = ("--green", "2 kg", "--style", "salami-thick", "--rules", "us", "--scale", "0.01")


def test_a_styles_own_curing_salt_is_in_unless_it_is_left_out_in_so_many_words(dose):
    _code, lots, _err = dose(*SALAMI)
    assert lots[0]["nitrite_mg_per_kg"] == pytest.approx(156.25)
    assert lots[0]["limit"]["product_class"] == "comminuted"
    _code, lots, _err = dose(*SALAMI, "--curing-salt", "none")
    assert lots[0]["nitrite_mg_per_kg"] == 0
    (asked,) = lots[0]["questions"]
    assert (asked["question"], asked["open"], asked["must_be_answered"]) == (
        "no-nitrite",
        True,
        True,
    )
    _code, lots, _err = dose(*SALAMI, "--cure", "0", "--because", "no-nitrite=eaten in a week")
    assert (lots[0]["questions"][0]["open"], lots[0]["verdict"]) == (False, "caution")


def test_an_unknown_question_is_refused_with_those_there_are(capsys):
    assert main(["dose", "--green", "1 kg", "--salt", "3", "--because", "weather=wet"]) == 64
    assert (
        "the questions are class, no-nitrite, little-salt, ferment, large-share"
        in capsys.readouterr().err
    )


@pytest.mark.parametrize(
    ("words", "days", "said"),
    [
        (("--temp", "20C"), None, "No days are given below -1 °C or above 7 °C"),
        (("--temp", "-2C"), None, "No days are given below"),
        (("--temp", "6C"), True, "too warm for a cure"),
        ((), True, "These days are for the salt"),
    ],
)
def test_days_are_given_only_where_a_rule_was_used(dose, words, days, said):
    _code, lots, _err = dose(
        "--green", "1 kg", "--salt", "2.75", *NO1, "--cure", "0.25", "--thickness", "60mm", *words
    )
    window = lots[0]["cure_time"]
    assert (window["usual_days"] is not None) is bool(days)
    assert any(said in text for text in window["messages"])


def test_ten_kilograms_without_a_thickness_have_no_days(dose):
    _code, lots, _err = dose("--green", "10 kg", "--salt", "2.75", *NO1, "--cure", "0.25")
    assert lots[0]["cure_time"]["usual_days"] is None
    assert lots[0]["cure_time"]["rule"] is None


def test_a_pick_up_stops_by_weight(dose):
    """1 kg at 10 % pick-up; left in, 1 kg water with 2 % of 6.25 % goes on to 658 mg/kg."""
    _code, lots, _err = dose(
        "--green",
        "1 kg",
        "--method",
        "immersion",
        "--pickup",
        "10",
        "--water",
        "1 kg",
        "--salt",
        "10",
        *NO1,
        "--cure",
        "2",
        "--scale",
        "0.1",
    )
    assert lots[0]["cure_time"]["stop_g"] == 1100
    assert any("658 mg/kg" in text for text in lots[0]["messages"])
    assert lots[0]["verdict"] == "caution"


def test_what_is_in_it_is_said_as_weighed_and_by_the_exact_grams(shell) -> None:
    """The limit is held against the higher; both are named where the scale parts them."""
    words = (
        "dose",
        "--green",
        "1134 g",
        "--salt",
        "2.75",
        "--curing-salt",
        "no2",
        "--cure",
        "0.25",
    )
    rules = ("--rules", "us", "--class", "dry-cured")
    coarse = shell(*words, *rules, "--scale", "0.1").out
    assert "  as weighed: total salt 2.74 % · nitrite 154.3 mg/kg · nitrate 98.8 mg/kg\n" in coarse
    exact = "  exact: total salt 2.75 % · nitrite 156.2 mg/kg · nitrate 100 mg/kg; "
    assert exact + "the higher counts against a limit\n" in coarse
    assert "nitrite 156.2 mg/kg;" in coarse.splitlines()[-3]
    told = "  - curing salt no. 2 is counted as 6.25 % nitrite, 4 % nitrate (trade pages agree)."
    assert coarse.splitlines()[-2] == f"{told} Does its label say so?"
    assert "1 % nitrate (trade page). Does" in shell(*words[:6], "no2-low", *words[7:], *rules).out
    assert "Does its label" not in shell(*words[:6], "6.25/4", *words[7:], *rules).out
    fine = shell(*words, *rules, "--scale", "0.001").out
    assert "as weighed" not in fine
    assert fine.count("nitrite 156.2 mg/kg") == 2


def test_what_is_compared_and_what_is_not_have_a_line_each(shell):
    """Great Britain: 150 mg/kg nitrite in what is eaten uncooked, nothing for nitrate with it."""
    done = shell(
        *("dose", "--green", "1134 g", "--style", "bresaola", "--rules", "gb", "--scale", "0.1"),
        *("--curing-salt", "no2", "--cure", "0.2", "--thickness", "80mm"),
    )
    told = [line.strip() for line in done.out.splitlines()]
    assert [line for line in told if "not checked: " in line] == [
        "not checked: No figure is known for nitrate (gb, non-heat-treated)"
    ]
    within = [line for line in told if line.startswith("within the limit of 150 mg/kg NaNO2")]
    assert ["nitrate" in line for line in within] == [False]
