"""What really happens to a piece between the bag and the board, each as one story.

The worked cases are those of the household rules: hang 1000, now 700, cut into 400 + 280; hang
5000, now 4000, 400 g of lard on. The other figures are done by hand beside each check.
"""

import sqlite3
from datetime import UTC, timedelta
from typing import Any

import pytest

from curedash.domain.drying.lot_figures import figures, loss_on, net_now_g
from curedash.domain.errors import Doubtful, NotFound, Refused
from curedash.domain.household.book import Spread
from curedash.domain.record import replace
from curedash.services.curing.change_stage import Move, change_stage
from curedash.services.curing.hold import discard, hold, resume
from curedash.services.curing.turn import turn
from curedash.services.drying import forecasts, observe
from curedash.services.drying.finish import Finishing, finish
from curedash.services.drying.lot_curve import curve_of
from curedash.services.drying.opened import Opening, opened
from curedash.services.find import require_lot
from curedash.services.household import book, packs
from curedash.services.household.history import details, history, lot_log
from curedash.services.household.undo import (
    redo_last,
    redo_last_of,
    undo_change,
    undo_last,
    undo_last_of,
)
from curedash.services.needs import check
from curedash.services.places.move import move_to
from curedash.services.places.places import add_place
from curedash.services.weighing import correct
from curedash.services.weighing.divide import Cut, Part, divide
from curedash.services.weighing.rebase import Rebasing, rebase
from curedash.store import batches, finishes, lots, rebases, weigh_ins
from curedash.store.work import change
from tests.services.conftest import HUNG, House


def loss(house: House, lot_id: int) -> float:
    lot = house.lot(lot_id)
    found = loss_on(lot.base_g, net_now_g(lot))
    assert found is not None
    return found


def causes(house: House, code: str) -> set[str]:
    return {need.cause for need in check.current_needs(house.conn, house.now) if need.lot == code}


# ── the worked cases ──────────────────────────────────────────────────────────────────────


def test_cut_in_two_with_trimmings_each_part_keeps_the_loss(house: House) -> None:
    whole = house.hang("C2", 1000)
    done = divide(house.conn, house.by(), whole, Cut((Part(400), Part(280)), house.now, 700))
    assert [part.code for part in done.parts] == ["C2a", "C2b"]
    assert [part.base_g for part in done.parts] == pytest.approx([571.4286, 400.0], abs=1e-3)
    assert [loss(house, part.id) for part in done.parts] == pytest.approx([30.0, 30.0])
    assert done.trimmed_g == pytest.approx(20)
    assert house.lot(whole).stage == "closed"
    shown = figures(done.parts[0], house.now, UTC)
    assert shown.to_go_g == pytest.approx(0, abs=1e-6)


def test_larded_the_tare_takes_it_and_the_target_on_the_scale_moves(house: House) -> None:
    lot_id = house.hang("C1", 5000, target_lo_pct=35.0)
    house.weigh(lot_id, 4000, days=30)
    done = rebase(
        house.conn, house.by(), lot_id, Rebasing("larded", 4400, house.now, before_g=4000)
    )
    assert (done.tare_before_g, done.tare_after_g) == (0, 400)
    assert loss(house, lot_id) == pytest.approx(20)
    target = figures(done.lot, house.now, UTC).target_g
    assert target is not None
    assert target[1] + done.lot.tare_g == pytest.approx(3650)
    assert house.weigh(lot_id, 3900).preview.loss_pct == pytest.approx(30)


# ── re-bases ──────────────────────────────────────────────────────────────────────────────


def test_an_end_tasted_the_base_shrinks_with_the_meat_and_the_rate_goes_on(house: House) -> None:
    lot_id = house.hang("C1", 1000, tare_g=28.0)
    house.weigh(lot_id, 928, days=7)
    house.weigh(lot_id, 878, days=14)
    rate = figures(house.lot(lot_id), house.now, UTC).rate_pct_per_day
    at = HUNG + timedelta(days=14, hours=1)
    done = rebase(house.conn, house.by(), lot_id, Rebasing("end tasted", 793, at))
    # 878 − 28 = 850 net before, 793 − 28 = 765 after: the base is 1000 · 765/850 = 900
    assert done.base_after_g == pytest.approx(900)
    assert done.loss_pct == pytest.approx(15)
    assert done.lot.green_g * done.lot.green_factor == pytest.approx(1040 * 0.9)
    assert figures(done.lot, house.now, UTC).rate_pct_per_day == pytest.approx(rate, abs=0.02)
    house.weigh(lot_id, 748, days=21)
    assert loss(house, lot_id) == pytest.approx(20)  # 720 of 900


def test_a_taste_remembered_a_week_later_counts_from_its_day(house: House) -> None:
    lot_id = house.hang("C1", 1000)
    house.weigh(lot_id, 900, days=7)
    house.weigh(lot_id, 720, days=14)  # looks like 28 %, but 100 g were eaten on day 8
    at = HUNG + timedelta(days=8)
    rebase(house.conn, house.by(), lot_id, Rebasing("tasted", 800, at, 900, kind="removed"))
    curve = curve_of(house.conn, lot_id, house.now)
    assert [round(point.loss_pct, 3) for point in curve.points] == [0, 10, 10, 19.0]
    undo_last(house.conn, house.by())
    assert loss(house, lot_id) == pytest.approx(28)


def test_what_is_heavier_after_meat_came_off_is_refused_and_a_half_is_asked(house: House) -> None:
    lot_id = house.hang("C1", 1000)
    with pytest.raises(Refused, match="heavier after"):
        rebase(house.conn, house.by(), lot_id, Rebasing("trimmed", 960, house.now, 950))
    with pytest.raises(Doubtful, match="divided"):
        rebase(house.conn, house.by(), lot_id, Rebasing("trimmed", 300, house.now, 900))
    with pytest.raises(Refused, match="weight before"):
        rebase(house.conn, house.by(), lot_id, Rebasing("trimmed", 850, house.now))
    with pytest.raises(Refused, match="Was “mouse”"):
        rebase(house.conn, house.by(), lot_id, Rebasing("mouse", 850, house.now, 900))
    assert rebases.of_lot(house.conn, lot_id) == []


def test_casing_off_by_more_than_was_known_as_tare_says_so(house: House) -> None:
    lot_id = house.hang("C1", 1000, tare_g=20.0)
    with pytest.raises(Refused, match="more than the tare of 20 g"):
        rebase(house.conn, house.by(), lot_id, Rebasing("casing off", 880, house.now, 920))


# ── divide ────────────────────────────────────────────────────────────────────────────────


def test_parts_carry_the_curve_so_rate_window_and_trend_go_on(house: House) -> None:
    whole = house.hang("C2", 1000, tare_g=30.0, tare_what="hook")
    for day, gross in ((7, 940), (14, 880), (21, 830)):
        house.weigh(whole, gross, days=day)
    before = figures(house.lot(whole), house.now, UTC)
    at = HUNG + timedelta(days=21, hours=1)
    done = divide(house.conn, house.by(), whole, Cut((Part(500), Part(310, tare_g=10)), at, 830))
    for part in done.parts:
        after = figures(part, house.now, UTC)
        assert after.loss_pct == pytest.approx(20)
        assert after.rate_pct_per_day == pytest.approx(before.rate_pct_per_day, abs=0.02)
        assert after.day == before.day
        assert [day for day, _ in after.way][:4] == [day for day, _ in before.way]
        assert after.way[-1][1] == pytest.approx(before.way[-1][1])
        rows = weigh_ins.of_lot(house.conn, part.id)
        assert [row.kind for row in rows] == ["inherited"] * 4 + ["stage"]
    assert [part.green_g for part in done.parts] == pytest.approx([1040 * 5 / 8, 1040 * 3 / 8])


def test_a_part_that_is_eaten_closes_with_its_weight_and_the_other_hangs_on(house: House) -> None:
    whole = house.hang("C2", 1000)
    cut = Cut((Part(300, eaten=True), Part(400)), house.now, 700)
    eaten, rest = divide(house.conn, house.by(), whole, cut).parts
    ended = finishes.of_lot(house.conn, eaten.id)
    assert ended is not None
    assert (eaten.stage, ended.final_g) == ("closed", 300)
    assert ended.loss_pct == pytest.approx(30)
    assert rest.stage == "drying"
    assert loss(house, rest.id) == pytest.approx(30)


def test_a_part_can_be_cut_again_and_its_parts_have_codes_of_their_own(house: House) -> None:
    whole = house.hang("C2", 1000)
    first = divide(house.conn, house.by(), whole, Cut((Part(400), Part(400)), house.now)).parts[0]
    at = house.now + timedelta(hours=1)
    house.now = at
    again = divide(house.conn, house.by(), first.id, Cut((Part(200), Part(190)), at, 398))
    assert [part.code for part in again.parts] == ["C2aa", "C2ab"]
    assert loss(house, again.parts[1].id) == pytest.approx(20.4)  # 398 of 500


def test_two_hundred_sticks_weighed_as_one_are_divided_by_number(house: House) -> None:
    string = house.hang("C2", 4000, count=200)
    parts = (Part(800, count=60), Part(2000))
    done = divide(house.conn, house.by(), string, Cut(parts, house.now, 2800))
    assert [part.count for part in done.parts] == [60, 140]  # the rest of the 200
    rest = done.parts[1]
    house.now += timedelta(hours=1)
    rebase(
        house.conn,
        house.by(),
        rest.id,
        Rebasing("pieces taken off", 1900, house.now, 2000, count=136),
    )
    assert house.lot(rest.id).count == 136


def test_parts_that_outweigh_the_whole_or_come_before_its_newest_weight_are_refused(
    house: House,
) -> None:
    whole = house.hang("C2", 1000)
    with pytest.raises(Refused, match="weigh the whole and the parts again"):
        divide(house.conn, house.by(), whole, Cut((Part(500), Part(400)), house.now, 700))
    house.weigh(whole, 700)
    early = Cut((Part(400), Part(280)), HUNG + timedelta(days=3), 700)
    with pytest.raises(Refused, match="weighed or moved after that"):
        divide(house.conn, house.by(), whole, early)
    hooked = house.hang("C5", 1000, tare_g=28.0)
    with pytest.raises(Refused, match=r"770 − 28 tare\): give the tare of the parts"):
        divide(house.conn, house.by(), hooked, Cut((Part(420), Part(330)), house.now, 770))
    with pytest.raises(Doubtful, match="is one missing"):
        divide(house.conn, house.by(), whole, Cut((Part(200), Part(100)), house.now, 700))
    assert house.lot(whole).stage == "drying"


def test_parts_cut_right_after_a_weigh_in_keep_its_loss(house: House) -> None:
    """700 g of 1000 just weighed; 9 g stay on knife and scale, and the loss is 30 % still."""
    whole = house.hang("C2", 1000)
    house.weigh(whole, 700)
    house.now += timedelta(minutes=5)
    done = divide(house.conn, house.by(), whole, Cut((Part(401), Part(290)), house.now))
    assert done.trimmed_g == pytest.approx(9)
    assert [loss(house, part.id) for part in done.parts] == pytest.approx([30.0, 30.0])


def test_much_missing_right_after_a_weigh_in_is_asked_about(house: House) -> None:
    whole = house.hang("C2", 1000)
    house.weigh(whole, 700)
    house.now += timedelta(minutes=5)
    cut = Cut((Part(401), Part(250)), house.now)
    with pytest.raises(Doubtful, match="49 g of 700 g are missing from the parts"):
        divide(house.conn, house.by(), whole, cut)
    with pytest.raises(Doubtful, match="5 g more than the whole"):
        divide(house.conn, house.by(), whole, Cut((Part(405), Part(300)), house.now))
    done = divide(house.conn, house.by(), whole, replace(cut, keep_doubtful=True))
    assert done.trimmed_g == pytest.approx(49)


def test_packs_that_outweigh_a_lot_while_it_is_finished_are_kept_with_yes(house: House) -> None:
    whole = house.hang("C2", 1000)
    what = Finishing(house.now, 700, packs=(packs.NewPack(800, house.now),))
    with pytest.raises(Doubtful, match="packs weigh 800 g together, the lot 700 g"):
        finish(house.conn, house.by(), whole, what)
    done = finish(house.conn, house.by(), whole, replace(what, keep_doubtful=True))
    assert [pack.weight_g for pack in done.packs] == [800]


def test_cost_is_shared_by_green_weight_and_then_by_the_weight_of_the_parts(house: House) -> None:
    with change(house.conn, house.by("set-up"), "buy") as work:
        source = batches.add_source(work, batch_id=1, name="eye", price=60.0, currency="EUR")
    whole = house.hang("C1", 1000, source_id=source)  # 1040 of 1560 g green
    house.hang("C2", 500, source_id=source)
    # 40 € for the whole; trimmings cost nothing: 400/640 and 240/640 of it
    cut = Cut((Part(400), Part(240, eaten=True)), house.now, 700)
    kept, eaten = divide(house.conn, house.by(), whole, cut).parts
    ended = finishes.of_lot(house.conn, eaten.id)
    assert ended is not None
    assert (ended.cost_in, ended.cost_per_kg, ended.currency) == pytest.approx((15, 62.5, "EUR"))
    assert finishes.cost(house.conn, kept.id) == pytest.approx((25, "EUR"))


# ── hold, back, move, discard ─────────────────────────────────────────────────────────────


def test_on_hold_and_on_again_hold_days_are_no_drying_days_and_a_leak_is_said(house: House) -> None:
    lot_id = house.hang("C1", 1000)
    house.weigh(lot_id, 750, days=20)
    at = HUNG + timedelta(days=20, hours=1)
    hold(house.conn, house.by(), lot_id, Move("", at, weight_g=750))
    back = HUNG + timedelta(days=30)
    gone_on = resume(house.conn, house.by(), lot_id, Move("", back, weight_g=735))
    assert gone_on.lot.stage == "drying"
    assert gone_on.messages == ("2.0 % lost in the sealed bag: the bag may have leaked",)
    done = finish(house.conn, house.by(), lot_id, Finishing(house.now, 700))
    assert done.finish.drying_days == 30  # 40 d since hanging, 10 of them on hold
    with pytest.raises(Refused, match="not on hold"):
        resume(house.conn, house.by(), lot_id, Move("", house.now))


def test_from_equalising_back_to_drying_and_the_planned_end_is_forgotten(house: House) -> None:
    lot_id = house.hang("C1", 1000)
    house.weigh(lot_id, 690, days=30)
    there = change_stage(
        house.conn, house.by(), lot_id, Move("equalising", HUNG + timedelta(days=31), weight_g=690)
    )
    # 80 mm slab, 31 % lost: 80 · 0.69^(1/3) = 70.7 mm
    assert there.lot.stage_until is not None
    back = change_stage(house.conn, house.by(), lot_id, Move("drying", house.now))
    assert back.lot.stage_until is None
    assert figures(back.lot, house.now, UTC).loss_pct == pytest.approx(31)


def test_moved_to_a_place_a_sealed_bag_asks_for_a_cold_one(house: House) -> None:
    add_place(house.conn, house.by(), "Cellar", temp_c=(10, 14))
    lot_id = house.hang("C1", 1000)
    moved = move_to(house.conn, house.by(), lot_id, "cellar", house.now)
    assert (moved.lot.place, moved.lot.stage) == ("Cellar", "drying")
    undo_last(house.conn, house.by())
    assert house.lot(lot_id).place is None
    change_stage(house.conn, house.by(), lot_id, Move("on-hold", house.now))
    with pytest.raises(Doubtful, match="5 °C or colder"):
        move_to(house.conn, house.by(), lot_id, "Cellar", house.now)
    with pytest.raises(NotFound, match="Cellar"):
        move_to(house.conn, house.by(), lot_id, "Garage", house.now)


def test_discarded_with_its_reason_and_brought_back(house: House) -> None:
    lot_id = house.hang("C1", 1000)
    with pytest.raises(Refused, match="why"):
        discard(house.conn, house.by(), lot_id, "  ", house.now)
    discard(house.conn, house.by(), lot_id, "fell on the floor", house.now)
    assert house.lot(lot_id).stage == "discarded"
    assert any("fell on the floor" in line.words for line in lot_log(house.conn, lot_id))
    assert undo_last(house.conn, house.by()) == "stage C1 discarded"
    assert house.lot(lot_id).stage == "drying"


# ── corrections ───────────────────────────────────────────────────────────────────────────


def test_a_wrong_weigh_in_is_voided_and_the_right_one_replaces_it(house: House) -> None:
    lot_id = house.hang("C1", 1000)
    house.weigh(lot_id, 950, days=7)
    wrong = house.weigh(lot_id, 590, days=14)  # was 905
    with pytest.raises(Doubtful):
        correct.correct_weigh_in(house.conn, house.by(), wrong.weigh_in_id, correct.Right(9050))
    after = correct.correct_weigh_in(house.conn, house.by(), wrong.weigh_in_id, correct.Right(905))
    assert figures(after, house.now, UTC).loss_pct == pytest.approx(9.5)
    rows = weigh_ins.of_lot(house.conn, lot_id, voided=True)
    assert [(row.gross_g, row.voided_at is not None) for row in rows] == [
        (1000, False),
        (950, False),
        (590, True),
        (905, False),
    ]
    replaced = house.conn.execute("SELECT replaces FROM weigh_in WHERE gross_g = 905").fetchone()
    assert replaced == (wrong.weigh_in_id,)
    with pytest.raises(Refused, match="corrected already; it is 905 g now"):
        correct.void_weigh_in(house.conn, house.by(), wrong.weigh_in_id)


def marks(house: House, lot_id: int) -> list[str | None]:
    return [point.flagged for point in curve_of(house.conn, lot_id, house.now).points]


def test_a_slip_that_was_corrected_leaves_no_mark_of_doubt(house: House) -> None:
    """Tenfold, kept in spite of the question, then put right: no ? on the curve."""
    lot_id = house.hang("C1", 1000)
    house.weigh(lot_id, 950, days=7)
    slip = house.weigh(lot_id, 9050, days=14)
    assert marks(house, lot_id) == [None, None, "slip"]
    correct.correct_weigh_in(house.conn, house.by(), slip.weigh_in_id, correct.Right(905))
    assert marks(house, lot_id) == [None, None, None]
    undo_last(house.conn, house.by())
    assert marks(house, lot_id) == [None, None, "slip"]


def test_a_correction_that_is_doubtful_itself_is_marked_for_that(house: House) -> None:
    lot_id = house.hang("C1", 1000)
    right = house.weigh(lot_id, 950, days=7)
    change_to = correct.Right(9500, keep_doubtful=True)
    correct.correct_weigh_in(house.conn, house.by(), right.weigh_in_id, change_to)
    assert marks(house, lot_id) == [None, "slip"]


@pytest.mark.parametrize("how", ["correct", "void"])
def test_the_weight_after_a_slip_is_no_longer_doubted_once_that_is_gone(
    house: House, how: str
) -> None:
    lot_id = house.hang("C1", 1000)
    slip = house.weigh(lot_id, 9500, days=7)
    house.weigh(lot_id, 905, days=14)  # right, but a tenth of the one before
    assert marks(house, lot_id)[1:] == ["slip", "slip"]
    if how == "correct":
        correct.correct_weigh_in(house.conn, house.by(), slip.weigh_in_id, correct.Right(950))
    else:
        correct.void_weigh_in(house.conn, house.by(), slip.weigh_in_id)
    assert set(marks(house, lot_id)) == {None}


def test_a_hang_weight_kept_in_doubt_is_marked_until_it_is_put_right(house: House) -> None:
    lot_id = house.hang("C1", 1000, stage="in-cure")
    house.conn.execute("UPDATE lot SET hang_g = NULL, hang_at = NULL")
    house.conn.execute("UPDATE weigh_in SET voided_at = at")
    move = Move("drying", house.now, weight_g=9950, tare_g=0.0, keep_doubtful=True)
    change_stage(house.conn, house.by(), lot_id, move)
    assert marks(house, lot_id) == ["slip"]
    correct.correct_start(house.conn, house.by(), lot_id, 995)
    assert marks(house, lot_id) == [None]


def test_a_start_weight_corrected_moves_every_percentage_and_leaves_a_line(house: House) -> None:
    lot_id = house.hang("C1", 1000, green_g=1140)
    house.weigh(lot_id, 880, days=10)
    after = correct.correct_start(house.conn, house.by(), lot_id, 1100)
    curve = curve_of(house.conn, lot_id, house.now)
    assert [round(point.loss_pct, 6) for point in curve.points] == [0, 20]
    assert after.hang_g == 1100
    assert any("start weight corrected" in line.words for line in lot_log(house.conn, lot_id))
    newest = history(house.conn, limit=1)[0]
    assert (newest.verb, newest.subject) == ("correct start weight", "C1 to 1100 g")
    with pytest.raises(Refused, match="correct it instead"):
        correct.void_weigh_in(house.conn, house.by(), curve.points[0].weigh_in_id)


@pytest.mark.parametrize("slip_g", [10_000, 100, 1420, 700])
def test_a_slip_in_a_corrected_start_or_green_weight_is_asked_about_and_nothing_stored(
    house: House, slip_g: float
) -> None:
    """Green 1040 g, hung with 1000 g."""
    lot_id = house.hang("C1", 1000, nitrite_mg_per_kg=150.0)
    before = house.lot(lot_id)
    with pytest.raises(Doubtful, match="C1: "):
        correct.correct_start(house.conn, house.by(), lot_id, slip_g)
    hung = curve_of(house.conn, lot_id, house.now).points[0].weigh_in_id
    with pytest.raises(Doubtful, match="C1: "):
        correct.correct_weigh_in(house.conn, house.by(), hung, correct.Right(slip_g))
    if slip_g != 1420:  # green of a piece that lost 30 % in the salt box
        with pytest.raises(Doubtful, match="It was hung at 1000 g"):
            correct.correct_green(house.conn, house.by(), lot_id, slip_g)
    assert house.lot(lot_id) == before
    kept = correct.correct_start(house.conn, house.by(), lot_id, slip_g, keep_doubtful=True)
    assert kept.hang_g == slip_g
    assert marks(house, lot_id) != [None]
    green = correct.correct_green(house.conn, house.by(), lot_id, 5 * slip_g, keep_doubtful=True)
    assert green.green_g == pytest.approx(5 * slip_g)


def test_an_unknown_hang_weight_is_an_estimate_until_it_is_weighed(house: House) -> None:
    lot_id = house.hang("C1", 900, green_g=1040)
    house.weigh(lot_id, 700, days=20)
    guessed = correct.correct_start(
        house.conn, house.by(), lot_id, 1000.0, plus_minus_g=42.857142857
    )
    shown = figures(guessed, house.now, UTC)
    assert shown.approx
    assert shown.loss_pct == pytest.approx(30)
    halves = divide(house.conn, house.by(), lot_id, Cut((Part(350), Part(350)), house.now))
    assert halves.parts[0].hang_pm_g == pytest.approx(42.857142857 / 2)
    undo_last(house.conn, house.by())
    weighed = correct.correct_start(house.conn, house.by(), lot_id, 990)
    assert weighed.hang_pm_g is None


def test_a_tare_put_right_later_all_net_weights_follow_the_hang_weight_too(house: House) -> None:
    lot_id = house.hang("C1", 1000, tare_g=28.0)
    house.weigh(lot_id, 878, days=7)
    after = correct.put_tare_right(house.conn, house.by(), lot_id, 48, what="hook and net")
    # on the scale 1028 and 878: net 980 and 830
    assert (after.hang_g, after.last_net_g, after.tare_g) == (980, 830, 48)
    assert loss(house, lot_id) == pytest.approx(100 * 150 / 980)
    assert after.tare_what == "hook and net"
    undo_last(house.conn, house.by())
    assert loss(house, lot_id) == pytest.approx(15)


def test_a_tare_put_right_after_a_cut_takes_the_cut_with_it(house: House) -> None:
    lot_id = house.hang("C1", 1000, tare_g=28.0)
    at = HUNG + timedelta(days=7)
    rebase(house.conn, house.by(), lot_id, Rebasing("trimmed", 728, at, 828))
    correct.put_tare_right(house.conn, house.by(), lot_id, 8)
    # hang 1020; before the cut 820, after 720: the loss stays 200/1020
    assert loss(house, lot_id) == pytest.approx(100 * 200 / 1020)
    assert house.lot(lot_id).base_g == pytest.approx(1020 * 720 / 820)


def test_the_tare_of_a_part_put_right_leaves_its_loss_alone(house: House) -> None:
    whole = house.hang("C2", 1000)
    part = divide(house.conn, house.by(), whole, Cut((Part(420), Part(280)), house.now, 700))
    first = part.parts[0].id
    after = correct.put_tare_right(house.conn, house.by(), first, 20, what="hook")
    assert loss(house, first) == pytest.approx(30)
    assert after.base_g == pytest.approx(400 / 0.7)


def test_green_weight_put_right_the_same_grams_are_more_per_kilogram(house: House) -> None:
    lot_id = house.hang("C1", 1000, nitrite_mg_per_kg=150.0, total_salt_pct=2.75)
    after = correct.correct_green(house.conn, house.by(), lot_id, 832, keep_doubtful=True)
    assert after.nitrite_mg_per_kg == pytest.approx(187.5)  # 150 · 1040/832
    assert after.total_salt_pct == pytest.approx(3.4375)


def test_a_hanging_day_put_right_moves_the_curve_and_stays_between_its_neighbours(
    house: House,
) -> None:
    lot_id = house.hang("C1", 1000)
    house.weigh(lot_id, 900, days=10)
    entry = lots.stages(house.conn, lot_id)[1]
    at = HUNG - timedelta(days=2)
    correct.correct_stage_time(house.conn, house.by(), lot_id, entry.id, at)
    assert curve_of(house.conn, lot_id, house.now).points[1].day == pytest.approx(12)
    with pytest.raises(NotFound):
        correct.correct_stage_time(house.conn, house.by(), lot_id, entry.id, at)
    now_id = lots.stages(house.conn, lot_id)[1].id
    with pytest.raises(Refused, match="has an earlier weigh-in"):
        correct.correct_stage_time(
            house.conn, house.by(), lot_id, now_id, HUNG + timedelta(days=11)
        )
    assert house.lot(lot_id).hang_at == "2026-10-14T12:00:00Z"


# ── looked at and opened ──────────────────────────────────────────────────────────────────


def test_three_answers_at_target_offer_the_ways_on_and_quiet_the_need(house: House) -> None:
    lot_id = house.hang("C1", 1000)
    house.weigh(lot_id, 690)
    assert "target-reached" in causes(house, "C1")
    felt = observe.felt_from("hard", "soft", "clean")
    done = observe.answer(house.conn, house.by(), lot_id, felt, house.now, goes_on=True)
    # Crank 1975: 70.7 mm slab, half of it 35.3; L²/(π²·D)·ln 10, D 1e-10 m²/s: 33.7 d
    assert [(offer.step, offer.days) for offer in done.offers] == [
        ("equalise", 34),
        ("keep-drying", None),
        ("slice", None),
    ]
    assert "target-reached" not in causes(house, "C1")
    house.now += timedelta(days=7)
    house.weigh(lot_id, 680)
    assert "target-reached" in causes(house, "C1")


def test_mould_is_looked_at_again_and_black_growth_asks_for_a_decision(house: House) -> None:
    lot_id = house.hang("C1", 1000)
    house.weigh(lot_id, 950)
    white = observe.mould_from("white", "powdery", "spots", "brushed")
    logged = observe.log_mould(house.conn, house.by(), lot_id, white, house.now)
    assert [day.day for day in logged.again] == [27, 28]
    assert causes(house, "C1") == set()
    house.now += timedelta(days=2)
    assert causes(house, "C1") == {"mould-recheck"}
    black = observe.mould_from("black", "fluffy", "patches", "wiped")
    observe.log_mould(house.conn, house.by(), lot_id, black, house.now)
    assert causes(house, "C1") == {"decision-asked"}
    house.now += timedelta(hours=1)
    observe.decide(house.conn, house.by(), lot_id, "cut it away, goes on", house.now)
    assert causes(house, "C1") == set()
    with pytest.raises(Refused, match="For the colour type white"):
        observe.mould_from("pink", "powdery", "spots", "brushed")


def test_bag_contact_changes_what_a_levelling_lot_is_asked(house: House) -> None:
    lot_id = house.hang("C1", 1000, in_bag=1)
    house.weigh(lot_id, 850, days=33)
    house.weigh(lot_id, 849.5, days=39)
    need = next(n for n in check.current_needs(house.conn, house.now) if n.cause == "levelling")
    assert need.action == "does the bag cling all round?"
    observe.bag_contact(house.conn, house.by(), lot_id, "lost", house.now)
    need = next(n for n in check.current_needs(house.conn, house.now) if n.cause == "levelling")
    assert "lost" in need.action


def test_opened_and_hung_again_rests_until_the_next_weigh_in(house: House) -> None:
    """Soft inside at its target, back to drying: the same need must not be there at once."""
    lot_id = house.hang("C1", 1000)
    house.weigh(lot_id, 690)
    assert "target-reached" in causes(house, "C1")
    done = opened(
        house.conn, house.by(), lot_id, Opening("soft middle", "back to drying", house.now)
    )
    assert done.messages == ("it goes on drying",)
    assert "target-reached" not in causes(house, "C1")
    house.now += timedelta(days=7)
    house.weigh(lot_id, 680)
    assert "target-reached" in causes(house, "C1")


def test_out_of_the_bag_again_it_is_said_to_be_drying_again(house: House) -> None:
    lot_id = house.hang("C1", 1000)
    house.weigh(lot_id, 690)
    change_stage(house.conn, house.by(), lot_id, Move("equalising", house.now))
    house.now += timedelta(days=9)
    done = opened(
        house.conn, house.by(), lot_id, Opening("soft middle", "back to drying", house.now)
    )
    assert done.messages[0] == "it is drying again"
    assert done.lot.stage == "drying"
    assert "target-reached" not in causes(house, "C1")


def test_opened_too_early_closed_up_again_its_siblings_hear_of_it_until_felt(house: House) -> None:
    first = house.hang("C3", 1000)
    sibling = house.hang("C4", 1000)
    house.weigh(first, 714)
    house.weigh(sibling, 800)
    house.now += timedelta(hours=1)
    done = opened(
        house.conn, house.by(), first, Opening("raw", "back", house.now, before_g=710, after_g=639)
    )
    assert done.words == "C3 opened at 29 %: raw middle"
    assert done.short_g == pytest.approx(9)  # base 900, 30 % is 630
    assert loss(house, first) == pytest.approx(29)
    assert done.siblings == ("C4",)
    heard = [n.message for n in check.current_needs(house.conn, house.now) if n.lot == "C4"]
    assert heard == ["C3 opened at 29 %: raw middle"]
    house.now += timedelta(days=2)
    assert "sibling-opened" in causes(house, "C4")
    felt = observe.felt_from("none", "firm", "clean")
    observe.answer(house.conn, house.by(), sibling, felt, house.now, goes_on=True)
    assert "sibling-opened" not in causes(house, "C4")
    undo_last(house.conn, house.by())
    assert "sibling-opened" in causes(house, "C4")
    undo_last(house.conn, house.by())
    assert lots.events(house.conn, lot_id=sibling) == []
    assert house.lot(first).base_g == 1000


def test_opened_and_equalised_or_eaten_in_one_change(house: House) -> None:
    first, second = house.hang("C3", 1000), house.hang("C4", 1000)
    one = opened(house.conn, house.by(), first, Opening("grey", "equalise", house.now, 680))
    assert one.lot.stage == "equalising"
    assert loss(house, first) == pytest.approx(32)
    two = opened(house.conn, house.by(), second, Opening("even", "eat", house.now, 640, liked=5))
    assert (two.lot.stage, two.words) == ("closed", "C4 opened at 36 %: even")
    undo_last(house.conn, house.by())
    assert house.lot(second).stage == "drying"
    assert finishes.of_lot(house.conn, second) is None


# ── the end, packs, the Book ──────────────────────────────────────────────────────────────


def test_finished_with_yield_cost_liking_and_packs_by_the_households_own_rule(house: House) -> None:
    with change(house.conn, house.by("set-up"), "buy") as work:
        source = batches.add_source(work, batch_id=1, name="eye", price=26.0, currency="EUR")
    lot_id = house.hang("C1", 1000, source_id=source)
    packs.choose_keep_days(house.conn, house.by(), 60)
    new = tuple(packs.NewPack(grams, house.now) for grams in (300, 200))
    what = Finishing(house.now, 650, cut_face="even", liked=4, note="slower", packs=new)
    done = finish(house.conn, house.by(), lot_id, what)
    ended = done.finish
    assert ended.loss_pct == pytest.approx(35)
    assert ended.yield_pct == pytest.approx(62.5)  # 650 of 1040
    assert (ended.drying_days, ended.days) == (40, 55)
    assert ended.cost_per_kg == pytest.approx(40)  # 26 € for 0.65 kg
    assert (ended.liked, ended.liked_at_pct) == (4, 35.0)
    assert [pack.keep_until for pack in done.packs] == ["2027-01-24", "2027-01-24"]
    with pytest.raises(Doubtful, match="packs weigh 700 g"):
        packs.add_packs(house.conn, house.by(), lot_id, [packs.NewPack(200, house.now)])
    packs.give(house.conn, house.by(), {done.packs[0].id: "Anna"})
    assert finishes.packs(house.conn, lot_id)[0].given_to == "Anna"


def test_finished_anew_only_what_is_said_changes(house: House) -> None:
    lot_id = house.hang("C1", 1000, green_g=1300)
    finish(house.conn, house.by(), lot_id, Finishing(house.now, 650, liked=4, note="slower"))
    house.now += timedelta(days=1)
    again = finish(house.conn, house.by(), lot_id, Finishing(house.now, 640, liked=5)).finish
    assert (again.final_g, again.liked, again.note) == (640, 5, "slower")
    assert again.at == "2026-11-25T18:00:00Z"
    correct.correct_start(house.conn, house.by(), lot_id, 1280)
    ended = finishes.of_lot(house.conn, lot_id)
    assert ended is not None
    assert ended.loss_pct == pytest.approx(50)
    with pytest.raises(Refused, match="1 to 5"):
        finish(house.conn, house.by(), lot_id, Finishing(house.now, liked=6))


def test_what_was_tasted_on_the_way_carries_its_part_of_the_cost(house: House) -> None:
    with change(house.conn, house.by("set-up"), "buy") as work:
        source = batches.add_source(work, batch_id=1, name="eye", price=35.0)
    lot_id = house.hang("C1", 1000, source_id=source)
    rebase(house.conn, house.by(), lot_id, Rebasing("end tasted", 650, house.now, 700))
    done = finish(house.conn, house.by(), lot_id, Finishing(house.now, 650))
    assert done.finish.cost_per_kg == pytest.approx(50)  # 35 for 650 + 50 g


def test_a_mixed_pack_takes_its_share_from_each_lot(house: House) -> None:
    one, two = house.hang("C1", 1000), house.hang("C2", 1000)
    shares = (packs.Share(one, 120), packs.Share(two, 80))
    new = packs.NewPack(200, house.now, given_to="Anna")
    with pytest.raises(Refused, match="finish it, then pack it"):
        packs.mix_pack(house.conn, house.by(), shares, new)
    for lot_id in (one, two):
        finish(house.conn, house.by(), lot_id, Finishing(house.now, 650))
    made = packs.mix_pack(house.conn, house.by(), shares, new)
    assert [(pack.lot_id, pack.weight_g) for pack in made] == [(one, 120), (two, 80)]
    assert made[1].mixed_with == made[0].id
    undo_last(house.conn, house.by())
    assert finishes.packs(house.conn) == []


@pytest.mark.parametrize(
    "text", ["[bold]x", 'it\'s "so"', "a\nb\x1b[31m", "\N{GRINNING FACE}" * 20, "x" * 200, " "]
)
def test_words_of_any_kind_are_kept_on_one_line(house: House, text: str) -> None:
    lot_id = house.hang("C1", 1000)
    parts = (Part(400, name=text, tare_what=text), Part(300))
    cut = Cut(parts, house.now, 700, reason=text)
    first = divide(house.conn, house.by(), lot_id, cut).parts[0]
    opened(house.conn, house.by(), first.id, Opening("even", "back", house.now, note=text))
    new = packs.NewPack(100, house.now, given_to=text, note=text)
    done = finish(house.conn, house.by(), first.id, Finishing(house.now, note=text, packs=(new,)))
    kept = [done.finish.note or "", done.packs[0].given_to or "", done.lot.piece]
    assert all(words.isprintable() and words == words.strip() for words in kept)
    assert all(line.words.isprintable() for line in lot_log(house.conn, first.id))
    with pytest.raises(Refused, match="characters"):
        finish(house.conn, house.by(), first.id, Finishing(house.now, note="x" * 3000))


def test_the_book_orders_filters_sums_up_and_starts_a_batch_again(house: House) -> None:
    house.batch("D", name="Collar", species="pork", style="coppa")
    for code, batch_id, days, final, liked in (
        ("C1", 1, 30, 650, 4),
        ("C2", 1, 40, 600, 5),
        ("C3", 1, 32, 690, None),
        ("D1", 2, 36, 640, 2),
    ):
        lot_id = house.hang(code, 1000, batch_id=batch_id)
        at = HUNG + timedelta(days=days)
        note = "less salt" if liked == 5 else None
        finish(house.conn, house.by(), lot_id, Finishing(at, final, liked=liked, note=note))
    codes = [row.code for row in book.read_book(house.conn, order="liked")]
    assert codes == ["C2", "C1", "D1", "C3"]
    assert [row.code for row in book.read_book(house.conn, text="salt")] == ["C2"]
    found = book.what_before(house.conn, species="beef")
    assert found.n == 3
    assert found.drying_days is not None
    assert (found.drying_days.median, found.drying_days.lo, found.drying_days.hi) == (32, 30, 40)
    again = book.make_again(house.conn, "c")
    assert again.recipe == {"salt_pct": 2.75}
    assert any(note.endswith("liked 5 of 5, less salt") for note in again.notes)
    best = book.liked_before(house.conn, style="bresaola")
    assert best is not None
    assert (best.recipe, best.target_lo_pct) == ({"salt_pct": 2.75}, 40.0)
    assert book.liked_before(house.conn, style="coppa") is None
    over = book.laid_over(house.conn, [1, 2], house.now)
    assert over["C2"][-1] == pytest.approx((40, 40))


def test_curves_laid_over_each_other_end_with_the_drying(house: House) -> None:
    lot_id = house.hang("C1", 1000)
    at = HUNG + timedelta(days=30)
    change_stage(
        house.conn,
        house.by(),
        lot_id,
        Move("keeping", at, weight_g=650, note="x", keep_doubtful=True),
    )
    later = HUNG + timedelta(days=90)
    finish(house.conn, house.by(), lot_id, Finishing(later, 640, keep_doubtful=True))
    assert book.laid_over(house.conn, [lot_id], house.now)["C1"][-1] == pytest.approx((30, 35))


# ── undo, redo, others ────────────────────────────────────────────────────────────────────


def test_a_division_undone_gives_the_whole_back_and_the_codes_are_free_again(house: House) -> None:
    whole = house.hang("C2", 1000)
    before = house.lot(whole)
    parts = divide(house.conn, house.by(), whole, Cut((Part(400), Part(280)), house.now, 700)).parts
    house.weigh(parts[0].id, 395)
    with pytest.raises(Refused, match="You have changed it since"):
        undo_change(house.conn, house.by(), history(house.conn)[1].id)
    undo_last(house.conn, house.by())
    undo_last(house.conn, house.by())
    assert house.lot(whole) == before
    with pytest.raises(NotFound):
        house.code("C2a")
    redo_last(house.conn, house.by())
    assert house.code("C2a").base_g == pytest.approx(571.4286, abs=1e-3)
    undo_last(house.conn, house.by())
    other = divide(house.conn, house.by(), whole, Cut((Part(350), Part(340)), house.now, 700))
    assert [part.code for part in other.parts] == ["C2a", "C2b"]


def test_undo_and_redo_go_step_by_step_and_a_new_change_ends_redoing(house: House) -> None:
    lot_id = house.hang("C1", 1000)
    for day, gross in ((7, 950), (14, 910)):
        house.weigh(lot_id, gross, days=day)
    assert undo_last(house.conn, house.by()) == "weigh C1"
    undo_last(house.conn, house.by())
    assert house.lot(lot_id).last_net_g == 1000
    redo_last(house.conn, house.by())
    assert house.lot(lot_id).last_net_g == 950
    redo_last(house.conn, house.by())
    assert house.lot(lot_id).last_net_g == 910
    with pytest.raises(NotFound):
        redo_last(house.conn, house.by())
    undo_last(house.conn, house.by())
    house.weigh(lot_id, 905, days=14)
    with pytest.raises(NotFound):
        redo_last(house.conn, house.by())


def test_what_another_person_did_since_is_named_and_not_touched(house: House) -> None:
    lot_id = house.hang("C1", 1000)
    rebase(house.conn, house.by(), lot_id, Rebasing("trimmed", 850, house.now, 900))
    mine = history(house.conn, limit=1)[0].id
    others = house.by("session-2", "anna")
    correct.put_tare_right(house.conn, others, lot_id, 5)
    with pytest.raises(Refused, match=r"anna has changed it since \(correct tare C1"):
        undo_change(house.conn, house.by(), mine)
    with pytest.raises(NotFound):
        undo_last(house.conn, house.by("session-3"))
    undo_last(house.conn, others)
    undo_change(house.conn, house.by(), mine)
    assert house.lot(lot_id).base_factor == 1.0


def test_undo_of_one_lot_leaves_what_was_done_to_another_since(house: House) -> None:
    first, second = house.hang("C1", 1000), house.hang("C2", 900)
    house.weigh(first, 950, days=7)
    house.weigh(second, 850, days=7)
    assert undo_last_of(house.conn, house.by(), (first,)) == "weigh C1"
    assert (house.lot(first).last_net_g, house.lot(second).last_net_g) == (1000, 850)
    assert redo_last_of(house.conn, house.by(), (first,)) == "weigh C1"
    assert house.lot(first).last_net_g == 950
    with pytest.raises(NotFound, match="There is nothing of C2 to redo"):
        redo_last_of(house.conn, house.by(), (second,))


def test_undo_of_one_lot_names_the_others_a_change_is_of(house: House) -> None:
    """What is opened is that lot's change, not its siblings'; a turn is of all that were turned."""
    lots_of_it = [house.hang(code, 1000, stage="in-cure") for code in ("C1", "C2", "C3")]
    first, second, third = lots_of_it
    turn(house.conn, house.by(), [first, second], house.now)
    with pytest.raises(Doubtful, match=r"“turn .*”; it changed C2 too"):
        undo_last_of(house.conn, house.by(), (first,))
    with pytest.raises(Refused, match="The last change of C3 is older: you did “hang C3” on"):
        undo_last_of(house.conn, house.by(), (third,))
    assert "turn" in undo_last_of(house.conn, house.by(), (first,), whole=True)
    assert lots.last_event(house.conn, second, "turn") is None


def test_undo_of_a_lot_is_not_the_opening_of_its_sibling(house: House) -> None:
    first, second = house.hang("C1", 1000), house.hang("C2", 900)
    house.weigh(first, 950, days=7)
    opened(house.conn, house.by(), second, Opening("even", "back", house.now))
    assert undo_last_of(house.conn, house.by(), (first,)) == "weigh C1"


def test_undo_of_a_divided_lot_takes_its_parts_with_it_and_a_part_asks(house: House) -> None:
    whole = house.hang("C1", 1000)
    house.weigh(whole, 700, days=20)
    parts = divide(house.conn, house.by(), whole, Cut((Part(400), Part(280)), house.now)).parts
    with pytest.raises(Doubtful, match="; it changed C1 and C1b too"):
        undo_last_of(house.conn, house.by(), (parts[0].id,))
    undo_last_of(house.conn, house.by(), (whole,))
    assert house.lot(whole).stage == "drying"


def test_a_batch_with_a_weighed_lot_is_not_taken_back_from_under_it(house: House) -> None:
    house.now += timedelta(minutes=1)
    with change(house.conn, house.by(), "add batch", subject="D") as work:
        place = work.insert("place", name="Shed", created_at=house.by().now)
        batch_id = batches.add(
            work,
            code="D",
            name="x",
            species="pork",
            style="s",
            method="equilibrium",
            product_class="dry-cured",
            rule_set="us",
            recipe="{}",
            created_at=house.by().now,
        )
        lot_id = lots.add(
            work,
            batch_id=batch_id,
            code="D1",
            style="s",
            style_name="s",
            stage="in-cure",
            stage_at=house.by().now,
            place_id=place,
            green_g=1000,
            target_lo_pct=30,
            target_hi_pct=40,
            created_at=house.by().now,
        )
        lots.add_stage(work, lot_id, "in-cure", house.by().now, place, None)
        lots.add_dose_line(work, lot_id, 0, "salt", "salt", 25, 25, None, None)
    added = history(house.conn, limit=1)[0].id
    house.weigh(lot_id, 990)
    with pytest.raises(Refused, match="weigh D1"):
        undo_change(house.conn, house.by(), added)
    undo_last(house.conn, house.by())
    undo_last(house.conn, house.by())
    assert "D" not in batches.codes(house.conn)
    with pytest.raises(NotFound):
        house.code("D1")
    redo_last(house.conn, house.by())
    assert house.code("D1").place == "Shed"
    assert house.code("D1").dose_open == 1


def test_the_history_says_who_when_from_where_and_what(house: House) -> None:
    lot_id = house.hang("C1", 1000)
    other = house.hang("C2", 1000)
    house.weigh(lot_id, 950, days=7)
    correct.put_tare_right(house.conn, replace(house.by(), origin="screen"), other, 5)
    newest, weighed = history(house.conn, limit=2)
    assert (newest.actor, newest.origin, newest.verb) == ("tester", "screen", "correct tare")
    assert (weighed.at, weighed.recorded_at) == ("2026-10-23T12:00:00Z", "2026-11-25T18:00:00Z")
    assert {line.verb for line in history(house.conn, lot_id=lot_id)} == {"hang", "weigh"}
    set_values = {(d.column, d.before, d.after) for d in details(house.conn, newest.id)}
    assert ("tare_g", 0.0, 5) in set_values or ("tare_g", 0.0, 5.0) in set_values
    assert history(house.conn, limit=1, before_id=newest.id) == [weighed]


def test_a_change_that_fails_half_way_leaves_nothing(
    house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    whole = house.hang("C2", 1000)
    before = house.lot(whole)

    def broken(*_args: object, **_more: object) -> int:
        raise sqlite3.OperationalError("database or disk is full")

    monkeypatch.setattr("curedash.services.weighing.divide.weigh_ins.add", broken)
    with pytest.raises(Exception, match="disk is full"):
        divide(house.conn, house.by(), whole, Cut((Part(400), Part(280)), house.now, 700))
    assert house.lot(whole) == before


@pytest.mark.parametrize("typed", ["C1", "c1", " c 1 "])
def test_a_lot_is_found_however_its_code_is_typed(house: House, typed: str) -> None:
    house.hang("C1", 900)
    assert require_lot(house.conn, typed).code == "C1"


@pytest.mark.parametrize("typed", ["", "C", "C0", "C99", "the thick one", "C1; DROP TABLE lot"])
def test_what_is_no_lot_names_those_there_are(house: House, typed: str) -> None:
    house.hang("C1", 900)
    with pytest.raises(NotFound, match=r"There is no lot “.*”; choose C1\."):
        require_lot(house.conn, typed)


def test_the_curve_shows_a_pull_window_only_where_one_is_told(house: House) -> None:
    lot_id = house.hang("C1", 1000)
    for days, grams in ((7, 900), (14, 840), (21, 800)):
        house.weigh(lot_id, grams, days=days)
    forecasts.refresh(house.conn, house.lot(lot_id), house.now)
    assert curve_of(house.conn, lot_id, house.now).window_days is not None
    assert figures(house.lot(lot_id), house.now, UTC).window is not None
    change_stage(house.conn, house.by(), lot_id, Move("equalising", house.now, keep_doubtful=True))
    assert curve_of(house.conn, lot_id, house.now).window_days is None
    assert figures(house.lot(lot_id), house.now, UTC).window is None


def test_a_part_eaten_at_the_cut_is_in_the_book_but_not_in_its_medians(house: House) -> None:
    whole = house.hang("C1", 1000)
    house.weigh(whole, 700, days=20)
    cut = Cut((Part(450.0), Part(240.0, eaten=True)), HUNG + timedelta(days=20, hours=1))
    done = divide(house.conn, house.by(), whole, replace(cut, before_g=700.0))
    keeps = done.parts[0].id
    house.weigh(keeps, 400, days=30)
    finish(house.conn, house.by(), keeps, Finishing(HUNG + timedelta(days=40), 390, liked=4))
    eaten, dried = sorted(book.read_book(house.conn), key=lambda row: row.drying_days or 0)
    assert (eaten.at_the_cut, dried.at_the_cut) == (True, False)
    found = book.what_before(house.conn)
    assert (found.n, found.drying_days) == (1, Spread(1, 40.0, 40.0, 40.0))
    assert found.loss_pct is not None
    assert found.loss_pct.median == pytest.approx(dried.loss_pct)


def test_eaten_after_a_small_loss_is_asked_about_with_the_share_that_is_lost(house: House) -> None:
    early, green = house.hang("C5", 1000), house.hang("C6", 1000)
    house.weigh(early, 930)
    with pytest.raises(Doubtful, match=r"It has lost 7 %; its target is .* %. Inside it is raw"):
        opened(house.conn, house.by(), early, Opening("soft middle", "eat", house.now))
    assert house.lot(early).stage == "drying"
    what = Opening("soft middle", "eat", house.now, keep_doubtful=True)
    assert opened(house.conn, house.by(), early, what).lot.stage == "closed"
    house.weigh(green, 690)
    done = opened(house.conn, house.by(), green, Opening("even", "eat", house.now))
    assert done.lot.stage == "closed"


def in_cure(house: House, green_g: float) -> int:
    """A lot that was salted and never weighed since."""
    with change(house.conn, house.by("set-up"), "add batch", subject="C1") as work:
        values: dict[str, Any] = {"stage": "in-cure", "stage_at": "2026-10-01T12:00:00Z"}
        values |= {"batch_id": 1, "code": "C1", "style": "bresaola", "style_name": "Bresaola"}
        values |= {"position": 1.0, "shape": "slab", "green_g": green_g}
        values |= {"target_lo_pct": 30.0, "target_hi_pct": 40.0}
        lot_id = lots.add(work, **values, created_at="2026-10-01T12:00:00Z")
        lots.add_stage(work, lot_id, "in-cure", "2026-10-01T12:00:00Z", None, None)
    return lot_id


def test_a_cured_weight_put_right_is_held_against_the_green_one(house: House) -> None:
    """In the cure with 1150 g; rinsed 1100 g, put right to 1470 g: 28 % more than went in."""
    lot_id = in_cure(house, 1150)
    with pytest.raises(Doubtful, match="1470 g net is 28 % more than the green weight 1150 g"):
        change_stage(house.conn, house.by(), lot_id, Move("salt-rest", house.now, weight_g=1470))
    change_stage(house.conn, house.by(), lot_id, Move("salt-rest", house.now, weight_g=1100))
    (row,) = [r for r in weigh_ins.of_lot(house.conn, lot_id) if r.kind == "cured"]
    with pytest.raises(Doubtful, match="28 % more than the green weight"):
        correct.correct_weigh_in(house.conn, house.by(), row.id, correct.Right(1470))


def test_it_hangs_with_no_more_than_it_was_rinsed_with(house: House) -> None:
    lot_id = in_cure(house, 1150)
    change_stage(house.conn, house.by(), lot_id, Move("salt-rest", house.now, weight_g=1050))
    with pytest.raises(Doubtful, match="1140 g net is 9 % more than the last 1050 g"):
        change_stage(house.conn, house.by(), lot_id, Move("drying", house.now, weight_g=1140))


def test_a_raw_middle_of_what_was_felt_firm_is_asked_about(house: House) -> None:
    lot_id = house.hang("C1", 1000)
    house.weigh(lot_id, 690)
    felt = observe.felt_from("none", "firm", "clean")
    observe.answer(house.conn, house.by(), lot_id, felt, house.now)
    asked = "C1 was felt with rim none, firm; that is no raw middle. Is the cut face right?"
    ended = Finishing(house.now, 690, cut_face="raw middle")
    with pytest.raises(Doubtful, match=asked.replace("?", r"\?")):
        finish(house.conn, house.by(), lot_id, ended)
    with pytest.raises(Doubtful, match="that is no raw middle"):
        opened(house.conn, house.by(), lot_id, Opening("raw middle", "equalise", house.now))
    finish(house.conn, house.by(), lot_id, replace(ended, keep_doubtful=True))
    assert house.lot(lot_id).stage == "closed"
