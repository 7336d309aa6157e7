"""A weight belongs to its moment: entered late, it counts as if all had been entered in order."""

from datetime import UTC, timedelta

import pytest

from curedash.domain.errors import Changed, Refused
from curedash.services.curing.change_stage import Move, change_stage
from curedash.services.drying.finish import Finishing, finish
from curedash.services.drying.lot_curve import curve_of
from curedash.services.drying.opened import Opening, opened
from curedash.services.household.undo import undo_change
from curedash.services.weighing.as_of import lot_at
from curedash.services.weighing.correct import Right, correct_weigh_in, put_tare_right
from curedash.services.weighing.divide import Cut, Part, divide
from curedash.services.weighing.import_sheet import import_sheet
from curedash.services.weighing.rebase import Rebasing, rebase
from curedash.services.weighing.weigh import preview_at, weigh
from curedash.store import log, rebases, weigh_ins
from tests.services.conftest import HUNG, House


def losses(house: House, lot_id: int) -> list[tuple[float, float, str]]:
    """Day, loss and stage of each point, as the curve shows them."""
    shown = curve_of(house.conn, lot_id, house.now)
    stages = {row.id: row.stage for row in weigh_ins.of_lot(house.conn, lot_id)}
    return [(p.day, round(p.loss_pct, 6), stages[p.weigh_in_id]) for p in shown.points]


def taste(house: House, lot_id: int, day: float, before_g: float, after_g: float) -> None:
    at = HUNG + timedelta(days=day)
    what = Rebasing("end tasted", after_g, at, before_g, keep_doubtful=True)
    rebase(house.conn, house.by(), lot_id, what)


def lard(house: House, lot_id: int, day: float, before_g: float, after_g: float) -> None:
    at = HUNG + timedelta(days=day)
    what = Rebasing("larded", after_g, at, before_g, keep_doubtful=True)
    rebase(house.conn, house.by(), lot_id, what)


def test_a_weigh_in_from_before_a_taste_has_the_base_of_then(house: House) -> None:
    """Hung at 1000 g, 946 g on the sixth day is 5.4 %, whatever was tasted on the eighth."""
    lot_id = house.hang("C1", 1000.0)
    taste(house, lot_id, 8, 930, 837)
    house.weigh(lot_id, 946, days=6)
    assert losses(house, lot_id) == [(0, 0, "drying"), (6, 5.4, "drying"), (8, 7.0, "drying")]


def test_a_weigh_in_from_before_larding_has_the_tare_of_then(house: House) -> None:
    lot_id = house.hang("C1", 1000.0)
    lard(house, lot_id, 8, 930, 1130)
    house.weigh(lot_id, 945, days=6)
    assert losses(house, lot_id)[1] == (6, 5.5, "drying")


def test_the_preview_of_a_back_dated_weigh_in_shows_what_is_saved(house: House) -> None:
    lot_id = house.hang("C1", 1000.0)
    taste(house, lot_id, 8, 930, 837)
    at = HUNG + timedelta(days=6)
    seen = preview_at(house.conn, house.lot(lot_id), "946 g", house.now, UTC, at)
    assert (seen.loss_pct, seen.base_g, seen.days_since) == (pytest.approx(5.4), 1000, 6)
    assert [doubt.kind for doubt in seen.doubts] == ["earlier"]
    kept = weigh(house.conn, house.by(), lot_id, seen, keep_doubtful=True)
    assert weigh_ins.one(house.conn, kept.weigh_in_id).base_factor == 1.0  # type: ignore[union-attr]


def test_a_sheet_of_weigh_ins_has_tare_and_base_of_each_day(house: House) -> None:
    lot_id = house.hang("C1", 1000.0, tare_g=28.0)
    taste(house, lot_id, 8, 958, 865)
    lard(house, lot_id, 12, 850, 1050)
    sheet = "date,lot,weight\n2026-10-22,C1,974 g\n2026-10-26,C1,855 g\n2026-10-30,C1,1035 g\n"
    found = import_sheet(house.conn, house.by(), sheet, house.now, keep_doubtful=True)
    assert found.kept
    by_day = {day: loss for day, loss, _ in losses(house, lot_id)}
    assert by_day[6] == pytest.approx(5.4)
    assert by_day[10] == pytest.approx(100 * (1 - 827 / 900))  # base 1000 × 837/930
    assert by_day[14] == pytest.approx(100 * (1 - 807 / 900))  # tare 228


def test_a_taste_entered_after_later_weigh_ins_lets_them_follow(house: House) -> None:
    lot_id = house.hang("C1", 1000.0)
    house.weigh(lot_id, 810, days=12)
    taste(house, lot_id, 8, 930, 837)
    assert losses(house, lot_id)[-1] == (12, 10.0, "drying")


def test_larding_entered_late_changes_the_tare_of_a_later_taste(house: House) -> None:
    lot_id = house.hang("C1", 1000.0)
    taste(house, lot_id, 10, 1130, 1037)
    lard(house, lot_id, 8, 940, 1140)
    cut = rebases.of_lot(house.conn, lot_id)[-1]
    assert (cut.tare_before_g, cut.factor) == (200, pytest.approx(837 / 930))
    assert losses(house, lot_id)[-1] == (10, 7.0, "drying")


def test_a_corrected_weigh_in_takes_the_taste_along_that_began_from_it(house: House) -> None:
    """930 g was a slip for 920 g; the tasting was weighed from it."""
    lot_id = house.hang("C1", 1000.0)
    slip = house.weigh(lot_id, 930, days=8)
    at = HUNG + timedelta(days=8)
    rebase(house.conn, house.by(), lot_id, Rebasing("end tasted", 837, at, keep_doubtful=True))
    right = Right(920, keep_doubtful=True)
    correct_weigh_in(house.conn, house.by(), slip.weigh_in_id, right)
    assert rebases.of_lot(house.conn, lot_id)[0].factor == pytest.approx(837 / 920)
    assert losses(house, lot_id)[1:] == [(8, 8.0, "drying"), (8, 8.0, "drying")]
    assert house.lot(lot_id).last_net_g == 837


def test_a_corrected_weight_after_a_taste_changes_what_came_off_and_not_the_loss(
    house: House,
) -> None:
    lot_id = house.hang("C1", 1000.0)
    taste(house, lot_id, 8, 930, 837)
    row = weigh_ins.of_lot(house.conn, lot_id)[-1]
    correct_weigh_in(house.conn, house.by(), row.id, Right(830, keep_doubtful=True))
    assert losses(house, lot_id)[-1] == (8, 7.0, "drying")
    assert house.lot(lot_id).base_g == pytest.approx(1000 * 830 / 930)


def test_a_weigh_in_moved_to_another_day_has_the_tare_and_base_of_that_day(house: House) -> None:
    lot_id = house.hang("C1", 1000.0)
    lard(house, lot_id, 8, 930, 1130)
    late = house.weigh(lot_id, 945, days=12)
    right = Right(at=HUNG + timedelta(days=6), keep_doubtful=True)
    correct_weigh_in(house.conn, house.by(), late.weigh_in_id, right)
    assert losses(house, lot_id)[1] == (6, 5.5, "drying")


def test_a_tare_of_a_later_stage_is_not_that_of_an_earlier_day(house: House) -> None:
    """Put into a bag of 12 g on day 30; a weight of day 20 was weighed on the hook of 28 g."""
    lot_id = house.hang("C1", 1000.0, tare_g=28.0)
    at = HUNG + timedelta(days=30)
    move = Move("equalising", at, weight_g=712, tare_g=12, tare_what="bag", keep_doubtful=True)
    change_stage(house.conn, house.by(), lot_id, move)
    house.weigh(lot_id, 828, days=20)
    assert losses(house, lot_id)[1:] == [(20, 20.0, "drying"), (30, 30.0, "equalising")]
    assert house.lot(lot_id).tare_g == 12
    put_tare_right(house.conn, house.by(), lot_id, 22)
    assert losses(house, lot_id)[1:] == [(20, 20.0, "drying"), (30, 31.0, "equalising")]


def test_a_stage_entered_late_is_the_stage_of_the_weights_after_it(house: House) -> None:
    lot_id = house.hang("C1", 1000.0)
    house.weigh(lot_id, 700, days=32)
    at = HUNG + timedelta(days=30)
    move = Move("equalising", at, weight_g=702, keep_doubtful=True)
    change_stage(house.conn, house.by(), lot_id, move)
    assert [stage for _, _, stage in losses(house, lot_id)][1:] == ["equalising", "equalising"]


def test_a_final_weight_of_an_earlier_day_has_the_tare_of_then(house: House) -> None:
    lot_id = house.hang("C1", 1000.0, tare_g=28.0)
    lard(house, lot_id, 30, 728, 928)
    what = Finishing(HUNG + timedelta(days=29), 738, keep_doubtful=True)
    done = finish(house.conn, house.by(), lot_id, what)
    assert done.finish.final_g == 710


def test_a_weight_typed_net_stays_net_when_the_tare_is_corrected(house: House) -> None:
    lot_id = house.hang("C1", 1000.0, tare_g=28.0)
    at = HUNG + timedelta(days=10)
    seen = preview_at(house.conn, house.lot(lot_id), "900 g", house.now, UTC, at, net=True)
    weigh(house.conn, house.by(), lot_id, seen, keep_doubtful=True)
    put_tare_right(house.conn, house.by(), lot_id, 60)
    rows = weigh_ins.of_lot(house.conn, lot_id)
    assert [row.net_g for row in rows] == [968, 900]


def test_taking_back_a_taste_lets_the_weights_since_then_follow(house: House) -> None:
    """The weigh-in after it does not rest on it, so it may be taken back; the base grows again."""
    lot_id = house.hang("C1", 1000.0)
    taste(house, lot_id, 8, 930, 837)
    number = log.last_change_id(house.conn)
    house.weigh(lot_id, 810, days=12)
    undo_change(house.conn, house.by(), number)
    assert losses(house, lot_id)[-1] == (12, 19.0, "drying")
    undo_change(house.conn, house.by(), log.last_change_id(house.conn))
    assert losses(house, lot_id)[-1] == (12, 10.0, "drying")


def test_taking_back_larding_gives_the_weights_since_then_their_tare_back(house: House) -> None:
    lot_id = house.hang("C1", 1000.0)
    lard(house, lot_id, 8, 930, 1130)
    number = log.last_change_id(house.conn)
    house.weigh(lot_id, 1100, days=12)
    undo_change(house.conn, house.by(), number)
    assert house.lot(lot_id).tare_g == 0
    assert losses(house, lot_id)[-1] == (12, -10.0, "drying")


def test_a_piece_opened_on_an_earlier_day_is_weighed_with_the_tare_of_then(house: House) -> None:
    lot_id = house.hang("C1", 1000.0)
    lard(house, lot_id, 20, 800, 1000)
    at = HUNG + timedelta(days=15)
    what = Opening("even", "back to drying", at, before_g=850, keep_doubtful=True)
    opened(house.conn, house.by(), lot_id, what)
    assert losses(house, lot_id)[1] == (15, 15.0, "drying")


def test_the_lot_of_an_earlier_day_is_what_it_was_then(house: House) -> None:
    lot_id = house.hang("C1", 1000.0, tare_g=28.0)
    house.weigh(lot_id, 958, days=8)
    lard(house, lot_id, 10, 950, 1150)
    then = lot_at(house.conn, house.lot(lot_id), HUNG + timedelta(days=9))
    assert (then.tare_g, then.stage, then.last_net_g, then.curve_count) == (28, "drying", 930, 2)
    before = lot_at(house.conn, house.lot(lot_id), HUNG - timedelta(days=5))
    assert (before.stage, before.hang_g, before.curve_count) == ("in-cure", None, 0)


def test_a_part_takes_no_cut_from_before_it_was_cut_off(house: House) -> None:
    lot_id = house.hang("C1", 1000.0)
    cut = Cut((Part(400), Part(300)), HUNG + timedelta(days=20), 702, keep_doubtful=True)
    part = divide(house.conn, house.by(), lot_id, cut).parts[0]
    with pytest.raises(Refused, match="was cut off the whole on 2026-11-05"):
        taste(house, part.id, 10, 500, 480)


def test_a_weight_previewed_with_another_tare_is_asked_about_and_not_saved(house: House) -> None:
    """Typed with a tare of 62 g; meanwhile somebody corrected it to 20 g."""
    lot_id = house.hang("C1", 1700.0, tare_g=62.0)
    seen = preview_at(house.conn, house.lot(lot_id), "1340", house.now, UTC, house.now)
    put_tare_right(house.conn, house.by("other"), lot_id, 20)
    with pytest.raises(Changed, match="its tare is 20 g now, no longer 62 g"):
        weigh(house.conn, house.by(), lot_id, seen, keep_doubtful=True)
    assert house.lot(lot_id).curve_count == 1


@pytest.mark.parametrize(
    ("pieces", "weights_g", "counts"),
    [
        (3, (500, 500), [2, 1]),
        (200, (900, 600, 500), [90, 60, 50]),
        (5, (980, 10, 10), [3, 1, 1]),
        (1, (500, 500), [1, 1]),
        (7, (333, 333, 333), [3, 2, 2]),
    ],
)
def test_the_pieces_of_the_parts_are_together_those_of_the_whole(
    house: House, pieces: int, weights_g: tuple[float, ...], counts: list[int]
) -> None:
    """Three sausages cut into two equal parts are two and one, not two and two."""
    lot_id = house.hang("C1", 1000.0, count=pieces)
    parts = tuple(Part(grams) for grams in weights_g)
    cut = Cut(parts, house.now, sum(weights_g), keep_doubtful=True)
    done = divide(house.conn, house.by(), lot_id, cut)
    assert [part.count for part in done.parts] == counts
