"""Pieces salted in one bag: dosed as one, each with its share, whatever is ticked afterwards."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from curedash.domain.dosing import DoseRequest, bag_doses, compute_dose, resolve_curing_salt
from curedash.domain.errors import Doubtful, Refused
from curedash.domain.household.styles import style
from curedash.domain.times import moment
from curedash.services.dosing.add_batch import BatchSpec, PieceSpec, add_batch, plan_batch
from curedash.services.dosing.bags import bag_of
from curedash.services.dosing.batch_sheet import read_sheet
from curedash.services.dosing.batch_start import start_batch
from curedash.store.open import open_db
from curedash.store.work import By

BY = By("2026-11-25T09:00:00Z", "anna", "shell", "x")
ASKED = DoseRequest(
    green_g=1000,
    salt_pct=2.75,
    cure_pct=0.25,
    curing_salt=resolve_curing_salt("no2"),
    scale_division_g=0.1,
)


def spec(*greens: float, bags=(), counts=()) -> BatchSpec:
    count = dict(enumerate(counts))
    pieces = tuple(
        PieceSpec(green_g, thickness_mm=40.0, count=count.get(n, 1))
        for n, green_g in enumerate(greens)
    )
    return BatchSpec("Duck", "duck", style("bresaola"), pieces, ASKED, bags=bags)


def test_the_bag_is_rounded_once_and_shared_by_weight():
    """By hand: 180 + 195 g at 0.25 % is 0.9375 g, 0.9 g on the scale; 180/375 of it is 0.43 g."""
    first, second, alone = (lot.dose for lot in plan_batch(spec(180, 195, 200, bags=((0, 1),))))
    assert first.ingredient("curing-salt").weigh_g == pytest.approx(0.43)
    assert second.ingredient("curing-salt").weigh_g == pytest.approx(0.47)
    assert first.nitrite_mg_per_kg == pytest.approx(0.9 * 0.0625 / 375 * 1e6)
    assert alone.ingredient("curing-salt").weigh_g == pytest.approx(0.5)
    assert any("One dose for 2 pieces together" in text for text in first.messages)


@given(st.lists(st.floats(50, 4000), min_size=2, max_size=8))
def test_the_shares_add_up_to_the_dose_of_the_sum(greens):
    shares = bag_doses([DoseRequest(green_g=g, salt_pct=2.75, scale_division_g=1) for g in greens])
    whole = compute_dose(DoseRequest(green_g=sum(greens), salt_pct=2.75, scale_division_g=1))
    for n, item in enumerate(whole.ingredients):
        parts = [share.ingredients[n].weigh_g for share in shares]
        assert sum(parts) == pytest.approx(item.weigh_g)
        for part, green_g in zip(parts, greens, strict=True):
            assert part == pytest.approx(item.weigh_g * green_g / sum(greens), abs=0.011)


def test_a_string_of_small_pieces_may_lie_in_a_bag_too():
    first, _ = (lot.dose for lot in plan_batch(spec(300, 200, bags=((0, 1),), counts=(6, 1))))
    assert any("One dose for 7 pieces together" in text for text in first.messages)


@pytest.mark.parametrize("bags", [((0, 1), (1, 2)), ((0, 0),), ((0, 7),), ((-1, 0),)])
def test_a_bag_that_cannot_be_is_refused(bags):
    with pytest.raises(Refused):
        plan_batch(spec(180, 195, 200, bags=bags))


def test_a_kept_bag_is_known_by_its_lots_and_to_who_makes_it_again(tmp_path):
    conn = open_db(f"{tmp_path}/h.db", create=True)
    added = add_batch(conn, BY, spec(180, 195, 200, bags=((0, 1),)))
    first, second, alone = added.lots
    bag = bag_of(conn, first)
    assert bag == bag_of(conn, second)
    assert bag.codes == ("A1", "A2")
    grams = dict(bag.together)
    assert grams["curing salt no. 2 (pink; 4 % nitrate)"] == pytest.approx(0.9)
    assert bag_of(conn, alone) is None
    assert [sheet.bag for sheet in read_sheet(conn, added.batch.id).lots] == [bag, bag, None]
    assert start_batch(conn, "A").again_request.salt_pct == 2.75
    conn.close()


def test_every_tick_keeps_the_dose_of_the_bag(tmp_path):
    from curedash.services.dosing.tick import tick_line
    from curedash.store.rack import one_lot

    conn = open_db(f"{tmp_path}/h.db", create=True)
    added = add_batch(conn, BY, spec(180, 195, bags=((0, 1),)))
    for sheet in read_sheet(conn, added.batch.id).lots:
        for line in sheet.lines:
            tick_line(conn, BY, line.id, line.planned_g)
    for lot in added.lots:
        now = one_lot(conn, lot.id)
        assert now.nitrite_mg_per_kg == pytest.approx(0.9 * 0.0625 / 375 * 1e6, rel=0.005)
        assert now.dose_open == 0
    conn.close()


def test_what_was_ticked_is_compared_with_the_share_of_the_bag(tmp_path):
    """By hand: half of 0.1 g is 5.3 % of the bag's 0.9375 g, of 183 g alone it would be 10.9 %."""
    from curedash.services.dosing.misdose import WentIn, bench_of
    from curedash.services.dosing.tick import tick_line

    conn = open_db(f"{tmp_path}/h.db", create=True)
    added = add_batch(conn, BY, spec(183, 192, 183, bags=((0, 1),)))
    for sheet in read_sheet(conn, added.batch.id).lots:
        for line in sheet.lines:
            tick_line(conn, BY, line.id, line.planned_g)
    first, second, alone = read_sheet(conn, added.batch.id).lots
    for sheet in (first, second):
        assert sheet.dose.half_division_error_pct == pytest.approx(100 * 0.05 / 0.9375)
        bench, _ = bench_of(conn, sheet.lot, WentIn({}), moment(BY.now))
        planned = {line.name: line.planned_g for line in sheet.lines}
        assert {line.name: line.planned_g for line in bench.lines} == pytest.approx(planned)
        assert not any(line.top_up_g or line.over_g for line in bench.lines)
    assert alone.dose.half_division_error_pct == pytest.approx(100 * 0.05 / 0.4575)
    conn.close()


def test_a_refused_dose_goes_into_the_cure_with_a_note_only(tmp_path):
    from curedash.services.dosing.batch_sheet import into_cure
    from curedash.services.dosing.tick import tick_line

    conn = open_db(f"{tmp_path}/h.db", create=True)
    added = add_batch(conn, BY, spec(1134))
    for sheet in read_sheet(conn, added.batch.id).lots:
        for line in sheet.lines:
            too_much = "curing salt" in line.name
            tick_line(conn, BY, line.id, line.planned_g * (100 if too_much else 1))
    at = moment(BY.now)
    with pytest.raises(Doubtful, match="outside every rule"):
        into_cure(conn, BY, added.batch.id, at)
    into_cure(conn, BY, added.batch.id, at, "weighed on the wrong scale; kept to be thrown away")
    assert read_sheet(conn, added.batch.id).lots[0].lot.stage == "in-cure"
    conn.close()
