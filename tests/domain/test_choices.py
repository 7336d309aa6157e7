"""The table of choices, whole: choice × what was found × stage × hours, and what is never in it."""

import itertools
import re

import pytest

from curedash.domain.curing import choices as table
from curedash.domain.curing.choices import FOUND, GRAVE, SPOILED, TABLE, how_far, open_choices
from curedash.domain.curing.stages import STAGES
from curedash.domain.dosing import DoseRequest, compute_dose, misdose, resolve_curing_salt
from curedash.domain.dosing.request import METHODS
from curedash.domain.drying.inspections import (
    AFTER_OPENING,
    AFTER_SPOILED,
    CUT_FACES,
    FIRMNESSES,
    RIMS,
    SMELLS,
    SMELLS_OFF,
    Felt,
    chosen,
    found_on,
    next_after,
    offers,
    usual_offer,
)
from curedash.domain.errors import Refused
from curedash.domain.facts import nitrite_poison

HOURS = (None, 0.0, 5.9, 6.0, 6.1, 47.9, 48.0, 48.1, 24.0 * 21, 24.0 * 400)
WAYS = [method for method, _ in METHODS]
# what the words of an offer may not be about, for what is spoiled or over the ceiling
TO_THE_MOUTH = re.compile(
    r"\b(slice|eat|eaten late|taste|equalis|keep drying|back to drying|more .*meat|leave it as)",
    re.I,
)
EVERY = list(itertools.product(FOUND, STAGES, HOURS, WAYS))


def named(found, stage, hours, method="equilibrium"):
    return [one.choice for one in open_choices(found, stage, hours, method)]


def test_every_cell_of_the_table_offers_something_and_each_choice_once():
    for found, stage, hours, method in EVERY:
        offered = named([found], stage, hours, method)
        assert offered, (found, stage, hours, method)
        assert len(set(offered)) == len(offered)


def test_nothing_that_leads_to_the_mouth_is_offered_for_what_is_spoiled_or_over_the_ceiling():
    """Common practice: curing does not rescue spoiled meat; WHO: nitrite is a poison."""
    others = [word for word in FOUND if word not in GRAVE]
    for grave in GRAVE:
        for stage, hours, method in itertools.product((None, *STAGES), HOURS, WAYS):
            for more in ([], *([other] for other in others), others, list(GRAVE)):
                offered = named([grave, *more], stage, hours, method)
                assert not set(offered) & set(table.EATING), (grave, more, stage, hours)
                assert offered[0] in (table.PUT_ASIDE, table.THROW_AWAY)


def test_curing_salt_is_added_before_or_early_in_the_cure_of_a_weighed_dose_only():
    for found, stage, hours, method in EVERY:
        if table.ADD not in named([found], stage, hours, method):
            continue
        assert found in (table.SHORT, table.FAR_SHORT)
        assert stage in ("raw", "in-cure")
        assert hours is not None
        assert hours <= table.EARLY_H
        assert method != "salt-box"
        if stage == "in-cure":
            assert method in ("equilibrium", "equilibrium-brine", "pack")


def test_more_meat_and_rinsing_only_before_the_salt_is_taken_up():
    for found, stage, hours, method in EVERY:
        offered = named([found], stage, hours, method)
        if table.MORE_MEAT in offered:
            assert stage == "raw" or (stage == "in-cure" and method != "ground")
            assert hours is not None
            assert hours <= table.ABSORBED_AFTER_H
        if table.RINSE in offered:
            assert stage in ("raw", "in-cure")
            assert hours is not None
            assert hours <= table.ABSORBED_AFTER_H


def test_what_is_far_over_the_plan_is_never_kept_by_the_first_choice():
    for stage, hours, method in itertools.product((None, *STAGES), HOURS, WAYS):
        offered = named([table.FAR_OVER], stage, hours, method)
        assert table.GO_ON not in offered
        assert offered[-1] == table.GO_ON_ASKED
        assert len(offered) > 2


def test_after_the_cure_nothing_is_added():
    late = [stage for stage in STAGES if stage not in ("raw", "in-cure")]
    for found, stage in itertools.product(FOUND, late):
        offered = set(named([found], stage, 24.0 * 30))
        assert not offered & {table.ADD, table.MORE_MEAT, table.RINSE, table.TOP_UP_LEAK}


def test_a_row_of_the_table_can_be_reached():
    for row in TABLE:
        assert row.found
        assert set(row.found) <= set(FOUND)
        assert set(row.stages) <= set(STAGES)
        method = "equilibrium" if row.methods is None else row.methods[0]
        assert row.choice in named([row.found[0]], row.stages[0], 0.0, method)


def test_where_the_stage_is_not_known_the_hours_are_said():
    found = {one.choice: one.most_hours for one in open_choices([table.FAR_SHORT], None, None)}
    assert found[table.ADD] == table.EARLY_H
    assert found[table.GO_ON_ASKED] is None
    known = open_choices([table.FAR_SHORT], "in-cure", 1.0)
    assert [one.most_hours for one in known] == [None] * len(known)
    with pytest.raises(Refused, match=r"^There is nothing called 'tasty' to choose by\.$"):
        open_choices(["tasty"], "raw", 0.0)


@pytest.mark.parametrize(
    ("found", "choice", "last"),
    [
        (table.SHORT, table.ADD, table.EARLY_H),
        (table.OVER, table.MORE_MEAT, table.ABSORBED_AFTER_H),
        (table.FAR_OVER, table.RINSE, table.ABSORBED_AFTER_H),
        (table.LEAK, table.TOP_UP_LEAK, table.EARLY_H),
    ],
)
def test_a_choice_with_an_end_is_open_up_to_it_and_closed_after(found, choice, last):
    """Design values: 6 and 48 h after the salt went on."""
    assert choice in named([found], "in-cure", last)
    assert choice not in named([found], "in-cure", last + 0.01)
    assert choice not in named([found], "in-cure", None)
    assert (table.ABSORBED_AFTER_H, table.EARLY_H) == (6.0, 48.0)


def test_the_order_in_which_choices_are_offered():
    assert named([table.FAR_OVER], "in-cure", 1.0) == [
        "more-meat",
        "rinse",
        "put-aside",
        "throw-away",
        "go-on-asked",
    ]
    assert named([table.FAR_OVER], "raw", 0.0)[0] == "weigh-anew"
    assert named([table.SOUR, table.CLEAN], "drying", None) == ["put-aside", "throw-away", "decide"]
    assert named([table.SHORT, table.LEAK], "in-cure", 1.0) == [
        "add",
        "new-bag",
        "top-up-leak",
        "go-on",
    ]
    assert named([table.CLEAN], "drying", None) == ["keep-drying", "equalise", "slice"]


@pytest.mark.parametrize(
    ("planned", "inside", "found"),
    [
        (100, 100, table.AS_PLANNED),
        (100, 102, table.AS_PLANNED),
        (100, 102.1, table.OVER),
        (100, 150, table.OVER),
        (100, 150.1, table.FAR_OVER),
        (100, 98, table.AS_PLANNED),
        (100, 97.9, table.SHORT),
        (150, 100, table.SHORT),
        (150, 99.9, table.FAR_SHORT),
        (0, 1, table.FAR_OVER),
        (0, 0, table.AS_PLANNED),
        (None, 5, table.AS_PLANNED),
        (5, None, table.AS_PLANNED),
    ],
)
def test_how_far_what_went_in_lies_from_the_plan(planned, inside, found):
    assert how_far(planned, inside, 2.0) == found


# ── the bench ─────────────────────────────────────────────────────────────────────────────

PLANNED = compute_dose(
    DoseRequest(
        green_g=1000.0,
        salt_pct=2.75,
        curing_salt=resolve_curing_salt("no1"),
        cure_pct=0.25,
        scale_division_g=0.1,
        rule_set="us",
        product_class="dry-cured",
    )
)


def test_a_tenfold_overdose_is_thrown_away_or_asked_about_with_the_poison_named():
    """25 g of a 6.25 % salt on 1000 g is 1562.5 mg/kg (FSIS Handbook 7620.3)."""
    for stage, hours in itertools.product((None, *STAGES), HOURS):
        bench = misdose(PLANNED, {"curing-salt": 25.0}, stage=stage, hours=hours)
        assert bench.inside.nitrite_mg_per_kg == pytest.approx(1562.5)
        assert bench.choices[0] == "Throw it away."
        assert "licence" in bench.choices[1]
        assert not any(TO_THE_MOUTH.search(text) for text in bench.choices[:1] + bench.choices[2:])
        assert any("33" in text and "poison" in text for text in bench.messages)
        offered = {one.choice for one in bench.open}
        assert table.GO_ON_ASKED in offered or table.GO_ON not in offered  # not by one key


def test_beef_that_has_dried_three_weeks_gets_no_more_curing_salt():
    bench = misdose(PLANNED, {"curing-salt": 0.5}, stage="drying", hours=24.0 * 40)
    assert not any("Add" in text for text in bench.choices)
    assert "licence" in bench.choices[0]
    assert "Nothing can be added any more: it was salted 40 d ago." in bench.messages
    early = misdose(PLANNED, {"curing-salt": 0.5}, stage="in-cure", hours=20.0)
    assert "Add 2 g" in early.choices[0]
    assert "count from then" in early.choices[0]


def test_one_and_a_half_times_the_plan_is_not_simply_left():
    bench = misdose(PLANNED, {"curing-salt": 4.0}, stage="in-cure", hours=200.0)
    assert bench.inside.nitrite_mg_per_kg == pytest.approx(250)
    assert "before going on" in bench.choices[-1]
    assert "licence" in bench.choices[0]
    assert not any("raw meat" in text or "Rinse" in text for text in bench.choices)
    first = misdose(PLANNED, {"curing-salt": 4.0}, stage="in-cure", hours=2.0)
    assert any("600 g raw meat" in text for text in first.choices)


def test_a_piece_that_dried_with_a_fifth_of_its_salt_is_not_simply_left():
    """Common practice: total salt counts as the curing salt does."""
    late = misdose(PLANNED, {"salt": 2.0}, stage="drying", hours=24.0 * 30)
    assert "licence" in late.choices[0]
    assert "before going on" in late.choices[-1]
    early = misdose(PLANNED, {"salt": 2.0}, stage="raw", hours=0.0)
    assert "Add 23.2 g salt" in early.choices[0]


def test_a_tenfold_pack_of_unknown_strength_is_not_simply_left():
    pack = compute_dose(
        DoseRequest(
            green_g=1000.0, method="pack", pack_g=40.0, pack_for_g=1000.0, scale_division_g=0.1
        )
    )
    bench = misdose(pack, {"pack": 400.0}, stage="in-cure", hours=24.0 * 5)
    assert bench.inside.nitrite_mg_per_kg is None
    assert "licence" in bench.choices[0]
    assert not any("Leave it" in text for text in bench.choices)


def test_a_leak_is_topped_up_early_only():
    words = [
        " ".join(misdose(PLANNED, {}, lost_liquid_g=50.0, stage="in-cure", hours=hours).choices)
        for hours in (10.0, 100.0)
    ]
    assert ["Top up" in text for text in words] == [True, False]
    assert all("new bag" in text for text in words)


def test_without_a_lot_the_choices_say_until_when():
    bench = misdose(PLANNED, {"curing-salt": 1.0})
    assert bench.choices[0].startswith("Before the cure or in its first 48 h: Add 1.5 g")


# ── felt, smelled, opened ─────────────────────────────────────────────────────────────────

ALARMS = (
    "smell rotten",
    "smell sour",
    "black, slimy, spots; left",
    "white, slimy, patches; wiped",
    "black, fluffy, spots; left",
    "red, powdery, spots; left",
    "opened: smells off, put aside",
    "dose outside the rule: 6250 mg/kg nitrite went in",
)


def test_no_way_on_from_what_was_felt_leads_a_spoiled_piece_to_the_mouth():
    for rim, firm, smell, stage in itertools.product(RIMS, FIRMNESSES, SMELLS, STAGES):
        felt = Felt(rim, firm, smell)
        for alarm in (None, *ALARMS):
            found = offers(felt, thickness_mm=60, stage=stage, alarm=alarm)
            grave = alarm is not None or smell in SPOILED
            if not grave:
                continue
            assert {offer.step for offer in found} == {"put-aside", "throw-away", "decide"}
            assert found[0].step in ("put-aside", "throw-away")
            assert found[usual_offer(felt, found)].step == "put-aside"
            assert not any(TO_THE_MOUTH.search(offer.words) for offer in found)


def test_sour_is_expected_of_a_ferment_and_spoilage_of_whole_muscle():
    """Common practice (memory)."""
    sour = Felt("none", "firm", "sour")
    assert [o.step for o in offers(sour, thickness_mm=60, ferments=True)] == [
        "keep-drying",
        "equalise",
        "slice",
    ]
    assert [o.step for o in offers(sour, thickness_mm=60)] == ["put-aside", "throw-away", "decide"]


def test_ammonia_is_decided_before_it_is_sliced():
    found = offers(Felt("none", "firm", "ammonia"), thickness_mm=60)
    assert [offer.step for offer in found] == ["keep-drying", "equalise", "decide"]


def test_an_alarm_is_one_of_the_grave_words():
    assert [found_on(text) for text in ALARMS] == [
        table.ROTTEN,
        table.SOUR,
        table.SLIME,
        table.SLIME,
        table.BLACK,
        table.BLACK,
        table.ROTTEN,
        table.OVER_CEILING,
    ]


def test_what_smells_off_when_it_is_opened_goes_aside_or_away():
    assert next_after("raw middle") == AFTER_OPENING
    assert next_after(SMELLS_OFF) == AFTER_SPOILED
    assert next_after("even", "smell sour") == AFTER_SPOILED


# ── the poison ────────────────────────────────────────────────────────────────────────────


def test_five_grams_of_curing_salt_and_a_small_child_by_the_printed_lethal_doses():
    """Battelle/FDA 1972 (quoted): 22 mg NaNO2 a kg; WHO 1996 (quoted): 33 mg nitrite a kg.

    5 g · 6.25 % = 312.5 mg NaNO2: 14 kg of body weight by the one; as ion 312.5 · 46.0055 / 68.9953
    = 208 mg, 6.3 kg by the other.
    """
    nano2_mg = 5000 * 0.0625
    assert nano2_mg / nitrite_poison.LETHAL_NANO2_MG_PER_KG[0] == pytest.approx(14.2, abs=0.05)
    ion_mg = nano2_mg * 46.0055 / 68.9953
    assert ion_mg / nitrite_poison.LETHAL_ION_MG_PER_KG[0] == pytest.approx(6.3, abs=0.05)
    assert "33 to 250" in nitrite_poison.NITRITE_POISON


def test_a_beginning_means_the_shorter_of_two_that_begin_alike():
    assert chosen("case", CUT_FACES, "cut face") == "case hardening"
    assert chosen("grey", CUT_FACES, "cut face") == "grey rim"
    assert chosen("case hardening, soft", CUT_FACES, "cut face") == "case hardening, soft middle"
    with pytest.raises(Refused):
        chosen("rim", CUT_FACES, "cut face")
