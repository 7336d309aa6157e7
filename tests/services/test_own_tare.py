"""A weight said to be without the net stays so, whatever becomes of the lot's tare."""

from contextlib import closing
from datetime import UTC, timedelta
from pathlib import Path

import pytest

from curedash.domain.errors import Refused
from curedash.papers import whole_json
from curedash.services.household.undo import redo_last, undo_last
from curedash.services.weighing.correct import Right, correct_weigh_in, put_tare_right
from curedash.services.weighing.import_sheet import import_sheet
from curedash.services.weighing.rebase import Rebasing, rebase
from curedash.services.weighing.weigh import preview_at, weigh
from curedash.store import weigh_ins
from curedash.store.open import open_db
from tests.services.conftest import HUNG, House


def weighed_bare(house: House, lot_id: int, net_g: float, day: float, *, net: bool = False) -> int:
    at = HUNG + timedelta(days=day)
    seen = preview_at(
        house.conn,
        house.lot(lot_id),
        f"{net_g} g",
        house.now,
        UTC,
        at,
        net=net,
        without_tare=not net,
    )
    return weigh(house.conn, house.by(), lot_id, seen, keep_doubtful=True).weigh_in_id


def newest(house: House, lot_id: int) -> tuple[float, float, bool]:
    row = weigh_ins.of_lot(house.conn, lot_id)[-1]
    return row.gross_g, row.tare_g, row.own_tare


@pytest.mark.parametrize("net", [True, False])
def test_bare_on_a_lot_that_was_thought_without_tare(house: House, net: bool) -> None:
    """Its tare was taken for nothing; that it is 62 g says nothing of the meat alone."""
    lot_id = house.hang("C1", 1000.0)
    weighed_bare(house, lot_id, 900.0, 5, net=net)
    put_tare_right(house.conn, house.by(), lot_id, 62.0)
    assert newest(house, lot_id) == (900.0, 0.0, True)


def test_bare_and_the_tare_put_right_twice(house: House) -> None:
    """28 g, then nothing, then 35 g: in between both tares were one."""
    lot_id = house.hang("C1", 1000.0, tare_g=28.0)
    weighed_bare(house, lot_id, 900.0, 5)
    for tare_g in (0.0, 35.0):
        put_tare_right(house.conn, house.by(), lot_id, tare_g)
    assert newest(house, lot_id) == (900.0, 0.0, True)
    assert house.lot(lot_id).hang_g == 1028.0 - 35.0


def test_bare_and_another_tare_entered_for_a_day_before(house: House) -> None:
    lot_id = house.hang("C1", 1000.0)
    weighed_bare(house, lot_id, 900.0, 5)
    netted = Rebasing("net on", 990.0, HUNG + timedelta(days=2), 950.0, keep_doubtful=True)
    rebase(house.conn, house.by(), lot_id, netted)
    assert newest(house, lot_id) == (900.0, 0.0, True)


def test_with_the_lots_tare_follows_as_before(house: House) -> None:
    lot_id = house.hang("C1", 1000.0)
    house.weigh(lot_id, 900.0, days=5)
    put_tare_right(house.conn, house.by(), lot_id, 62.0)
    assert newest(house, lot_id) == (900.0, 62.0, False)


def test_a_correction_keeps_what_was_said_of_the_tare(house: House) -> None:
    lot_id = house.hang("C1", 1000.0)
    number = weighed_bare(house, lot_id, 990.0, 5)
    correct_weigh_in(house.conn, house.by(), number, Right(900.0, keep_doubtful=True))
    put_tare_right(house.conn, house.by(), lot_id, 62.0)
    assert newest(house, lot_id) == (900.0, 0.0, True)


def test_a_tare_corrected_on_one_weigh_in_is_its_own_until_it_is_the_lots(house: House) -> None:
    lot_id = house.hang("C1", 1000.0, tare_g=28.0)
    house.weigh(lot_id, 928.0, days=5)
    for tare_g, own in ((40.0, True), (28.0, False)):
        row = weigh_ins.of_lot(house.conn, lot_id)[-1]
        right = Right(tare_g=tare_g, keep_doubtful=True)
        correct_weigh_in(house.conn, house.by(), row.id, right)
        assert newest(house, lot_id) == (928.0, tare_g, own)
    put_tare_right(house.conn, house.by(), lot_id, 35.0)
    assert newest(house, lot_id) == (928.0, 35.0, False)


def test_undone_and_done_again_it_is_still_bare(house: House) -> None:
    lot_id = house.hang("C1", 1000.0)
    weighed_bare(house, lot_id, 900.0, 5)
    undo_last(house.conn, house.by())
    redo_last(house.conn, house.by())
    put_tare_right(house.conn, house.by(), lot_id, 62.0)
    assert newest(house, lot_id) == (900.0, 0.0, True)


def test_net_in_a_sheet_stays_net(house: House) -> None:
    lot_id = house.hang("C1", 1000.0)
    day = (HUNG + timedelta(days=5)).date().isoformat()
    sheet = f"date,lot,weight,net\n{day},C1,900 g,yes\n"
    assert import_sheet(house.conn, house.by(), sheet, house.now, keep_doubtful=True).kept
    put_tare_right(house.conn, house.by(), lot_id, 62.0)
    assert newest(house, lot_id) == (900.0, 0.0, True)


def test_a_bare_weight_stands_for_none_on_the_scale_before_a_cut(house: House) -> None:
    """With a tare of 28 g, 900 g of meat alone is 928 g on the scale before the end is cut off."""
    lot_id = house.hang("C1", 1000.0, tare_g=28.0)
    weighed_bare(house, lot_id, 900.0, 5)
    what = Rebasing("end tasted", 878.0, HUNG + timedelta(days=5), keep_doubtful=True)
    with pytest.raises(Refused, match="without its tare: give the weight before"):
        rebase(house.conn, house.by(), lot_id, what)


def test_an_export_brings_it_into_another_household(house: House, tmp_path: Path) -> None:
    lot_id = house.hang("C1", 1000.0)
    weighed_bare(house, lot_id, 900.0, 5)
    whole = "\n".join(whole_json.lines(house.conn, lambda _: None))
    whole_json.restore(f"{tmp_path}/there.db", whole, lambda _: None, lambda _: None)
    with closing(open_db(f"{tmp_path}/there.db")) as conn:
        there = House(conn, house.now)
        put_tare_right(conn, there.by(), lot_id, 62.0)
        assert newest(there, lot_id) == (900.0, 0.0, True)
