"""The class a dose is held to: what is asked of it, with field, fix and reason; both sides.

9 CFR 424.22(b) (bacon), 424.21(c), FSIS Handbook 7620.3; CFIA for Canada.
"""

from dataclasses import replace

import pytest

from curedash.domain.dosing import DoseRequest, resolve_curing_salt
from curedash.domain.dosing.classes import class_findings, compared_with, not_computed
from curedash.domain.facts.nitrite_limits import PRODUCT_CLASS_LABELS
from curedash.domain.facts.product_classes import CLASS_ROWS

NO1, NO2 = resolve_curing_salt("no1"), resolve_curing_salt("no2")
GROUND = DoseRequest(green_g=1000, method="ground", curing_salt=NO2, cure_pct=0.25, rule_set="us")
BELLY = DoseRequest(green_g=1000, curing_salt=NO1, cure_pct=0.25, rule_set="us", cut="belly")


def test_without_a_rule_set_nothing_follows():
    found = compared_with(replace(GROUND, rule_set=None))
    assert found == type(found)((), None, (), None, None, "no rule set picked")


def test_a_class_that_does_not_fit_is_asked_with_the_one_that_does():
    (asked,) = class_findings(replace(GROUND, product_class="dry-cured"))
    assert (asked.level, asked.field, asked.question, asked.must) == (
        "caution",
        "product_class",
        "class",
        True,
    )
    assert asked.fix == (("product_class", "comminuted"),)
    assert asked.text.startswith("Class dry-cured does not fit: ")
    assert "the class is comminuted (" in asked.text
    assert asked.text.endswith("The stricter limit counts. Why dry-cured?")
    assert class_findings(replace(GROUND, product_class="comminuted")) == []
    assert class_findings(replace(GROUND, product_class="dry-cured", rule_set=None)) == []
    assert class_findings(replace(GROUND, product_class="dry-cured", cure_pct=None)) == []


@pytest.mark.parametrize(
    ("reason", "end"),
    [("a test", "a test."), ("why not?", "why not?"), ("so!", "so!"), ("x.", "x.")],
)
def test_an_answered_class_is_a_note_with_its_reason(reason, end):
    request = replace(GROUND, product_class="dry-cured", answers=(("class", reason),))
    (note,) = class_findings(request)
    assert (note.level, note.field, note.question) == ("note", "product_class", "class")
    assert note.text == f"Class dry-cured in place of comminuted: {end}"
    found = compared_with(request)
    assert (found.counts, found.follows, found.why_not) == (("dry-cured",), "comminuted", "")
    assert found.nitrite.mg_per_kg == 625


def test_a_class_that_fits_counts_alone_and_one_that_does_not_beside_the_others():
    fits = compared_with(replace(GROUND, product_class="comminuted"))
    assert (fits.counts, fits.nitrite.mg_per_kg) == (("comminuted",), 156.25)
    both = compared_with(replace(GROUND, product_class="dry-cured"))
    assert both.counts == ("comminuted", "dry-cured")
    assert (both.nitrite.mg_per_kg, both.nitrate.mg_per_kg) == (156.25, 1718.75)


def test_fish_is_held_to_nothing_whatever_is_picked():
    fish = replace(BELLY, cut="side", species="salmon", product_class="dry-cured")
    found = compared_with(fish)
    assert (found.counts, found.nitrite, found.follows) == ((), None, None)
    assert found.why_not == "the limits here (United States) are for meat and poultry, not for fish"
    assert class_findings(fish) == []


def test_belly_of_unknown_end_use_is_asked_and_held_to_the_stricter():
    (asked,) = class_findings(BELLY)
    assert (asked.level, asked.field, asked.question, asked.must) == (
        "caution",
        "eaten",
        "end-use",
        True,
    )
    assert asked.text == (
        "Belly: dried and eaten as it is, or to be fried? "
        "Until you answer, the stricter limit counts."
    )
    assert compared_with(BELLY).nitrite.mg_per_kg == 200
    picked = replace(BELLY, product_class="dry-cured")
    assert compared_with(picked).nitrite.mg_per_kg == 200  # still open
    told = replace(picked, eaten="as-is")
    assert compared_with(told).counts == ("dry-cured",)
    assert compared_with(told).nitrite.mg_per_kg == 625
    assert class_findings(told) == []


def test_both_questions_are_asked_where_both_are_open():
    both = class_findings(replace(BELLY, product_class="comminuted"))
    assert [each.question for each in both] == ["class", "end-use"]


def test_belly_with_nitrate_is_asked_elsewhere_and_unknown_is_a_note():
    assert class_findings(replace(BELLY, curing_salt=NO2)) == []
    (note,) = class_findings(replace(BELLY, answers=(("end-use", "unknown: a present"),)))
    assert (note.level, note.field, note.question) == ("note", "eaten", "end-use")
    assert note.text == (
        "Belly, end use unknown: a present. Until you answer, the stricter limit counts."
    )


def test_fried_meat_of_no_known_cut_is_asked_whether_it_is_belly():
    fried = replace(BELLY, cut="", eaten="fried")
    (asked,) = class_findings(fried)
    assert (asked.level, asked.field, asked.question) == ("caution", "cut", "end-use")
    assert asked.text == "Fried: is it belly? Until you answer, the stricter limit counts."
    assert class_findings(replace(fried, cut="loin")) == []
    assert class_findings(replace(fried, eaten="as-is")) == []
    assert class_findings(replace(fried, cut="belly")) == []


def test_a_pack_is_asked_where_its_strength_is_known():
    pack = DoseRequest(
        green_g=1000,
        method="pack",
        pack_g=145,
        pack_for_g=2250,
        rule_set="us",
        product_class="comminuted",
        cut="loin",
        curing_salt=resolve_curing_salt("0.5/0"),
    )
    assert [each.question for each in class_findings(pack)] == ["class"]
    assert class_findings(replace(pack, curing_salt=None)) == []
    unknown = replace(pack.curing_salt, nitrite_pct=None)
    assert class_findings(replace(pack, curing_salt=unknown)) == []
    assert not_computed(replace(pack, curing_salt=None)) == ()
    assert not_computed(pack)


def test_the_strictest_of_several_is_found_in_one_unit():
    """EU 80 mg/kg of the ion are 119.98 as NaNO2: stricter than 150, though 80 < 119."""
    eu = replace(BELLY, rule_set="eu", cut="loin")
    found = compared_with(eu)
    assert found.follows == found.nitrite.product_class
    assert found.nitrite.basis == "NO2 ion"
    ca = compared_with(replace(BELLY, rule_set="ca", eaten="fried"))
    assert (ca.follows, ca.nitrite.mg_per_kg) == ("side-bacon", 120)


def test_of_two_canadian_rows_the_stricter_follows_though_it_is_the_second():
    """CFIA: side bacon 120 mg/kg, cured meat 200."""
    ca = compared_with(replace(BELLY, rule_set="ca"))
    assert ca.counts == ("cured-meat", "side-bacon")
    assert (ca.follows, ca.nitrite.mg_per_kg) == ("side-bacon", 120)


@pytest.mark.parametrize("rule_set", ["eu", "gb", "us-household"])
def test_belly_is_not_asked_about_where_one_row_covers_it(rule_set):
    belly = replace(BELLY, rule_set=rule_set)
    assert len(compared_with(belly).counts) == 1
    assert class_findings(belly) == []


def test_where_no_row_fits_the_reason_names_the_rules_and_the_class():
    """Codex has no row for ground meat."""
    ground = replace(GROUND, rule_set="codex")
    for species in ("", "pork", "duck"):
        found = compared_with(replace(ground, species=species))
        assert (found.rows, found.follows, found.counts) == ((), None, ())
        assert found.why_not == "no class of Codex Alimentarius fits it"
    picked = compared_with(replace(ground, product_class="heat-treated-whole"))
    label = dict(PRODUCT_CLASS_LABELS)["heat-treated-whole"]
    assert picked.why_not == (
        f"class “{label}” does not fit it and no other class of Codex Alimentarius does"
    )


def test_a_class_that_a_row_names_too_counts_alone():
    rows = [row for row in CLASS_ROWS if row.also]
    for row in rows:
        request = replace(
            GROUND,
            rule_set=row.rule_set,
            method=row.methods[0],
            cut=row.cut or "loin",
            eaten=row.eaten[0] if row.eaten else "as-is",
            skin=bool(row.skin),
            product_class=row.also[0],
        )
        assert compared_with(request).counts == (row.also[0],)
        assert not [each for each in class_findings(request) if each.question == "class"]
    assert rows
