"""Grams of each method by mass balance, and what is said of a plan, on both sides of each bound.

The numbers are counted by hand from the shares on the label (`domain/facts/curing_salts.py`):
no1 is 6.25/0 with 93.75 % salt, no2 is 6.25/4 with 89.75 % salt. Brine and pick-up go by FSIS
Handbook 7620.3; a brine holds about 26.4 % salt (handbook value, from memory).
"""

from dataclasses import replace

import pytest

from curedash.domain.dosing import DoseRequest, compute_dose, resolve_curing_salt
from curedash.domain.dosing.plan import amount_field, cure_pct_of, less_curing_salt, plan_dose
from curedash.domain.dosing.plan_checks import (
    box_findings,
    salt_findings,
    scale_findings,
    type_findings,
)
from curedash.domain.dosing.result import Contents, Finding, Ingredient

NO1, NO2 = resolve_curing_salt("no1"), resolve_curing_salt("no2")
SALTPETRE, UNSTATED = resolve_curing_salt("saltpetre"), resolve_curing_salt("0.5/0.5/?")
LABEL = resolve_curing_salt("0.5/0/50")
UNKNOWN = replace(NO1, name="jar", nitrite_pct=None)
DRY = DoseRequest(green_g=1000, salt_pct=3.0, curing_salt=NO2, cure_pct=0.25)
BRINE = DoseRequest(
    green_g=1000,
    method="immersion",
    salt_pct=10.0,
    salt_means="besides",
    curing_salt=NO2,
    cure_pct=2.0,
    pickup_pct=10,
)
PUMP = replace(BRINE, method="injection", pickup_pct=None, pump_pct=10)
PACK = DoseRequest(green_g=2250, method="pack", pack_g=150, pack_for_g=2250)
EXTRAS = {"sugar_pct": 0.5, "extras": (("pepper", 0.2), ("garlic", 0.0))}


def grams(request: DoseRequest) -> list[tuple[str, str, float]]:
    found = [(item.name, item.kind, item.exact_g) for item in plan_dose(request).ingredients]
    return [(name, kind, round(exact_g, 3)) for name, kind, exact_g in found]


def said(request: DoseRequest) -> list[tuple[str, str, str, object]]:
    return [(f.level, f.field, f.text, f.fix) for f in plan_dose(request).findings]


def only(findings: list[Finding]) -> Finding:
    (found,) = findings
    return found


# ── grams ─────────────────────────────────────────────────────────────────────────────────


def test_a_dry_cure_by_hand():
    """3 % that includes 0.25 % · 0.8975 of salt: 2.775625 % plain."""
    assert grams(replace(DRY, **EXTRAS)) == [
        ("salt", "salt", 27.756),
        (NO2.name, "curing-salt", 2.5),
        ("sugar", "sugar", 5.0),
        ("pepper", "extra", 2.0),
    ]
    assert grams(replace(DRY, salt_means="besides"))[0] == ("salt", "salt", 30.0)
    assert grams(replace(DRY, water_g=500))[0] == ("salt", "salt", 27.756)  # no brine
    assert grams(replace(DRY, cure_pct=0.0)) == [("salt", "salt", 30.0)]
    assert said(DRY) == []


def test_an_equilibrium_brine_is_of_meat_and_water():
    brine = replace(DRY, method="equilibrium-brine", water_g=500, salt_means="besides")
    assert grams(brine) == [
        ("water", "water", 500),
        ("salt", "salt", 45.0),
        (NO2.name, "curing-salt", 3.75),
    ]
    assert said(brine) == []


def test_a_short_immersion_makes_its_brine_of_the_water():
    """10 and 2 % of the brine leave 88 % water: 880 g of water are 1000 g of brine."""
    assert grams(replace(BRINE, water_g=880)) == [
        ("water", "water", 880),
        ("salt", "salt", 100),
        (NO2.name, "curing-salt", 20),
    ]
    assert said(replace(BRINE, water_g=880)) == []
    ((level, field, text, fix),) = said(BRINE)  # nobody said how much: half the meat
    assert (level, field, fix) == ("note", "water_g", ())
    assert text.startswith("No water given: 500 g assumed.")
    assert grams(BRINE)[0] == ("water", "water", 500)
    assert grams(BRINE)[1][2] == pytest.approx(500 * 10 / 88, abs=1e-3)


def test_a_pump_needs_its_brine():
    """10 % of 1000 g are 100 g: 88 g water, 10 g salt, 2 g curing salt."""
    assert grams(PUMP) == [
        ("water", "water", 88),
        ("salt", "salt", 10),
        (NO2.name, "curing-salt", 2),
    ]
    assert said(PUMP) == [("note", "water_g", "Brine for exactly 100 g pumped, none spare.", ())]
    assert said(replace(PUMP, water_g=88)) == []
    ((level, field, text, fix),) = said(replace(PUMP, water_g=44))
    assert (level, field, fix) == ("refused", "water_g", (("water_g", 88.0),))
    assert text == "That makes 50 g brine, but 100 g are to be pumped."
    assert said(replace(BRINE, water_g=44)) == []  # a short immersion may be in little brine


def test_percent_of_the_meat_is_ten_times_that_of_a_tenth_of_brine():
    """1 and 0.2 % of the meat by 10 % pick-up are 10 and 2 % of the brine."""
    of_meat = replace(BRINE, percent_of="meat", salt_pct=1.0, cure_pct=0.2, water_g=880)
    assert grams(of_meat) == grams(replace(BRINE, water_g=880))


@pytest.mark.parametrize(
    ("request_", "field"),
    [
        (replace(BRINE, salt_pct=98), "salt_pct"),
        (replace(PUMP, salt_pct=98), "salt_pct"),
        (replace(BRINE, percent_of="meat", salt_pct=10.0), "pickup_pct"),
        (replace(PUMP, percent_of="meat", salt_pct=10.0), "pump_pct"),
    ],
)
def test_a_brine_without_water_is_refused_and_has_a_way_out(request_, field):
    first = next(f for f in said(request_) if f[0] == "refused")
    assert first == ("refused", field, "These percentages leave no water in the brine.", ())
    assert [kind for _name, kind, _g in grams(request_)] == ["water"]
    dose = compute_dose(request_)
    assert dict(dose.accepted) == {
        "salt_pct": 2.75,
        "sugar_pct": 0.0,
        "extras": (),
        "cure_pct": 0.0,
        "percent_of": "brine",
        "water_g": None,
    }
    assert said(replace(request_, **EXTRAS))[0][1] == field


def test_one_percent_of_water_is_water():
    assert not [f for f in said(replace(BRINE, salt_pct=97)) if "no water" in f[2]]


def test_a_salt_box_weighs_the_curing_salt_and_gives_no_percentage():
    box = replace(DRY, method="salt-box", salt_pct=40.0, **EXTRAS)
    assert grams(box) == [
        (NO2.name, "curing-salt", 2.5),
        ("salt", "salt", 400),
        ("sugar", "sugar", 5),
        ("pepper", "extra", 2),
    ]
    ((level, field, text, _fix),) = said(box)
    assert (level, field) == ("note", "method")
    assert text.startswith("In a salt box mg/kg")
    assert grams(DoseRequest(green_g=1000, method="salt-box")) == []
    assert grams(replace(box, cure_pct=None, wanted_nitrite_mg_per_kg=156.25))[0][2] == 2.5


def test_pieces_together_are_said():
    for request in (DRY, BRINE, replace(DRY, method="salt-box"), PACK):
        assert not [f for f in said(request) if f[1] == "pieces"]
        assert said(replace(request, pieces=2))[-1] == (
            "note",
            "pieces",
            "One dose for 2 pieces together; spread it evenly.",
            (),
        )


# ── a ready-mixed pack ────────────────────────────────────────────────────────────────────


def test_a_pack_by_the_meat_it_is_for():
    """150 g for 2250 g: 66.667 g for 1000 g, 83.333 g stay."""
    part = replace(PACK, green_g=1000, salt_pct=1.0, **EXTRAS)
    plan = plan_dose(part)
    assert grams(part) == [
        ("ready-mixed pack", "pack", 66.667),
        ("salt", "salt", 10),
        ("sugar", "sugar", 5),
        ("pepper", "extra", 2),
    ]
    assert (plan.pack_ratio, plan.pack_left_g) == (pytest.approx(1), pytest.approx(83.3333))
    assert said(part)[-1][2] == "Mix an opened pack through first: fine salts settle."
    whole = plan_dose(PACK)
    assert (whole.pack_left_g, whole.ingredients[0].exact_g) == (pytest.approx(0.0), 150)
    assert not [f for f in whole.findings if "Mix an opened" in f.text]
    two = plan_dose(replace(PACK, packs=1.2))
    assert (two.pack_ratio, two.pack_left_g) == (pytest.approx(1.2), pytest.approx(120))


@pytest.mark.parametrize(
    ("packs", "level"),
    [
        (0.89, "caution"),
        (0.9, "note"),
        (1.0, "note"),
        (1.1, "note"),
        (1.11, "caution"),
        (1.5, "caution"),
        (1.51, "refused"),
    ],
)
def test_a_pack_of_unknown_strength_is_held_to_its_rating(packs, level):
    first, second, *_ = said(replace(PACK, packs=packs))
    assert first[:2] == (level, "packs")
    assert first[2].startswith(f"{packs:.1f} × what the pack is made for")
    assert first[3] == ((("packs", 1.0),) if level == "refused" else ())
    assert second[:3] == ("caution", "curing_salt", "Strength unknown: mg/kg cannot be computed.")
    known = said(replace(PACK, packs=packs, curing_salt=LABEL))
    assert known[0][:2] == ("note", "packs")
    assert not [f for f in known if f[1] == "curing_salt"]


def test_plain_salt_beside_a_pack():
    """66.667 g of a pack with 50 % salt are 3.3333 % of 1000 g; 4 % leave 0.6667 % to add."""
    beside = replace(PACK, green_g=1000, salt_pct=4.0)
    assert said(beside)[0] == (
        "note",
        "salt_pct",
        "The pack's salt share is not known: the salt is counted on top of the pack.",
        (),
    )
    assert grams(beside)[1] == ("salt", "salt", 40)
    assert grams(replace(beside, curing_salt=LABEL))[1] == ("salt", "salt", 6.667)
    assert grams(replace(beside, curing_salt=UNSTATED))[1] == ("salt", "salt", 40)
    assert grams(replace(beside, curing_salt=LABEL, salt_means="besides"))[1][2] == 40
    short = replace(beside, curing_salt=LABEL, salt_pct=3.0)
    assert said(short)[0] == (
        "refused",
        "salt_pct",
        "The pack alone brings more salt than that.",
        (("salt_means", "besides"),),
    )
    assert [kind for _name, kind, _g in grams(short)] == ["pack"]
    assert said(replace(short, salt_pct=None))[0][1] == "packs"


# ── how much curing salt ──────────────────────────────────────────────────────────────────


@pytest.mark.parametrize(
    ("changed", "pct"),
    [
        ({"cure_pct": 0.3}, 0.3),
        ({"wanted_nitrite_mg_per_kg": 156.25}, 0.25),
        ({"wanted_nitrate_mg_per_kg": 100}, 0.25),
        ({"wanted_nitrate_mg_per_kg": 100, "curing_salt": NO1}, 0.0),
        ({"wanted_nitrite_mg_per_kg": 100, "curing_salt": UNKNOWN}, 0.0),
        ({"wanted_nitrite_mg_per_kg": 100, "curing_salt": None}, 0.0),
        ({}, 0.0),
        ({"wanted_nitrite_mg_per_kg": 156.25, "method": "immersion", "pickup_pct": 10}, 2.5),
        (
            {
                "wanted_nitrite_mg_per_kg": 156.25,
                "method": "immersion",
                "pickup_pct": 10,
                "percent_of": "meat",
            },
            0.25,
        ),
    ],
)
def test_the_percentage_comes_back_from_the_wanted_amount(changed, pct):
    request = replace(DRY, **({"cure_pct": None} | changed))
    assert cure_pct_of(request) == pytest.approx(pct)


@pytest.mark.parametrize("means", ["includes", "besides"])
@pytest.mark.parametrize("sugar_pct", [0.0, 2.0])
def test_a_wanted_nitrite_in_a_brine_is_of_meat_and_pickle(means, sugar_pct):
    """Method Two: NaNO2 over meat, water and everything dissolved in it."""
    request = replace(
        DRY,
        method="equilibrium-brine",
        water_g=500,
        cure_pct=None,
        wanted_nitrite_mg_per_kg=120,
        salt_means=means,
        sugar_pct=sugar_pct,
    )
    items = plan_dose(request).ingredients
    cure_g = next(item.exact_g for item in items if item.kind == "curing-salt")
    total_g = 1000 + sum(item.exact_g for item in items)
    assert cure_g * 0.0625 * 1e6 / total_g == pytest.approx(120, rel=1e-9)


def test_a_salt_too_weak_for_a_brine_is_all_there_is():
    """0.4 % of nitrite alone are 4000 mg/kg, with nothing else in it."""
    weak = replace(
        DRY,
        method="equilibrium-brine",
        water_g=500,
        cure_pct=None,
        salt_means="besides",
        curing_salt=resolve_curing_salt("nitrited-0.4"),
    )
    assert cure_pct_of(replace(weak, wanted_nitrite_mg_per_kg=4000)) == 100.0
    assert cure_pct_of(replace(weak, wanted_nitrite_mg_per_kg=5000)) == 100.0
    assert cure_pct_of(replace(weak, wanted_nitrite_mg_per_kg=2000)) == pytest.approx(103.0)


def test_the_field_that_decides_how_much():
    assert amount_field(DRY) == "cure_pct"
    assert amount_field(PACK) == "packs"
    for field in ("wanted_nitrite_mg_per_kg", "wanted_nitrate_mg_per_kg"):
        assert amount_field(replace(DRY, cure_pct=None, **{field: 0.0})) == field


@pytest.mark.parametrize(
    ("request_", "factor", "fix"),
    [
        (replace(DRY, cure_pct=2.5), 0.4, ("cure_pct", 0.25)),
        (replace(PACK, packs=3), 0.5, ("packs", 1.0)),
        (replace(PACK, packs=3), 0.2, ("packs", 0.6)),
        (PACK, 0.5, ("packs", 0.5)),
        (replace(PACK, packs=0.5), 0.5, ("packs", 0.25)),
        (replace(PACK, packs=2, pack_for_g=4500), 0.5, ("packs", 0.5)),
        (
            replace(DRY, cure_pct=None, wanted_nitrite_mg_per_kg=1000.0),
            0.5,
            ("wanted_nitrite_mg_per_kg", 156.2),
        ),
        (
            replace(DRY, cure_pct=None, wanted_nitrite_mg_per_kg=1000.0),
            0.1,
            ("wanted_nitrite_mg_per_kg", 100.0),
        ),
    ],
)
def test_less_curing_salt_is_the_usual_dose_or_the_slip_mended(request_, factor, fix):
    assert less_curing_salt(request_, factor) == (fix,)


# ── salt in the curing salt ───────────────────────────────────────────────────────────────


def test_more_salt_in_the_curing_salt_than_asked_for():
    """0.25 % of no2 brings 0.224375 % of salt: the next thousandth is 0.225."""
    ((level, field, text, fix),) = said(replace(DRY, salt_pct=0.2))
    assert (level, field, fix) == ("refused", "salt_pct", (("salt_pct", 0.225),))
    assert text.startswith("The curing salt alone brings 0.2244 % salt, more than the 0.2 % asked")
    assert grams(replace(DRY, salt_pct=0.2))[0] == ("salt", "salt", 0.0)
    assert said(replace(DRY, salt_pct=0.224375)) == []
    assert said(replace(DRY, salt_pct=0.2, salt_means="besides")) == []


def test_over_eight_percent_of_salt_from_the_curing_salt_it_is_too_much_of_it():
    """80 % of 10 % are 8 %, which a larger salt would cover; of 11 % are 8.8 %, which none does."""
    label = resolve_curing_salt("6.25/0/80")
    at = replace(DRY, curing_salt=label, cure_pct=10.0)
    assert said(at)[0][1::2] == ("salt_pct", (("salt_pct", 8.0),))
    over = said(replace(at, cure_pct=11.0))
    assert over[0][:2] == ("refused", "cure_pct")
    assert over[0][3] == (("cure_pct", 0.25),)
    assert grams(replace(at, cure_pct=11.0))[0][2] == 0.0
    brine = replace(at, method="immersion", pickup_pct=4, cure_pct=11.0, salt_means="includes")
    assert said(brine)[0][1::2] == ("salt_pct", (("salt_pct", 8.8),))  # 26.4 % in a brine


def test_a_salt_share_nobody_stated_cannot_be_included():
    unstated = replace(DRY, curing_salt=UNSTATED)
    ((level, field, text, fix),) = said(unstated)
    assert (level, field, fix) == ("refused", "salt_means", (("salt_means", "besides"),))
    assert text == f"How much salt is in {UNSTATED.name} is not stated: the salt cannot include it."
    assert grams(unstated)[0][2] == 30
    assert said(replace(unstated, salt_means="besides")) == []
    assert said(replace(unstated, cure_pct=0.0)) == []


# ── a brine that does not dissolve ────────────────────────────────────────────────────────


def test_a_brine_holds_some_26_percent():
    plain = replace(BRINE, curing_salt=None, cure_pct=None, water_g=1000)
    assert said(replace(plain, salt_pct=26)) == []
    ((level, field, text, fix),) = said(replace(plain, salt_pct=28))
    assert (level, field) == ("refused", "salt_pct")
    assert text == "28 % salt does not dissolve; a brine holds about 26.4 %."
    assert fix == (("salt_pct", 23.76),)  # nine tenths of what it holds


def test_the_salt_of_the_curing_salt_counts_in_the_brine():
    """20 and 9.375 of salt in 70 of water are 29.56 %; without it 22.2 %."""
    both = replace(BRINE, salt_pct=20.0, curing_salt=NO1, cure_pct=10.0, water_g=1000)
    ((_level, field, text, _fix),) = said(both)
    assert field == "salt_pct"
    assert text.startswith("29.56 % salt does not dissolve")


@pytest.mark.parametrize(
    ("pump", "salt", "fix"),
    [
        (10, 3.0, ("pump_pct", 15.0)),  # 30 % of the brine; 20 % want 15
        (40, 12.0, ("pump_pct", 60.0)),
        (41, 12.4, ("salt_pct", 9.741)),  # 62 would be more than any meat takes
    ],
)
def test_more_brine_dissolves_what_is_wanted_in_the_meat(pump, salt, fix):
    request = replace(
        PUMP, percent_of="meat", pump_pct=pump, salt_pct=salt, curing_salt=None, cure_pct=None
    )
    first = next(f for f in said(request) if f[0] == "refused")
    assert first[1] == fix[0]
    assert first[3] == (fix,) or fix[0] == "salt_pct"
    if fix[0] == "salt_pct":
        assert first[3][0][1] == pytest.approx(salt * 0.9 * 26.4 / (100 * salt / pump), rel=1e-3)
    of_brine = replace(request, percent_of="brine", salt_pct=30.0)
    assert next(f for f in said(of_brine) if f[0] == "refused")[1] == "salt_pct"


@pytest.mark.parametrize(("water_g", "slow"), [(100, False), (80, True)])
def test_little_water_dissolves_slowly(water_g, slow):
    """3 % of 1100 g in 100 g are 24.8 % of the brine; of 1080 g in 80 g are 28.8 %."""
    brine = DoseRequest(
        green_g=1000, method="equilibrium-brine", salt_pct=3.0, water_g=float(water_g)
    )
    found = [f[:2] for f in said(brine)]
    assert found == ([("caution", "water_g")] if slow else [])


# ── the type of curing salt ───────────────────────────────────────────────────────────────


def test_no_curing_salt_has_no_type():
    assert type_findings(DoseRequest(green_g=1000)) == []
    assert type_findings(replace(DRY, curing_salt=UNKNOWN, cure_pct=0.0)) == []
    assert type_findings(replace(DRY, curing_salt=None)) == []


@pytest.mark.parametrize(
    ("changed", "fix"),
    [
        ({"cure_pct": 0.1}, (("cure_pct", 0.0),)),
        ({"wanted_nitrite_mg_per_kg": 1.0}, (("wanted_nitrite_mg_per_kg", 0.0),)),
        ({"wanted_nitrate_mg_per_kg": 1.0}, (("wanted_nitrate_mg_per_kg", 0.0),)),
    ],
)
def test_an_unknown_strength_is_refused(changed, fix):
    found = only(
        type_findings(replace(DRY, **({"cure_pct": None, "curing_salt": UNKNOWN} | changed)))
    )
    assert (found.level, found.field, found.fix) == ("refused", "curing_salt", fix)
    assert found.text.startswith("The strength of jar is not known: read it off the label")
    assert type_findings(replace(PACK, curing_salt=UNKNOWN)) == []


@pytest.mark.parametrize(
    ("salt", "field", "agent", "other"),
    [
        (NO1, "wanted_nitrate_mg_per_kg", "nitrate", "no2"),
        (SALTPETRE, "wanted_nitrite_mg_per_kg", "nitrite", "no1"),
    ],
)
def test_a_salt_cannot_bring_what_is_not_in_it(salt, field, agent, other):
    found = type_findings(replace(DRY, cure_pct=None, curing_salt=salt, **{field: 120.0}))[0]
    assert (found.level, found.field) == ("refused", "curing_salt")
    assert found.fix == (("curing_salt", other),)
    assert found.text == f"There is no {agent} in {salt.name}: it cannot bring 120 mg/kg."
    fine = replace(DRY, cure_pct=None, curing_salt=NO2, **{field: 120.0})
    assert type_findings(fine) == []


@pytest.mark.parametrize(
    ("changed", "fix"),
    [
        ({"eaten": "fried"}, (("curing_salt", "no1"),)),
        ({"product_class": "bacon-dry-rubbed"}, (("curing_salt", "no1"),)),
        (
            {"eaten": "fried", "cure_pct": None, "wanted_nitrate_mg_per_kg": 100.0},
            (("wanted_nitrate_mg_per_kg", 0.0),),
        ),
        (
            {
                "eaten": "fried",
                "cure_pct": None,
                "method": "pack",
                "pack_g": 100.0,
                "pack_for_g": 1000.0,
            },
            (("method", "equilibrium"), ("salt_pct", 2.75)),
        ),
    ],
)
def test_nitrate_is_refused_in_what_is_fried(changed, fix):
    """9 CFR 424.22(b): no nitrate in bacon."""
    found = only(type_findings(replace(DRY, **changed)))
    assert (found.level, found.field, found.fix) == ("refused", "curing_salt", fix)
    assert found.text.startswith("No nitrate in belly or bacon that will be fried")
    assert not type_findings(replace(DRY, **({"curing_salt": NO1} | {"eaten": "fried"})))


def test_nitrate_in_meat_cooked_soon_is_a_caution():
    found = only(type_findings(replace(DRY, eaten="cooked-soon", cut="belly")))
    assert (found.level, found.field, found.fix) == ("caution", "curing_salt", ())
    assert found.text.startswith("Nitrate works slowly")
    assert type_findings(replace(DRY, eaten="as-is")) == []


def test_nitrate_in_belly_asks_once_how_it_is_eaten():
    belly = replace(DRY, cut="Belly, rolled")
    asks = only(type_findings(belly))
    assert (asks.level, asks.field, asks.question, asks.must) == (
        "caution",
        "eaten",
        "end-use",
        True,
    )
    assert asks.text.endswith("never fried. Which is it?")
    as_is = only(type_findings(replace(belly, eaten="as-is")))
    assert (as_is.level, as_is.field, as_is.question, as_is.must) == ("caution", "eaten", "", False)
    assert as_is.text.endswith("never fried.")
    told = only(type_findings(replace(belly, answers=(("end-use", "unknown: a present."),))))
    assert (told.level, told.field, told.question) == ("caution", "eaten", "")
    assert told.text.endswith("never fried. End use unknown: a present.")


@pytest.mark.parametrize(
    ("days", "salt", "asked"),
    [(30, NO1, False), (31, NO1, True), (None, NO1, False), (31, NO2, False)],
)
def test_nitrite_alone_over_thirty_days_is_a_caution(days, salt, asked):
    found = type_findings(replace(DRY, curing_salt=salt, planned_days=days))
    assert bool(found) is asked
    if asked:
        assert (only(found).level, only(found).field) == ("caution", "curing_salt")
        assert only(found).text.startswith("Nitrite only, and 31 days planned:")
    assert not [
        f
        for f in type_findings(replace(DRY, curing_salt=SALTPETRE, planned_days=31))
        if f.text.startswith("Nitrite only")
    ]


@pytest.mark.parametrize(("label", "poison"), [("20/0/80", False), ("20.1/0/79", True)])
def test_a_pure_chemical_is_named_one(label, poison):
    found = type_findings(replace(DRY, curing_salt=resolve_curing_salt(label)))
    assert bool(found) is poison
    if poison:
        assert (only(found).level, only(found).field) == ("caution", "curing_salt")
        assert "a poison in gram amounts" in only(found).text


@pytest.mark.parametrize(("cure_pct", "level"), [(0.99, "note"), (1.0, "caution")])
def test_an_assumed_salt_share_counts_more_the_more_there_is(cure_pct, level):
    salt = resolve_curing_salt("6.25/0")
    found = only(type_findings(replace(DRY, curing_salt=salt, cure_pct=cure_pct)))
    assert (found.level, found.field) == (level, "curing_salt")
    assert found.text == f"{salt.name}: {salt.note}."


def test_a_strength_from_memory_is_said():
    found = only(type_findings(replace(DRY, curing_salt=SALTPETRE, cure_pct=0.02)))
    assert (found.level, found.field) == ("note", "curing_salt")
    assert found.text == "The strength of saltpetre was not checked against a label: read yours."


# ── total salt ────────────────────────────────────────────────────────────────────────────


@pytest.mark.parametrize(
    ("total", "level"),
    [
        (1.49, "caution"),
        (1.5, None),
        (4.5, None),
        (4.51, "caution"),
        (8.0, "caution"),
        (8.01, "refused"),
    ],
)
def test_total_salt_is_weighed_against_what_is_usual(total, level):
    found = salt_findings(DRY, Contents(total, 0, 0, 0))
    assert [each.level for each in found] == ([] if level is None else [level])
    assert all(each.text.startswith(f"{total:g} % total salt is ") for each in found)
    assert all(each.field == "salt_pct" for each in found)
    for brine in (BRINE, PUMP):
        assert salt_findings(brine, Contents(total, 0, 0, 0)) == []
    if total < 1.5:
        assert salt_findings(PACK, Contents(total, 0, 0, 0)) == []


def test_an_unknown_total_is_not_judged():
    assert salt_findings(DRY, Contents(None, 0, 0, 0)) == []


def test_what_is_accepted_for_too_much_salt():
    """8 % where it includes the curing salt; 8 − 0.224375 = 7.7756 beside it."""
    nine = Contents(9.0, 0, 0, 0)
    assert only(salt_findings(DRY, nine)).fix == (("salt_pct", 8.0),)
    assert only(salt_findings(replace(DRY, salt_means="besides"), nine)).fix == (
        ("salt_pct", 7.775),
    )
    pack = replace(PACK, green_g=1000, curing_salt=LABEL)  # 66.67 g · 50 % are 3.3333 %
    assert only(salt_findings(pack, nine)).fix == (("salt_pct", 4.666),)
    assert only(salt_findings(replace(DRY, curing_salt=None, cure_pct=None), nine)).fix == (
        ("salt_pct", 8.0),
    )


def test_where_the_curing_salt_is_the_salt_there_is_less_of_it():
    ten = replace(DRY, cure_pct=10.0)  # 8.975 % of salt by itself
    found = only(salt_findings(ten, Contents(11.0, 0, 0, 0)))
    assert (found.level, found.field, found.fix) == ("refused", "cure_pct", (("cure_pct", 0.25),))
    packs = replace(PACK, green_g=1000, packs=2, curing_salt=LABEL)  # 300 g · 50 % are 15 %
    found = only(salt_findings(packs, Contents(15.0, 0, 0, 0)))
    assert (found.field, found.fix) == ("packs", (("packs", 0.4444),))
    rated = replace(PACK, green_g=1000, pack_for_g=800, curing_salt=LABEL)  # 187.5 g: 9.375 %
    found = only(salt_findings(rated, Contents(9.375, 0, 0, 0)))
    assert found.fix == (("packs", 0.96),)  # nine tenths of 8 of 9.375 % of 1.25 packs
    assert found.text.startswith("9.375 % total salt is far above anything edible")
    weak = replace(DRY, curing_salt=resolve_curing_salt("0.4/0/99.6"), cure_pct=10.0)
    found = only(salt_findings(weak, Contents(10.0, 0, 0, 0)))
    assert found.fix == (("cure_pct", 3.906),)  # 156.25 mg/kg of 0.4 %


# ── a salt box, a scale ───────────────────────────────────────────────────────────────────


def box(cure_g: float, **changed: object) -> list[Finding]:
    request = replace(DRY, method="salt-box", cure_pct=cure_g / 10, **changed)  # type: ignore[arg-type]
    items = (
        Ingredient("salt", "salt", 300, 300),
        Ingredient("no2", "curing-salt", cure_g, round(cure_g)),
    )
    return box_findings(request, items)


def test_a_salt_box_says_what_it_could_bring_at_most():
    """10 g of 6.25 % in 1000 g are 625 mg/kg, the ceiling."""
    at = only(box(10.0))
    assert (at.level, at.field, at.fix) == ("caution", "cure_pct", ())
    assert at.text == (
        "Not checked against a limit: at most 625 mg/kg nitrite if all of it went in."
    )
    over = only(box(11.0))
    assert (over.level, over.field, over.fix) == ("refused", "cure_pct", (("cure_pct", 0.25),))
    assert "at most 687.5 mg/kg" in over.text
    assert over.text.endswith("Rub it in by weight first.")
    assert box(0.0) == []
    assert box(10.0, curing_salt=None) == []
    assert box(10.0, curing_salt=UNKNOWN) == []


@pytest.mark.parametrize(
    ("item", "error_pct", "level", "text"),
    [
        ((2.0, 2.0, 0.1), 2.5, None, ""),
        ((1.0, 1.0, 0.05), 2.5, None, ""),
        (
            (1.9, 1.9, 0.1),
            2.6,
            "caution",
            "1.9 g on a scale of 0.1 g is fewer than 20 of its steps:",
        ),
        ((5.0, 5.0, 1.0), 10.0, "caution", "5 g on a scale of 1 g is fewer than 20 of its steps:"),
        (
            (4.9, 5.0, 1.0),
            10.2,
            "caution",
            "4.9 g on a scale of 1 g is ±10 %: use a scale of 0.5 g or a pre-mix.",
        ),
        (
            (0.4, 0.0, 1.0),
            125,
            "refused",
            "0.4 g on a scale of 1 g cannot be weighed at all: use a scale of 0.05 g or a pre-mix.",
        ),
    ],
)
def test_what_a_scale_makes_of_the_curing_salt(item, error_pct, level, text):
    exact_g, weigh_g, division_g = item
    line = Ingredient("no2", "curing-salt", exact_g, weigh_g, division_g)
    found = scale_findings(DRY, line, error_pct)
    assert [each.level for each in found] == ([] if level is None else [level])
    assert all(each.field == "scale_division_g" for each in found)
    assert all(each.text.startswith(text) for each in found)
    fix = (("scale_division_g", 0.05),) if level == "refused" else ()
    assert all(each.fix == fix for each in found)


def test_a_dose_no_scale_shows_is_left_out_and_a_pack_is_only_said():
    dust = Ingredient("no2", "curing-salt", 0.001, 0.0, 1.0)  # 10 % of 1 mg are no common division
    found = only(scale_findings(DRY, dust, 1000))
    assert (found.level, found.fix) == ("refused", (("cure_pct", 0.0),))
    assert found.text == "0.001 g on a scale of 1 g cannot be weighed at all: use a pre-mix."
    pack = Ingredient("ready-mixed pack", "pack", 0.4, 0.0, 1.0)
    said_of = only(scale_findings(PACK, pack, 125))
    assert (said_of.level, said_of.field, said_of.fix) == ("caution", "scale_division_g", ())
    assert said_of.text.startswith("0.4 g on a scale of 1 g cannot be weighed at all: use a scale")


# ── what is nothing, and what is not salt ─────────────────────────────────────────────────


def test_nothing_stays_nothing():
    """0.5 % that includes 0.224375 % leave 0.275625 %; none is none."""
    assert grams(replace(DRY, salt_pct=0.5))[0] == ("salt", "salt", 2.756)
    assert grams(DoseRequest(green_g=1000, salt_pct=0.0)) == [("salt", "salt", 0.0)]
    assert grams(replace(DRY, method="salt-box", cure_pct=None)) == [("salt", "salt", 30.0)]


def test_sugar_and_what_is_not_stated_are_not_salt_in_a_brine():
    """20 of salt in 70 of water are 22.2 %, 10 of sugar beside it no more."""
    sweet = replace(BRINE, salt_pct=20, curing_salt=None, cure_pct=None, sugar_pct=10, water_g=700)
    assert said(sweet) == []
    unstated = replace(BRINE, salt_pct=20, curing_salt=UNSTATED, cure_pct=10, water_g=700)
    assert said(unstated) == []


def test_what_is_said_of_a_brine_is_all_said():
    little = replace(
        DRY, method="equilibrium-brine", curing_salt=UNSTATED, water_g=80, salt_pct=3.0
    )
    assert [f[:2] for f in said(little)] == [("refused", "salt_means"), ("caution", "water_g")]
    assert said(little)[1][2] == (
        "So little water does not dissolve all that salt at first; turn and stir it, or add water."
    )
    ((_level, _field, _text, fix),) = said(replace(PUMP, green_g=10_000, water_g=44))
    assert fix == (("water_g", 880.0),)
    of_meat = replace(PUMP, percent_of="meat", salt_pct=3.0, curing_salt=None, cure_pct=None)
    first = next(f for f in said(of_meat) if f[0] == "refused")
    assert first[2] == "30 % salt does not dissolve; a brine holds about 26.4 %."


def test_half_a_gram_left_of_a_pack_is_mixed_through_first():
    left = said(replace(PACK, packs=149.5 / 150))
    assert left[-1][:3] == ("note", "packs", "Mix an opened pack through first: fine salts settle.")
    assert said(replace(PACK, packs=149.97 / 150))[-1][1] == "curing_salt"
    known = said(replace(PACK, curing_salt=LABEL))
    assert known == [("note", "packs", "1.0 × what the pack is made for.", ())]


def test_too_much_of_a_nitrate_salt_is_a_slip_of_two_places():
    """11 % of 80 % are 8.8 % of salt; 0.2 % asked for lets 0.25 % stay: 0.11 %."""
    nitrate = replace(DRY, curing_salt=resolve_curing_salt("0/10/80"), cure_pct=11, salt_pct=0.2)
    ((level, field, text, fix),) = said(nitrate)
    assert (level, field, fix) == ("refused", "cure_pct", (("cure_pct", 0.11),))
    assert text.startswith("The curing salt alone brings 8.8 % salt, more than the 0.2 % asked for")
