"""What a dose is asked for and asked about, its salts, its groups and its words; both sides of
each bound. Bounds of what makes sense are design values; shares of a salt come from its label.
"""

from dataclasses import replace

import pytest

from curedash.domain.dosing import CuringSalt, DoseRequest, Scale, resolve_curing_salt
from curedash.domain.dosing.answers import MAX_REASON, read_answer, unknown_reason
from curedash.domain.dosing.asked import asked_findings, left_in
from curedash.domain.dosing.compute import compute_dose
from curedash.domain.dosing.group import bag_doses, group_request, pack_share, share_packs
from curedash.domain.dosing.limit_checks import limits_of
from curedash.domain.dosing.request import check_request
from curedash.domain.dosing.result import Contents, Dose, Finding, Ingredient, accepted_words
from curedash.domain.dosing.salts import curing_salts, label_salt
from curedash.domain.dosing.usual import instead_of, two_places, usual_amount
from curedash.domain.dosing.words import cut, plain
from curedash.domain.errors import Refused
from curedash.domain.facts.curing_salts import CURING_SALTS

NO1, NO2 = resolve_curing_salt("no1"), resolve_curing_salt("no2")
DRY = DoseRequest(green_g=1000, salt_pct=2.75)
CURED = replace(DRY, curing_salt=NO2, cure_pct=0.25)
PACK = DoseRequest(green_g=1000, method="pack", pack_g=150, pack_for_g=2250)
PUMP = replace(DRY, method="injection", pump_pct=10, salt_pct=10)
GROUND = replace(DRY, method="ground", salt_pct=3.0, eaten="as-is")


def refused(request: DoseRequest) -> str:
    with pytest.raises(Refused) as raised:
        check_request(request)
    return str(raised.value)


# ── what makes sense ──────────────────────────────────────────────────────────────────────


@pytest.mark.parametrize(
    ("request_", "field", "name", "low", "high", "unit"),
    [
        (DRY, "green_g", "green weight", 1, 500_000, " g"),
        (DRY, "salt_pct", "salt", 0, 100, " %"),
        (CURED, "cure_pct", "curing salt", 0, 100, " %"),
        (DRY, "sugar_pct", "sugar", 0, 100, " %"),
        (DRY, "pickup_pct", "pick-up", 0, 100, " %"),
        (DRY, "pump_pct", "pump", 0, 100, " %"),
        (
            replace(CURED, cure_pct=None),
            "wanted_nitrite_mg_per_kg",
            "wanted nitrite",
            0,
            100_000,
            " mg/kg",
        ),
        (
            replace(CURED, cure_pct=None),
            "wanted_nitrate_mg_per_kg",
            "wanted nitrate",
            0,
            100_000,
            " mg/kg",
        ),
        (DRY, "water_g", "water", 0, 2_000_000, " g"),
        (DRY, "planned_days", "planned days", 0, 3650, " d"),
        (DRY, "pieces", "number of pieces", 1, 1000, ""),
        (DRY, "scale_division_g", "smallest step of the scale", 0.0001, 1000, " g"),
        (PACK, "pack_g", "pack weight", 0.1, 50_000, " g"),
        (PACK, "pack_for_g", "meat the pack is for", 1, 500_000, " g"),
        (PACK, "packs", "number of packs", 1e-9, 1000, ""),
    ],
)
def test_each_number_has_its_bounds_and_says_them(request_, field, name, low, high, unit):
    for fine in (low, high):
        check_request(replace(request_, **{field: fine}))
    for wrong in (low - 1e-9 - low * 0.01, high * 1.01, float("nan"), float("inf")):
        said = refused(replace(request_, **{field: wrong}))
        assert said == f"{name} {wrong:g}{unit} makes no sense; give {low:g} to {high:g}{unit}."


def test_a_spice_and_a_scale_have_their_bounds():
    check_request(replace(DRY, extras=(("pepper", 100.0),)))
    said = refused(replace(DRY, extras=(("pepper", 100.1),)))
    assert said == "pepper 100.1 % makes no sense; give 0 to 100 %."
    assert refused(replace(DRY, extras=(("", 101.0),))).startswith("an ingredient 101 %")
    long = "x" * 41
    assert refused(replace(DRY, extras=((long, 101.0),))).startswith("x" * 40 + " 101")
    scale = Scale(1.0, 1.0)
    check_request(replace(DRY, scales=(scale, Scale(0.1))))
    assert "maximum of the scale 0.9 g makes no sense; give 1 to 500000 g." in refused(
        replace(DRY, scales=(Scale(0.1), replace(scale, max_g=0.9)))
    )
    check_request(replace(DRY, scales=(replace(scale, max_g=500_000),)))
    assert "maximum of the scale" in refused(replace(DRY, scales=(replace(scale, max_g=500_001),)))


@pytest.mark.parametrize(
    ("field", "word", "known"),
    [
        ("method", "spoon", "equilibrium, equilibrium-brine, immersion, injection, ground, "),
        ("salt_means", "with", "includes or besides."),
        ("eaten", "raw", "as-is, cooked-soon or fried."),
        ("percent_of", "water", "meat or brine."),
    ],
)
def test_each_word_is_one_of_those_known(field, word, known):
    name = field.replace("_", "-")
    said = refused(replace(DRY, **{field: word}))
    assert said.startswith(f"There is no {name} “{word}”; choose {known}")
    assert f"“{'x' * 40}”" in refused(replace(DRY, **{field: "x" * 50}))


def test_rules_and_classes_are_those_known():
    check_request(replace(DRY, rule_set="us", product_class="dry-cured"))
    assert "mars" in refused(replace(DRY, rule_set="mars"))
    assert "shelf-stable" in refused(replace(DRY, product_class="shelf-stable"))


@pytest.mark.parametrize(
    ("request_", "said"),
    [
        (replace(DRY, salt_pct=None), "How much salt? Give the salt in percent"),
        (replace(GROUND, salt_pct=None), "How much salt?"),
        (replace(PUMP, salt_pct=None), "How much salt?"),
        (replace(DRY, method="equilibrium-brine", salt_pct=None, water_g=1), "How much salt?"),
        (replace(DRY, method="equilibrium-brine"), "An equilibrium brine needs the weight of its"),
        (replace(DRY, method="immersion", pump_pct=10), "Short immersion needs the pick-up in"),
        (replace(PUMP, pump_pct=None, pickup_pct=10), "Injection needs the pump in percent"),
        (replace(PUMP, pump_pct=0.0), "Injection needs the pump in percent"),
        (replace(PACK, pack_g=None), "A pack needs its weight and the weight of meat it is for."),
        (replace(PACK, pack_for_g=None), "A pack needs its weight and the weight of meat it is"),
        (replace(PACK, curing_salt=NO1, cure_pct=0.1), "A pack is dosed by the meat it is for;"),
        (replace(DRY, cure_pct=0.1), "Which curing salt? Give no1, no2"),
        (replace(DRY, wanted_nitrate_mg_per_kg=1), "Which curing salt? Give no1, no2"),
        (
            replace(CURED, wanted_nitrite_mg_per_kg=0.0),
            "Give the curing salt once: as a percentage or as the wanted mg/kg.",
        ),
        (replace(DRY, extras=(("  ", 1.0),)), "A spice needs a name, for example pepper."),
        (
            replace(DRY, extras=(("Water", 1.0),)),
            "'Water' is on the sheet already; give it another",
        ),
        (replace(DRY, extras=((" Sugar ", 1.0),)), "'Sugar' is on the sheet already"),
        (replace(DRY, extras=(("curing-salt", 1.0),)), "'curing-salt' is on the sheet already"),
        (replace(DRY, extras=(("pack", 1.0),)), "'pack' is on the sheet already"),
        (replace(DRY, extras=(("ready-mixed pack", 1.0),)), "'ready-mixed pack' is on the sheet"),
        (replace(DRY, extras=(("salt", 1.0),)), "'salt' is on the sheet already"),
        (
            replace(DRY, extras=(("bay", 1.0), ("BAY", 1.0))),
            "'BAY' is on the sheet already; give it another name.",
        ),
        (replace(CURED, extras=((NO2.name.upper(), 1.0),)), repr(NO2.name.upper()[:40])),
    ],
)
def test_what_is_missing_is_asked_for(request_, said):
    assert refused(request_).startswith(said)


def test_what_may_be_left_out():
    for request in (
        DoseRequest(green_g=1000, method="salt-box"),
        PACK,
        replace(PACK, packs=2),
        replace(DRY, cure_pct=0.0),
        replace(DRY, curing_salt=NO1),
        replace(DRY, extras=(("bay", 0.1), ("pepper", 0.1))),
        replace(DRY, method="immersion", pickup_pct=4.0),
    ):
        check_request(request)


def test_what_percentages_are_of():
    brine = replace(DRY, method="immersion", pickup_pct=4, pump_pct=9)
    assert (brine.basis, brine.of_brine, brine.reach_pct) == ("brine", True, 4)
    pump = replace(brine, method="injection")
    assert (pump.basis, pump.of_brine, pump.reach_pct) == ("brine", True, 9)
    assert replace(pump, pump_pct=None).reach_pct == 0.0
    for method in ("immersion", "injection"):
        of_meat = replace(brine, method=method, percent_of="meat")
        assert (of_meat.basis, of_meat.of_brine) == ("meat", False)
    assert (DRY.basis, DRY.of_brine) == ("meat", False)
    assert replace(DRY, method="equilibrium-brine").basis == "meat and water"


def test_the_shelf_is_the_list_or_one_scale():
    assert DRY.shelf_of_scales == (Scale(1.0),)
    assert replace(DRY, scales=(Scale(0.1, 200),)).shelf_of_scales == (Scale(0.1, 200),)
    assert not DRY.wants_nitrite_or_nitrate
    assert not replace(DRY, cure_pct=0.0).wants_nitrite_or_nitrate
    for field in ("cure_pct", "wanted_nitrite_mg_per_kg", "wanted_nitrate_mg_per_kg"):
        assert replace(DRY, **{field: 0.01}).wants_nitrite_or_nitrate


# ── curing salts ──────────────────────────────────────────────────────────────────────────


def test_the_shelf_hands_on_every_figure_of_its_table():
    fields = CURING_SALTS[0]._fields
    for row, salt in zip(CURING_SALTS, curing_salts(), strict=True):
        assert [getattr(salt, name) for name in fields] == list(row)


@pytest.mark.parametrize(
    ("typed", "salt_id"),
    [
        ("no2", "no2"),
        (" NO1 ", "no1"),
        ("curing salt no. 1 (PINK)", "no1"),
        ("2", "no2"),
        ("#1", "no1"),
        ("no. 2", "no2"),
        ("no 1", "no1"),
        ("pink salt 2", "no2"),
        ("type 2.", "no2"),
        ("none", "plain"),
        ("No", "plain"),
        ("WITHOUT", "plain"),
        ("saltpet", "saltpetre"),
        ("continental", None),
        ("nitrited", None),
        ("pink salt", None),
        ("no. 3", None),
        ("salt no.", None),
    ],
)
def test_a_curing_salt_by_what_people_call_it(typed, salt_id):
    if salt_id is not None:
        assert resolve_curing_salt(typed).id == salt_id
        return
    with pytest.raises(Refused) as raised:
        resolve_curing_salt(typed)
    pink = "Which pink salt, 1 or 2? The label says: no1 holds nitrite only, no2 nitrate as well."
    known = "no1, no2, no2-low, nitrited-0.4, nitrited-0.5, nitrited-0.6, ready-mix-0.5-0.5, "
    assert str(raised.value) == pink if "pink" in typed else known in str(raised.value)


def test_an_own_jar_is_found_by_its_name_and_its_beginning():
    jar = CuringSalt("cellar", "cellar jar", 3.0, 0.0, 97.0)
    assert resolve_curing_salt("CELLAR JAR", [jar]) is jar
    assert resolve_curing_salt("cell", [jar]) is jar
    two = replace(jar, id="cellar-2", name="cellar jar two")
    with pytest.raises(Refused):
        resolve_curing_salt("cell", [jar, two])


@pytest.mark.parametrize(
    ("typed", "nitrite", "nitrate", "nacl"),
    [
        ("6.25/4/89.75", 6.25, 4, 89.75),
        ("0,5 / 0.5 % / ?", 0.5, 0.5, None),
        ("5.88%/0", 5.88, 0, 94.12),
        ("0/100", 0, 100, 0),
        ("100/0", 100, 0, 0),
        ("0/0/100", 0, 0, 100),
        ("50/50/0", 50, 50, 0),
        ("50/50,0/0,0", 50, 50, 0),
    ],
)
def test_a_label_is_read(typed, nitrite, nitrate, nacl):
    salt = resolve_curing_salt(typed)
    assert (salt.nitrite_pct, salt.nitrate_pct, salt.nacl_pct) == (nitrite, nitrate, nacl)
    strength = f"{nitrite:g}/{nitrate:g}"
    assert salt.name == f"curing salt {strength}"
    three = typed.count("/") == 2
    assert salt.id == (typed if three else strength)
    assumed = f"salt share not typed: the rest, {100 - nitrite - nitrate:g} %, is counted as salt"
    assert salt.note == ("" if three else assumed)
    assert (salt.nitrate_as, salt.source, salt.how) == ("label", "its own label", "read")


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("-0.1/0", "The shares on a label lie between 0 and 100 %; write them as 5.88/0."),
        ("0/100.1", "The shares on a label lie between 0 and 100 %; write them as 5.88/0."),
        ("1/1/101", "The shares on a label lie between 0 and 100 %; write them as 5.88/0."),
        ("inf/0", "The shares on a label lie between 0 and 100 %; write them as 5.88/0."),
        ("50/50/1", "The shares on a label add up to more than 100 %; write them as 5.88/0."),
        ("60/50", "The shares on a label add up to more than 100 %; write them as 5.88/0."),
        ("1/2/3/4", "Write a label strength as nitrite %/nitrate %, such as 5.88/0."),
        ("a/b", "'a/b' is not a label strength; write nitrite %/nitrate %, such as 5.88/0."),
        ("1/2/x", "'1/2/x' is not a label strength; write nitrite %/nitrate %, such as 5.88/0."),
    ],
)
def test_what_no_label_says_is_refused(typed, said):
    with pytest.raises(Refused) as raised:
        resolve_curing_salt(typed)
    assert str(raised.value) == said


def test_a_jar_has_the_name_it_is_given():
    jar = label_salt(3, 1, None, salt_id="jar", name="cellar jar", note="from May")
    assert (jar.id, jar.name, jar.note, jar.nacl_pct) == ("jar", "cellar jar", "from May", None)
    assert jar.strength_known
    for unknown in (replace(jar, nitrite_pct=None), replace(jar, nitrate_pct=None)):
        assert not unknown.strength_known
    with pytest.raises(Refused, match=r"The strength of cellar jar is not known: read it off"):
        _ = replace(jar, nitrite_pct=None).nitrite_fraction


def test_saltpetre_counts_as_sodium_nitrate():
    """84.9947 / 101.1032 (molar masses of NaNO3 and KNO3)."""
    petre = resolve_curing_salt("saltpetre")
    assert petre.nitrate_salt_fraction == 1.0
    assert petre.nitrate_fraction == pytest.approx(84.9947 / 101.1032, rel=1e-5)
    assert (NO2.nitrate_fraction, NO2.nitrate_salt_fraction) == (0.04, 0.04)
    assert NO2.nitrite_fraction == 0.0625


# ── what is asked about ───────────────────────────────────────────────────────────────────

NONE_IN = Contents(3.0, 0.0, 0.0, 0.0)
KEYS = {"cure_pct", "planned_days"}


def asks(request: DoseRequest, inside: Contents = NONE_IN, exact: Contents | None = None):
    return asked_findings(request, inside, exact)


def nitrite(request: DoseRequest, inside: Contents = NONE_IN) -> list[Finding]:
    return [each for each in asks(request, inside) if each.field in KEYS]


def test_nitrite_left_out_of_ground_meat_is_asked_with_its_usual_amount():
    (asked,) = nitrite(replace(GROUND, curing_salt=NO2))
    assert (asked.level, asked.field, asked.question, asked.must) == (
        "caution",
        "cure_pct",
        "no-nitrite",
        True,
    )
    assert asked.text == "No nitrite in ground meat that is eaten uncooked: why is it left out?"
    assert asked.fix == (("cure_pct", 0.25),)
    assert nitrite(GROUND)[0].fix == ()
    assert nitrite(replace(GROUND, style_without_nitrite=True))[0].must
    (told,) = nitrite(replace(GROUND, answers=(("no-nitrite", "eaten in a week."),)))
    assert (told.level, told.field, told.question) == ("note", "cure_pct", "no-nitrite")
    assert told.text == "No nitrite, left out on purpose: eaten in a week."
    for eaten in ("cooked-soon", "fried"):
        (cooked,) = nitrite(replace(GROUND, eaten=eaten))
        assert (cooked.level, cooked.field, cooked.question) == ("note", "cure_pct", "")
        assert cooked.text.startswith("No nitrite: for meat that is cooked, never for drying")
        assert nitrite(replace(DRY, eaten=eaten)) == []


@pytest.mark.parametrize(
    ("days", "level", "text", "field", "must"),
    [
        (None, "caution", "No nitrite: over 30 days it is seldom", "planned_days", False),
        (30, None, "", "", False),
        (31, "caution", "No nitrite, and 31 days planned: why is it", "cure_pct", True),
    ],
)
def test_nitrite_left_out_of_a_long_dry_is_asked(days, level, text, field, must):
    found = nitrite(replace(DRY, planned_days=days))
    assert [(f.level, f.field, f.must) for f in found] == ([(level, field, must)] if level else [])
    assert all(f.text.startswith(text) for f in found)
    (without,) = nitrite(replace(DRY, planned_days=days, style_without_nitrite=True))
    assert (without.level, without.field, without.question) == ("caution", "cure_pct", "")
    assert without.text.startswith(
        "No nitrite: this style is made without it. Keep the meat cold until"
    )


def test_nitrite_that_is_in_or_unknown_is_not_asked_about():
    assert nitrite(replace(GROUND, cure_pct=0.25), Contents(3, 1.0, 0.0, 0.0)) == []
    assert nitrite(replace(GROUND, cure_pct=0.25), Contents(3, 0.0, 1.0, 0.0)) == []
    assert nitrite(replace(GROUND, cure_pct=0.25), Contents(3, None, 0.0, 0.0)) == []
    assert nitrite(replace(GROUND, cure_pct=0.25), Contents(3, 0.0, None, 0.0)) == []
    assert nitrite(replace(GROUND, cure_pct=0.25)) != []  # it rounds to nothing
    assert nitrite(replace(PACK, planned_days=60), Contents(3, None, None, None)) == []
    assert nitrite(replace(PACK, planned_days=60)) != []


@pytest.mark.parametrize(("total", "asked"), [(0.99, True), (1.0, False), (0.0, True)])
def test_a_tenth_of_the_usual_salt_is_asked_about(total, asked):
    inside = Contents(total, 100.0, 0.0, 0.0)
    for method in ("equilibrium", "equilibrium-brine", "ground"):
        request = replace(CURED, method=method)
        found = [f for f in asks(request, inside) if f.question == "little-salt"]
        assert bool(found) is asked
        for each in found:
            assert (each.level, each.field, each.must) == ("caution", "salt_pct", True)
            assert each.text == f"{total:g} % total salt is hardly any. Did you mean 2.75?"
            assert each.fix == (("salt_pct", 2.75),)
    for other in (replace(PACK), PUMP, DoseRequest(green_g=1, method="salt-box")):
        assert not [f for f in asks(other, inside) if f.question == "little-salt"]


def test_little_salt_by_a_style_and_with_a_reason():
    inside = Contents(0.3, 100.0, 0.0, 0.0)
    found = asks(replace(CURED, style_salt_pct=3.2), inside)
    assert found[0].text == "0.3 % total salt is hardly any. Did you mean 3.2?"
    assert found[0].fix == (("salt_pct", 3.2),)
    told = asks(replace(CURED, answers=(("little-salt", "low sodium."),)), inside)[0]
    assert (told.level, told.field, told.question) == ("note", "salt_pct", "little-salt")
    assert told.text == "0.3 % total salt, on purpose: low sodium."
    assert asks(CURED, replace(inside, total_salt_pct=None)) == []
    assert asks(CURED, inside, Contents(2.0, 100, 0, 0)) == []  # the plan counts, not the scale


@pytest.mark.parametrize(
    ("shares", "field", "text"),
    [
        ({"sugar_pct": 80.0}, "sugar_pct", "Sugar 80 %: over 10 % of the meat is rare."),
        ({"extras": (("pepper", 6.0),)}, "extras", "pepper 6 %: over 5 % of the meat is rare."),
        (
            {"extras": (("pepper", 4.0), ("fennel", 4.0), ("chilli", 4.0))},
            "extras",
            "All spices together 12 %: over 10 % of the meat is rare.",
        ),
    ],
)
def test_an_unlikely_share_is_asked_about(shares, field, text):
    inside = Contents(3.0, 100.0, 0.0, 0.0)
    (asked,) = (f for f in asks(replace(CURED, **shares), inside) if f.question == "large-share")
    assert (asked.level, asked.field, asked.must) == ("caution", field, True)
    assert asked.text == f"{text} Why so much?"
    because = replace(CURED, **shares, answers=(("large-share", "a spread."),))
    (told,) = (f for f in asks(because, inside) if f.question == "large-share")
    assert (told.level, told.text) == ("note", text.partition(":")[0] + ", on purpose: a spread.")


def test_usual_shares_of_sugar_and_spice_are_not_asked_about():
    usual = replace(CURED, sugar_pct=10.0, extras=(("pepper", 5.0), ("fennel", 5.0)))
    found = asks(usual, Contents(3.0, 100.0, 0.0, 0.0))
    assert not [each for each in found if each.question == "large-share"]


def test_a_curing_salt_is_refused_as_a_spice():
    with pytest.raises(Refused, match="type it in the field curing salt"):
        compute_dose(replace(CURED, extras=(("no2", 0.25),)))


def test_the_meat_is_said_unless_it_is_cooked():
    inside = Contents(3, 100, 0, 0)
    (bear,) = asks(replace(CURED, species="bear"), inside)
    assert (bear.level, bear.field) == ("caution", "species")
    assert bear.text.startswith("Bear: count it as infected")
    assert asks(replace(CURED, species="bear", eaten="fried"), inside) == []
    assert asks(replace(CURED, species="pork"), inside) == []
    (pig,) = asks(replace(CURED, species="pork", wild=True), inside)
    assert pig.text.startswith("Wild or feral pig")
    (other,) = asks(replace(CURED, species=" other: alpaca ", eaten="fried"), inside)
    assert (other.level, other.field) == ("caution", "species")
    assert other.text == "No limit is known for this meat (other: alpaca): nothing is checked."


@pytest.mark.parametrize(
    ("total", "said"), [(0.99, False), (1.0, True), (1.99, True), (2.0, False), (None, False)]
)
def test_little_salt_in_ground_meat_is_a_caution(total, said):
    found = asks(replace(GROUND, cure_pct=0.25), Contents(total, 100, 0, 0))
    little = [f for f in found if "is little for ground meat" in f.text]
    assert [(f.level, f.field) for f in little] == ([("caution", "salt_pct")] if said else [])
    assert all(f.text.startswith(f"{total:g} % total salt is little") for f in little)
    dry = asks(CURED, Contents(total, 100, 0, 0))
    assert not [f for f in dry if "ground" in f.text]


def test_ground_meat_wants_a_starter_and_a_ferment():
    inside = Contents(3, 100, 0, 0)
    ground = replace(GROUND, cure_pct=0.25)
    (starter,) = asks(ground, inside)
    assert (starter.level, starter.field) == ("caution", "extras")
    assert starter.text.startswith("No starter culture on the list: without one the pH may not")
    assert asks(replace(ground, extras=(("bay", 1.0),)), inside) == [starter]
    for name in ("Starter", "cool CULTURE no. 3"):
        assert asks(replace(ground, extras=(("bay", 1.0), (name, 0.02))), inside) == []
    with_one = replace(ground, extras=(("starter", 0.02),))
    assert asks(replace(with_one, fermented=True), inside) == []
    (ferment,) = asks(replace(with_one, fermented=False), inside)
    assert (ferment.level, ferment.field, ferment.question) == ("caution", "method", "ferment")
    assert ferment.text == "This style of ground meat has no ferment: is it dried without one?"
    told = asks(replace(with_one, fermented=False, answers=(("ferment", "dried cold."),)), inside)
    assert (told[0].level, told[0].field, told[0].question) == ("note", "method", "ferment")
    assert told[0].text == "Dried without a ferment: dried cold."
    for eaten in ("fried", "cooked-soon"):
        assert asks(replace(ground, eaten=eaten, fermented=False), inside) == []


def test_a_short_immersion_says_when_to_stop():
    """10 % of 1000 g: out at 1100 g. 10 % salt and 2 % no1 in 1136 g: 22.7 g · 62.5 over 2136 g."""
    request = replace(
        DRY,
        method="immersion",
        salt_pct=10,
        salt_means="besides",
        curing_salt=NO1,
        cure_pct=2,
        water_g=1000,
        pickup_pct=10,
    )
    found = asks(request, Contents(1, 125, 0, 0))[-1]
    assert (found.level, found.field) == ("caution", "pickup_pct")
    brine_g = 1000 / 0.88
    left = left_in(request)
    assert left.nitrite_mg_per_kg == pytest.approx(brine_g * 0.02 * 62_500 / (1000 + brine_g))
    salt_g = brine_g * (0.1 + 0.02 * 0.9375)
    assert left.total_salt_pct == pytest.approx(100 * salt_g / (1000 + brine_g))
    assert found.text == (
        "Take it out of the brine once it weighs 1100 g: a pick-up of 10 %. "
        "Left in, it reaches 665 mg/kg nitrite and 6.3 % salt."
    )
    bare = replace(request, curing_salt=None, cure_pct=None)
    assert "nitrite" not in asks(bare)[-1].text.partition("Left in")[2]
    none = replace(bare, salt_pct=0.0)
    assert asks(none)[-1].text.endswith("of 10 %.")


def test_pumped_meat_rests():
    (rest,) = asks(replace(PUMP, cure_pct=1.0), Contents(1, 100, 0, 0))
    assert (rest.level, rest.field) == ("note", "pump_pct")
    assert rest.text.startswith("Pumped meat rests in the cold for a day or two")


# ── answers ───────────────────────────────────────────────────────────────────────────────


def test_an_answer_says_what_it_wants():
    for question, usual in (
        ("thickness", "80 mm, or unknown: no ruler here"),
        ("temperature", "4 °C, or unknown: no thermometer in it"),
        ("end-use", "as-is, cooked-soon, fried, or unknown: a present"),
        ("class", "a few words why"),
    ):
        with pytest.raises(Refused) as raised:
            read_answer(question, " ")
        assert str(raised.value) == f"Answer {question} with {usual}."
    with pytest.raises(Refused, match=r"^Answer end-use with as-is, cooked-soon"):
        read_answer("end-use", "raw")
    with pytest.raises(Refused, match=r"^There is no question “w{40}”; choose class, no-nit"):
        read_answer("w" * 50, "wet")


def test_an_answer_is_kept_as_typed():
    answer = read_answer("end-use", "  Cooked   soon ")
    assert (answer.question, answer.text, answer.value) == ("end-use", "Cooked soon", "cooked-soon")
    assert not answer.unknown
    warm = read_answer("temperature", " 12  °C")
    assert (warm.question, warm.text, warm.value) == ("temperature", "12 °C", 12.0)
    thick = read_answer("thickness", "80 mm")
    assert (thick.question, thick.text, thick.value) == ("thickness", "80 mm", 80.0)
    use_by = read_answer("use-by", "frozen " + "y" * 300)
    assert (use_by.question, use_by.value, len(use_by.text)) == ("use-by", None, MAX_REASON)
    nobody = read_answer("end-use", "unknown: a present")
    assert (nobody.value, nobody.unknown) == (None, True)


@pytest.mark.parametrize(
    ("typed", "reason"),
    [
        ("unknown", ""),
        ("  UNKNOWN :  no   ruler ", "no ruler"),
        ("unknown, because it is wrapped", "it is wrapped"),
        ("unknown – gone", "gone"),
        ("unknown; lost", "lost"),
        ("unknown.", ""),
        ("unknown - lost", "lost"),
        ("unknown2", None),
        ("unknown2 of it", None),
        ("not unknown", None),
        ("", None),
    ],
)
def test_unknown_has_its_reason(typed, reason):
    assert unknown_reason(typed) == reason


# ── several pieces ────────────────────────────────────────────────────────────────────────


def test_a_group_is_the_sum():
    with pytest.raises(Refused, match=r"^A group dose needs at least one piece; give its green"):
        group_request([])
    with pytest.raises(Refused, match=r"^A group dose needs pieces dosed alike; dose the odd one"):
        group_request([CURED, replace(CURED, cure_pct=0.2)])
    three = group_request([CURED, replace(CURED, green_g=500), replace(CURED, green_g=250)])
    assert three == replace(CURED, green_g=1750, pieces=3)
    assert group_request([replace(CURED, pieces=2), replace(CURED, pieces=2)]).pieces == 4
    assert group_request([CURED]) == CURED


def test_a_bag_shares_what_was_weighed_by_green_weight():
    """375 g in one bag: 2.75 % includes 0.25 % · 89.75 %, so 2.5256 % or 9.471 g of plain salt."""
    each = [replace(CURED, green_g=g, scale_division_g=0.1) for g in (180, 195)]
    doses = bag_doses(each)
    whole = compute_dose(replace(CURED, green_g=375, scale_division_g=0.1, pieces=2))
    assert [dose.request for dose in doses] == each
    for index, item in enumerate(whole.ingredients):
        parts = [dose.ingredients[index] for dose in doses]
        assert round(sum(part.weigh_g for part in parts), 2) == item.weigh_g
        assert parts[0].weigh_g == pytest.approx(item.weigh_g * 180 / 375, abs=0.0051)
        assert parts[0].exact_g == pytest.approx(item.exact_g * 180 / 375)
        assert parts[1].exact_g == pytest.approx(item.exact_g * 195 / 375)
        assert (parts[1].name, parts[1].kind) == (item.name, item.kind)
    assert doses[1].nitrite_mg_per_kg == whole.nitrite_mg_per_kg
    assert any("2 pieces together" in text for text in doses[0].messages)
    counted = bag_doses(
        [replace(one, pieces=count) for one, count in zip(each, (2, 3), strict=True)]
    )
    assert any("5 pieces together" in text for text in counted[0].messages)
    thirds = bag_doses(
        [replace(DRY, green_g=100, salt_pct=10)] * 3 + [replace(DRY, green_g=100, salt_pct=10)]
    )
    assert [dose.ingredients[0].weigh_g for dose in thirds] == [10, 10, 10, 10]
    odd = bag_doses([replace(DRY, green_g=100, salt_pct=10 / 3)] * 3)
    assert [dose.ingredients[0].weigh_g for dose in odd] == [3.33, 3.34, 3.33]


def test_packs_are_shared_and_added_up():
    with pytest.raises(Refused, match=r"^Sharing packs needs green weights and a number of packs"):
        share_packs([PACK], 0)
    for nothing in ([], [replace(PACK, green_g=0)]):
        with pytest.raises(Refused):
            share_packs(nothing, 1)
    assert [one.packs for one in share_packs([PACK, replace(PACK, green_g=3000)], 0.5)] == [
        0.125,
        0.375,
    ]
    whole = [compute_dose(one) for one in share_packs([PACK, PACK], 2)]
    share = pack_share(whole)
    assert (share.used_g, share.packs_opened, share.left_g) == (300, 2, 0)
    part = pack_share([compute_dose(replace(PACK, packs=1.1))])
    assert (part.used_g, part.packs_opened, part.left_g) == (165, 2, 135)
    mixed = pack_share([compute_dose(DRY), compute_dose(replace(PACK, packs=0.5))])
    assert (mixed.used_g, mixed.packs_opened, mixed.left_g) == (75, 1, 75)
    assert pack_share([compute_dose(DRY)]) is None
    assert pack_share([compute_dose(replace(DRY, pack_g=150))]) is None


# ── a dose as a value ─────────────────────────────────────────────────────────────────────


def dose(*findings: Finding, **more: object) -> Dose:
    return Dose(DRY, (), Contents(2.75, 1.0, 2.0, 3.0), None, findings, None, None, **more)  # type: ignore[arg-type]


KEPT = "within the limit of 625 mg/kg NaNO2 (United States, dry-cured): nitrite {} mg/kg"
NOTED = Finding("note", "cut", "Note.")
WARNED = Finding("caution", "cut", "Caution.", question="class")
OPEN = Finding("not-checked", "cut", "Residual nitrite: not checked against a limit.")
ASKED = Finding("caution", "cut", "Which?", (("cut", "loin"),), "end-use", must=True)
BAD = Finding("refused", "cure_pct", "Too much.")


@pytest.mark.parametrize(
    ("findings", "compared", "verdict", "words"),
    [
        ((NOTED,), (1, 2), "within-limits", f"{KEPT.format(1)}; {KEPT.format(2)}"),
        ((NOTED,), (), "not-checked", "not checked: x: y"),
        ((NOTED, OPEN), (1,), "not-checked", f"{KEPT.format(1)}; not checked: Residual nitrite"),
        ((NOTED, OPEN, WARNED), (1,), "caution", "caution: Caution."),
        ((WARNED, OPEN, BAD), (1,), "refused", "refused: Too much."),
    ],
)
def test_the_gravest_finding_is_the_verdict(findings, compared, verdict, words):
    limit = limits_of(replace(CURED, rule_set="us", cut="loin"))[0]
    within = tuple((limit, float(value)) for value in compared)
    made = dose(*findings, held_against=within, not_compared=("x: y",))
    assert (made.verdict, made.verdict_words) == (verdict, words)


def test_a_dose_with_nothing_compared_says_so():
    assert dose().verdict_words == "not checked: nothing was compared"
    assert dose(not_compared=("p", "q")).verdict_words == "not checked: p; q"


def test_what_is_open_and_what_is_refused():
    made = dose(NOTED, WARNED, ASKED, replace(NOTED, question="ferment"), OPEN, BAD)
    assert made.open_questions == (WARNED, ASKED)
    assert made.must_answer == ASKED
    assert dose(WARNED).must_answer is None
    assert made.messages == (
        "Too much.",
        "Caution.",
        "Which?",
        "Residual nitrite: not checked against a limit.",
        "Note.",
        "Note.",
    )
    assert made.refusal == "Too much."
    mended = replace(made, accepted=(("cure_pct", 0.25),))
    assert mended.refusal == "Too much. Accepted: curing salt 0.25 %."
    assert dose(WARNED).refusal is None
    assert (made.total_salt_pct, made.nitrite_mg_per_kg, made.nitrate_mg_per_kg) == (2.75, 1, 2)


def test_the_first_line_of_a_kind():
    lines = (Ingredient("a", "extra", 1, 1), Ingredient("b", "extra", 2, 2))
    made = replace(dose(), ingredients=lines)
    assert made.ingredient("extra") is lines[0]
    assert made.ingredient("salt") is None


@pytest.mark.parametrize(
    ("accepted", "words"),
    [
        ((), ""),
        ((("salt_pct", 2.75), ("sugar_pct", 0.0)), "Accepted: salt 2.75 %, sugar 0 %."),
        (
            (("extras", ()), ("water_g", None), ("packs", 1.0)),
            "Accepted: no more spices, no water, packs 1.",
        ),
        ((("wanted_nitrite_mg_per_kg", 120),), "Accepted: nitrite 120 mg/kg."),
        ((("wanted_nitrate_mg_per_kg", 0.0),), "Accepted: nitrate 0 mg/kg."),
        ((("pump_pct", 15.0), ("pickup_pct", 4.0)), "Accepted: pump 15 %, pick-up 4 %."),
        ((("packs", 1.0), ("curing_salt", "no1")), "Accepted: packs 1, curing salt no1."),
        ((("water_g", 88.0), ("scale_division_g", 0.1)), "Accepted: water 88 g, a scale of 0.1 g."),
        ((("salt_means", "besides"),), "Accepted: salt besides the curing salt."),
        ((("method", "equilibrium"),), "Accepted: method equilibrium."),
        ((("cure_pct", 0.123456789),), "Accepted: curing salt 0.123456789 %."),
    ],
)
def test_what_would_be_accepted_in_words(accepted, words):
    assert accepted_words(accepted) == words


# ── usual amounts, numbers in sentences ───────────────────────────────────────────────────


@pytest.mark.parametrize(
    ("changed", "usual"),
    [
        ({}, ("cure_pct", 0.25)),
        ({"style_nitrite_mg_per_kg": 125}, ("cure_pct", 0.2)),
        ({"cure_pct": None, "wanted_nitrite_mg_per_kg": 900}, ("wanted_nitrite_mg_per_kg", 156.2)),
        ({"cure_pct": None, "wanted_nitrate_mg_per_kg": 900}, None),
        ({"method": "pack"}, None),
        ({"curing_salt": None}, None),
        ({"curing_salt": replace(NO2, nitrate_pct=None)}, None),
        ({"curing_salt": resolve_curing_salt("saltpetre")}, None),
        ({"method": "injection", "pump_pct": 10}, ("cure_pct", 2.5)),
        ({"method": "injection", "pump_pct": 10, "percent_of": "meat"}, ("cure_pct", 0.25)),
        ({"method": "injection"}, None),
    ],
)
def test_the_usual_amount(changed, usual):
    """0.25 % of 6.25 % are 156.25 mg/kg; by 10 % pump ten times that in the brine."""
    assert usual_amount(replace(CURED, **changed)) == usual


@pytest.mark.parametrize(
    ("request_", "now", "most", "instead"),
    [
        (CURED, 2.5, 1.0, 0.25),
        (CURED, 2.5, 0.25, 0.25),
        (CURED, 3.0, 1.0, 0.25),
        (CURED, 2.4, 0.24, 0.24),  # the mark slipped by one place
        (CURED, 20.0, 0.24, 0.2),  # by two
        (CURED, 0.6, 0.24, 0.24),  # 0.06 % is under the floor of 40 mg/kg (0.064 %)
        (CURED, 0.65, 0.24, 0.065),
        (CURED, 0.6, 0.125, 0.12),
        (CURED, 0.6, 0.1249, 0.06245),  # under half the usual dose
        (replace(CURED, method="pack"), 0.3, 0.25, 0.03),
        (replace(CURED, method="pack"), 100.0, 0.5, 0.25),
    ],
)
def test_what_is_proposed_in_place_of_too_much(request_, now, most, instead):
    assert instead_of(request_, "cure_pct", now, most) == instead


def test_another_field_has_no_usual_amount():
    assert instead_of(CURED, "packs", 500.0, 1.0) == 0.5
    assert instead_of(CURED, "packs", 9.0, 1.0) == 0.9


@pytest.mark.parametrize(
    ("value", "places"),
    [(0.199, 0.19), (0.02, 0.02), (0.0199, 0.019), (0.0256, 0.02), (0.29, 0.29), (1.999, 1.99)],
)
def test_two_places_are_cut_never_raised(value, places):
    assert two_places(value) == places


@pytest.mark.parametrize(
    ("value", "digits", "text"),
    [
        (0, 4, "0"),
        (0.0001234567, 4, "0.0001235"),
        (-12.5, 4, "-12.5"),
        (123456, 4, "123456"),
        (1000, 4, "1000"),
        (99.996, 4, "100"),
        (1.5, 1, "2"),
        (1.0, 4, "1"),
        (float("inf"), 4, "inf"),
    ],
)
def test_a_number_in_a_sentence(value, digits, text):
    assert plain(value, digits) == text
    assert plain(156.25) == "156.2"


@pytest.mark.parametrize(
    ("value", "digits", "less"),
    [
        (0.999999, 4, 0.9999),
        (12345.6, 4, 12340.0),
        (0.25, 4, 0.25),
        (1.0, 4, 1.0),
        (7.7756, 2, 7.7),
        (-1.0, 4, 0.0),
        (0.0, 4, 0.0),
        (0.0041, 2, 0.0041),
    ],
)
def test_a_maximum_is_cut_down(value, digits, less):
    assert cut(value, digits) == less
