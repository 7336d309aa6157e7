"""What a dose is compared with: the class that follows, questions, and what is said of neither.

Limits by 9 CFR 424.21(c) and 424.22(b), FSIS Handbook 7620.3 p. 12, Regulation (EU) 2023/2108, UK
SI 2007/1778, CFIA Manual 4.13.1 (tests/data/nitrite-limits.csv), written down anew here.
"""

import random
import re
from dataclasses import replace

import pytest

from curedash.domain.dosing import (
    METHODS,
    DoseRequest,
    apply_accepted,
    compute_dose,
    resolve_curing_salt,
    weighed_dose,
)
from curedash.domain.dosing.asked import left_in
from curedash.domain.dosing.classes import compared_with, fitting_rows
from curedash.domain.dosing.contents import contents_of
from curedash.domain.dosing.limits import known_product_class
from curedash.domain.dosing.meat_kinds import kind_of
from curedash.domain.dosing.result import VERDICTS
from curedash.domain.facts.nitrite_limits import RULE_SET_LABELS
from curedash.domain.facts.product_classes import CLASS_ROWS
from curedash.domain.household.styles import dose_fields, styles, usual_cure_pct

NO1 = resolve_curing_salt("no1")
NO2 = resolve_curing_salt("no2")


def asked(**fields):
    usual = {
        "green_g": 1000,
        "salt_pct": 2.75,
        "curing_salt": NO1,
        "scale_division_g": 0.01,
        "rule_set": "us",
        "eaten": "as-is",
        "cut": "loin",
    }
    return DoseRequest(**(usual | fields))


# ── the class that follows ────────────────────────────────────────────────────────────────


@pytest.mark.parametrize(
    ("fields", "product_class", "most"),
    [
        ({"method": "equilibrium"}, "dry-cured", 625),
        ({"method": "injection", "pump_pct": 10}, "injected", 200),
        ({"method": "immersion", "pickup_pct": 10}, "immersion", 200),
        ({"method": "equilibrium-brine", "water_g": 500}, "immersion", 200),
        ({"method": "ground"}, "comminuted", 156.25),
        ({"cut": "belly", "eaten": "fried"}, "bacon-dry-cured", 200),
        ({"cut": "belly", "eaten": "fried", "skin": True}, "bacon-dry-cured-rind-on", 180),
        ({"cut": "belly", "eaten": "fried", "method": "injection"}, "bacon-injected", 120),
        ({"cut": "belly", "eaten": "fried", "method": "immersion"}, "bacon-immersion", 120),
        ({"cut": "belly", "eaten": "as-is"}, "dry-cured", 625),
    ],
)
def test_9_cfr_424_22_b_the_class_follows_from_method_cut_and_end_use(fields, product_class, most):
    found = compared_with(asked(cure_pct=0.1, **fields))
    assert (found.follows, found.nitrite.mg_per_kg) == (product_class, most)


@pytest.mark.parametrize(
    ("fields", "picked", "most"),
    [
        # belly, fried and pumped under “injected”: 187 mg/kg passed, the limit is 120
        (
            {
                "cut": "belly",
                "eaten": "fried",
                "method": "injection",
                "pump_pct": 10,
                "cure_pct": 3,
                "salt_pct": 15,
            },
            "injected",
            120,
        ),
        ({"cut": "belly", "eaten": "fried", "cure_pct": 0.9}, "dry-cured", 200),
        ({"method": "ground", "cure_pct": 0.31}, "dry-cured", 156.25),
        ({"method": "injection", "pump_pct": 10, "cure_pct": 4, "salt_pct": 15}, "dry-cured", 200),
    ],
)
def test_9_cfr_424_22_b_a_class_picked_against_it_is_asked_about(fields, picked, most):
    request = asked(product_class=picked, **fields)
    dose = compute_dose(request)
    assert dose.limit.mg_per_kg == most
    assert dose.verdict == "refused"
    assert dose.must_answer.question == "class"
    assert "Why " in dose.must_answer.text
    told = compute_dose(replace(request, answers=(("class", "a licensed plant makes it"),)))
    assert told.limit.product_class == picked
    assert told.must_answer is None
    assert any("a licensed plant makes it" in text for text in told.messages)


def test_belly_is_held_to_bacon_until_its_end_use_is_said():
    dose = compute_dose(asked(cut="belly", eaten=None, cure_pct=0.35))
    assert dose.limit.product_class == "bacon-dry-cured"
    assert dose.verdict == "refused"
    assert any("or to be fried?" in text for text in dose.messages)
    assert compute_dose(asked(cut="belly", eaten="as-is", cure_pct=0.35)).verdict != "refused"


def test_what_is_fried_is_held_to_bacon_until_its_cut_is_said():
    dose = compute_dose(asked(cut="", eaten="fried", cure_pct=0.4, product_class="dry-cured"))
    assert dose.limit.product_class == "bacon-dry-cured"
    assert dose.verdict == "refused"
    assert any(text.startswith("Fried: is it belly?") for text in dose.messages)


def test_nitrate_in_belly_asks_once_how_it_is_eaten():
    dose = compute_dose(asked(cut="belly", eaten=None, curing_salt=NO2, cure_pct=0.2))
    assert [f.question for f in dose.open_questions] == ["end-use"]
    told = compute_dose(asked(cut="belly", eaten="as-is", curing_salt=NO2, cure_pct=0.2))
    assert told.open_questions == ()
    assert any("never fried" in text for text in told.messages)


def test_fish_is_compared_with_nothing():
    dose = compute_dose(asked(species="salmon", cure_pct=0.1))
    assert dose.compared == ()
    assert any("not for fish" in text for text in dose.not_compared)


def test_every_row_of_the_table_names_a_class_of_the_limits():
    for row in CLASS_ROWS:
        for name in (row.product_class, *row.also):
            assert known_product_class(name) == name
        assert row.source
        assert row.how in ("read", "quoted", "derived", "memory")


# ── the verdict ───────────────────────────────────────────────────────────────────────────


def test_the_verdict_is_a_sentence_about_what_was_compared():
    within = compute_dose(asked(cure_pct=0.25))
    assert within.verdict == "within-limits"
    assert within.verdict_words.startswith("within the limit of 625 mg/kg NaNO2 (United States")
    assert any("finished product (200 mg/kg" in text for text in within.not_compared)
    nothing = compute_dose(asked(cure_pct=0.25, rule_set=None))
    assert nothing.verdict == "not-checked"
    assert nothing.verdict_words.startswith("not checked: No rule set picked")
    high = compute_dose(asked(cure_pct=0.5))
    assert high.verdict_words.startswith("caution: Nitrite 312.5 mg/kg is high")
    assert compute_dose(asked(cure_pct=2)).verdict_words.startswith("refused: Nitrite 1250")


def test_eu_2023_2108_the_residual_limit_is_said_to_be_left_out():
    dose = compute_dose(asked(rule_set="eu", cure_pct=0.19))
    assert dose.verdict == "within-limits"
    assert any("left over the shelf life" in text for text in dose.not_compared)


@pytest.mark.parametrize(
    ("rule_set", "fields", "mg_per_kg"),
    [
        ("eu", {}, 121.2),  # 80.8 as NO2 ion
        ("us", {"cut": "belly", "eaten": "fried"}, 200.9),
        ("us", {}, 625.9),
    ],
)
def test_a_dose_just_above_a_printed_limit_is_refused(rule_set, fields, mg_per_kg):
    wanted = {"wanted_nitrite_mg_per_kg": mg_per_kg, "scale_division_g": 0.0001}
    assert compute_dose(asked(rule_set=rule_set, **fields, **wanted)).verdict == "refused"
    wanted["wanted_nitrite_mg_per_kg"] = 120 if rule_set == "eu" else mg_per_kg - 0.9
    assert compute_dose(asked(rule_set=rule_set, **fields, **wanted)).verdict != "refused"


# ── what is missing ───────────────────────────────────────────────────────────────────────


@pytest.mark.parametrize(
    ("fields", "must"),
    [
        ({"method": "ground", "planned_days": 20}, True),
        ({"method": "ground", "salt_pct": 1.5, "planned_days": 40}, True),
        ({"planned_days": 75}, True),
        ({"planned_days": 20}, False),
        ({"planned_days": None}, False),
        ({"planned_days": 75, "eaten": "cooked-soon"}, False),
    ],
)
def test_no_nitrite_where_it_is_ground_or_long_dried_is_a_question(fields, must):
    request = asked(curing_salt=None, **fields)
    dose = compute_dose(request)
    assert (dose.must_answer is not None and dose.must_answer.question == "no-nitrite") is must
    if must:
        told = compute_dose(replace(request, answers=(("no-nitrite", "eaten within a week"),)))
        assert told.must_answer is None
        assert "No nitrite, left out on purpose: eaten within a week." in told.messages


def test_a_style_made_without_nitrite_has_one_caution_and_no_question():
    leg = next(style for style in styles() if style.id == "leg-bone-in")
    dose = compute_dose(
        DoseRequest(
            green_g=9000,
            method="salt-box",
            cut=leg.cut,
            eaten=leg.eaten,
            planned_days=leg.planned_days,
            **dose_fields(leg),
        )
    )
    assert dose.open_questions == ()
    assert [f.text for f in dose.findings if f.level == "caution"] == [
        "No nitrite: this style is made without it. "
        "Keep the meat cold until the salt has reached the core."
    ]


def test_a_tenth_of_the_salt_is_asked_about():
    dose = compute_dose(asked(curing_salt=None, planned_days=20, salt_pct=0.25))
    assert dose.must_answer.text == "0.25 % total salt is hardly any. Did you mean 2.75?"
    assert dose.accepted == (("salt_pct", 2.75),)


def test_a_coarse_scale_is_no_slip_of_the_salt():
    dose = compute_dose(asked(green_g=10, curing_salt=None, planned_days=20, scale_division_g=1))
    assert dose.must_answer is None


def test_ground_meat_wants_salt_and_a_starter():
    said = compute_dose(asked(method="ground", cure_pct=0.25, salt_pct=1.8)).messages
    assert any("1.8 % total salt is little for ground meat" in text for text in said)
    assert any("No starter culture on the list" in text for text in said)
    told = compute_dose(
        asked(method="ground", cure_pct=0.25, extras=(("starter culture", 0.02),))
    ).messages
    assert not any("starter" in text for text in told)


@pytest.mark.parametrize(
    ("species", "wild", "kind"),
    [
        ("chicken", False, "poultry"),
        ("duck", False, "poultry"),
        ("salmon", False, "fish"),
        ("bear", False, "bear"),
        ("horse", False, "horse"),
        ("venison", False, "game"),
        ("feral hog", False, "wild-pig"),
        ("pork", True, "wild-pig"),
        ("hare", False, "game"),
        ("goat", True, "game"),
        ("beef", False, None),
        ("pork", False, None),
        ("guinea pig pie", False, None),
        ("", False, None),
        ("Salmon fillets", False, "fish"),
    ],
)
def test_each_kind_of_meat_has_its_caution(species, wild, kind):
    found = kind_of(species, wild=wild)
    assert (None if found is None else found.id) == kind
    said = compute_dose(asked(species=species, wild=wild, cure_pct=0.25)).messages
    assert (kind is not None) == (found is not None and found.raw in said)
    cooked = compute_dose(asked(species=species, wild=wild, cure_pct=0.25, eaten="cooked-soon"))
    assert found is None or found.raw not in cooked.messages


# ── what is proposed ──────────────────────────────────────────────────────────────────────


@pytest.mark.parametrize(
    ("fields", "value"),
    [
        ({"curing_salt": NO2, "cure_pct": 2.5}, 0.25),  # a slip of the decimal mark
        ({"curing_salt": NO2, "cure_pct": 25}, 0.25),
        ({"curing_salt": NO2, "cure_pct": 1.2, "style_nitrite_mg_per_kg": 125}, 0.2),
        ({"curing_salt": NO1, "cure_pct": 0.25, "rule_set": "eu"}, 0.19),
        ({"curing_salt": resolve_curing_salt("5.88/0"), "cure_pct": 2.7}, 0.2657),
    ],
)
def test_the_usual_dose_is_proposed_never_the_ceiling(fields, value):
    request = asked(**fields)
    dose = compute_dose(request)
    assert dose.verdict == "refused"
    assert dict(dose.accepted)["cure_pct"] == pytest.approx(value, abs=1e-4)
    assert compute_dose(apply_accepted(request, dose.accepted)).verdict != "refused"


# ── pickles ───────────────────────────────────────────────────────────────────────────────


def test_handbook_7620_3_method_two_counts_green_weight_and_pickle():
    """3240 g pickle on 1780 g meat with 15 g of 5.88 %: 175.7 mg/kg."""
    request = DoseRequest(
        green_g=1780,
        method="equilibrium-brine",
        water_g=3000,
        curing_salt=resolve_curing_salt("5.88/0"),
        salt_pct=1,
    )
    grams = [("water", 3000.0), ("salt", 225.0), ("curing-salt", 15.0)]
    inside = contents_of(request, grams)
    assert inside.nitrite_mg_per_kg == pytest.approx(15 * 0.0588e6 / (1780 + 3240), abs=0.05)
    assert inside.nitrite_mg_per_kg == pytest.approx(175.7, abs=0.05)


def test_a_short_immersion_says_what_it_becomes():
    """1 kg meat, 1 kg water, 10 % salt, 2 % of 6.25 %: 125 by pick-up, 658 if it is left in."""
    request = asked(method="immersion", pickup_pct=10, salt_pct=10, cure_pct=2, water_g=1000)
    dose = compute_dose(request)
    assert dose.nitrite_mg_per_kg == pytest.approx(125, abs=0.5)
    assert left_in(request).nitrite_mg_per_kg == pytest.approx(658.3, abs=0.1)
    assert left_in(request).total_salt_pct == pytest.approx(5.27, abs=0.01)
    assert any("it reaches 658 mg/kg nitrite and 5.3 % salt" in text for text in dose.messages)
    assert any("out of the brine once it weighs 1100 g" in text for text in dose.messages)


# ── not a nag ─────────────────────────────────────────────────────────────────────────────


@pytest.mark.parametrize(
    "style", [s for s in styles() if s.method == "equilibrium"], ids=lambda style: style.id
)
@pytest.mark.parametrize("rule_set", ["us", "eu"])
def test_a_usual_batch_by_a_usual_style_has_no_question_and_one_caution_at_most(style, rule_set):
    pct = usual_cure_pct(style, rule_set)
    dose = compute_dose(
        DoseRequest(
            green_g=1134,
            salt_pct=style.salt_pct,
            scale_division_g=0.01,
            rule_set=rule_set,
            curing_salt=resolve_curing_salt(style.curing_salt) if pct else None,
            cure_pct=pct or None,
            planned_days=style.planned_days,
            eaten=style.eaten,
            cut=style.cut,
            species=style.species,
            **dose_fields(style),
        )
    )
    assert dose.open_questions == ()
    assert len([f for f in dose.findings if f.level == "caution"]) <= 1, dose.messages
    assert dose.verdict != "refused"


# ── ten thousand, computed again ──────────────────────────────────────────────────────────

ION = 46.0055 / 68.9953
#: class → most nitrite as NaNO2 [mg/kg]; residual and finished-product limits are left out
MOST = {
    "us": {
        "comminuted": 156.25,
        "immersion": 200,
        "injected": 200,
        "dry-cured": 625,
        "bacon-injected": 120,
        "bacon-immersion": 120,
        "bacon-dry-cured": 200,
        "bacon-dry-cured-rind-on": 180,
        "bacon-injected-rind-on": 108,
    },
    "eu": {"non-heat-treated": 80 / ION, "heat-treated": 80 / ION},
    "eu-before-2025": {"non-heat-treated": 150},
    "gb": {"non-heat-treated": 150},
    "ca": {"cured-meat": 200, "side-bacon": 120},
}
ALL_CLASSES = tuple(dict.fromkeys(name for classes in MOST.values() for name in classes))  # type: ignore[attr-defined]


def class_again(r):
    """The class by the texts, apart from the program's table; None for fish and unknown."""
    if r.species == "salmon":
        return None
    fried_belly = r.cut == "belly" and r.eaten == "fried"
    if r.rule_set in ("eu", "eu-before-2025", "gb"):
        return "non-heat-treated"
    if r.rule_set == "ca":
        return "side-bacon" if fried_belly else "cured-meat"
    if r.rule_set != "us":
        return None
    if r.method == "ground":
        return "comminuted"
    if r.method == "injection":
        rind = "-rind-on" if r.skin else ""
        return f"bacon-injected{rind}" if fried_belly else "injected"
    if r.method in ("immersion", "equilibrium-brine"):
        return "bacon-immersion" if fried_belly else "immersion"
    rind = "-rind-on" if r.skin else ""
    return f"bacon-dry-cured{rind}" if fried_belly else "dry-cured"


def nitrite_again(dose):
    """Nitrite as NaNO2 from the grams on the sheet [mg/kg]."""
    r = dose.request
    grams = {}
    for item in dose.ingredients:
        grams[item.kind] = grams.get(item.kind, 0.0) + item.weigh_g
    agent_g = grams.get("curing-salt", 0.0) * (r.curing_salt.nitrite_pct if r.curing_salt else 0)
    if r.method in ("immersion", "injection"):
        brine_g = sum(grams.values())
        reach = r.pickup_pct if r.method == "immersion" else r.pump_pct
        return agent_g / 100 / brine_g * reach / 100 * 1e6 if agent_g else 0.0
    whole_g = r.green_g
    if r.method == "equilibrium-brine":
        whole_g += sum(grams.get(k, 0.0) for k in ("water", "salt", "curing-salt", "sugar"))
    return agent_g / 100 / whole_g * 1e6


def any_request(rnd):
    method = rnd.choice([name for name, _label in METHODS if name not in ("pack", "salt-box")])
    brine = method in ("immersion", "injection")
    fields = {
        "green_g": rnd.choice((300.0, 1134.0, rnd.uniform(80, 9000))),
        "method": method,
        "salt_pct": rnd.uniform(10, 16) if brine else rnd.choice((2.75, rnd.uniform(0.2, 4))),
        "rule_set": rnd.choice((None, *(name for name, _label in RULE_SET_LABELS))),
        "product_class": rnd.choice((None, None, *ALL_CLASSES)),
        "cut": rnd.choice(("belly", "loin")),
        "eaten": rnd.choice(("as-is", "cooked-soon", "fried")),
        "skin": rnd.choice((True, False)),
        "species": rnd.choice(("pork", "beef", "duck", "salmon", "venison", "")),
        "scale_division_g": rnd.choice((0.01, 0.1, 1.0)),
        "planned_days": rnd.choice((None, 14.0, 70.0)),
        "pickup_pct": rnd.uniform(2, 20),
        "pump_pct": rnd.uniform(4, 20),
        "water_g": rnd.uniform(200, 4000) if method == "equilibrium-brine" else None,
    }
    if rnd.random() < 0.8:
        usual = rnd.choice((0.1, 0.25, rnd.uniform(0, 0.6), rnd.uniform(0, 1.5)))
        fields |= {"curing_salt": rnd.choice((NO1, NO2)), "cure_pct": usual * (8 if brine else 1)}
    return DoseRequest(**fields)


def test_ten_thousand_requests_computed_again():
    rnd = random.Random(424_22)
    counted = dict.fromkeys(VERDICTS, 0)
    misfits = without = 0
    for _ in range(10_000):
        dose = compute_dose(any_request(rnd))
        request = dose.request
        counted[dose.verdict] += 1
        fits = class_again(request)
        assert bool(fitting_rows(request)) or fits is None
        nitrite = nitrite_again(dose)
        assert dose.nitrite_mg_per_kg == pytest.approx(nitrite, rel=1e-9, abs=1e-9)
        # none above its limit unrefused: the one that fits, and the one that was picked
        limits = MOST.get(request.rule_set or "", {})
        for name in (fits, request.product_class if fits else None):
            if name in limits and nitrite > limits[name] + 0.03 / ION:
                assert dose.verdict == "refused", (name, nitrite, request)
        assert nitrite <= 625.03 or dose.verdict == "refused"
        # none with a class that does not fit unasked
        picked, also = request.product_class, ("heat-treated",) if request.rule_set == "eu" else ()
        also = also if request.eaten != "as-is" else ()
        if fits and picked and picked not in (fits, *also) and request.wants_nitrite_or_nitrate:
            misfits += 1
            assert "class" in {finding.question for finding in dose.open_questions}, request
        # none without nitrite unremarked where it is ground or long-dried
        long = request.method == "ground" or (request.planned_days or 0) > 30
        if nitrite == 0 and request.eaten == "as-is" and long:
            without += 1
            questions = {finding.question for finding in dose.open_questions}
            assert "no-nitrite" in questions or request.wants_nitrite_or_nitrate, request
            assert dose.verdict in ("caution", "refused"), request
    assert min(counted.values()) > 30, counted
    assert min(misfits, without) > 100


def test_no_dose_says_a_word_of_comfort():
    """The words that are never said as a status, in every sentence of a thousand doses."""
    never = re.compile(r"\b(ok|okay|safe|safely|fine|done|expired)\b", re.IGNORECASE)
    rnd = random.Random(7)
    for _ in range(1000):
        dose = compute_dose(any_request(rnd))
        said = (
            dose.verdict,
            dose.verdict_words,
            *dose.messages,
            *dose.compared,
            *dose.not_compared,
        )
        assert not [text for text in said if never.search(text)]
        went_in = weighed_dose(dose, {item.name: item.weigh_g for item in dose.ingredients})
        assert not [text for text in went_in.messages if never.search(text)]
