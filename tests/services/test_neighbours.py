"""Two weigh-ins swapped between lots, and a piece unlike its siblings, in a real file."""

from datetime import timedelta

import pytest

from curedash.domain.errors import Doubtful, Refused
from curedash.services.find import require_lot
from curedash.services.household.undo import undo_last
from curedash.services.weighing.neighbours import beside_others
from curedash.services.weighing.swap import swap, swappable, weigh_swapped
from curedash.services.weighing.weigh import preview_at, weigh
from curedash.store import log, weigh_ins
from tests.services.conftest import HUNG, House


def gross(house: House, code: str) -> list[float]:
    """What the scale showed for a lot, oldest first."""
    lot = require_lot(house.conn, code)
    return [row.gross_g for row in weigh_ins.of_lot(house.conn, lot.id)]


def ask(house: House, code: str, grams: float):
    """The preview of a weight, with what its neighbours raise."""
    from datetime import UTC

    lot = require_lot(house.conn, code)
    seen = preview_at(house.conn, lot, f"{grams:g}", house.now, UTC, house.now)
    return lot, beside_others(house.conn, lot, seen, house.now)


def put(house: House, code: str, grams: float) -> None:
    lot, seen = ask(house, code, grams)
    weigh(house.conn, house.by(), lot.id, seen, keep_doubtful=True)


@pytest.fixture
def pair(house) -> House:
    """A1 at about 1005 g, A2 at about 945 g, weighed for five weeks."""
    house.batch("A")
    house.hang("A1", 1400, tare_g=0.0)
    house.hang("A2", 1320, tare_g=30.0, tare_what="net")
    for week, (one, other) in enumerate(((1270, 1230), (1185, 1145), (1110, 1080), (1055, 1020))):
        house.now = HUNG + timedelta(days=7 * (week + 1))
        put(house, "A1", one)
        put(house, "A2", other)
    house.now = HUNG + timedelta(days=35)
    return house


def test_a_young_pair_swapped_is_asked_about_though_it_dries_slower_than_expected(house):
    """Expected 1367–1429 g and 1188–1241 g; 1430 g and 1255 g were swapped."""
    house.batch("A")
    house.hang("A1", 1490, tare_g=28.0)
    house.hang("A2", 1290, tare_g=28.0)
    house.now = HUNG + timedelta(days=4)
    put(house, "A1", 1460)
    put(house, "A2", 1268)
    house.now = HUNG + timedelta(days=8)
    put(house, "A1", 1255)
    _, seen = ask(house, "A2", 1430)
    assert [(doubt.kind, doubt.lot_code) for doubt in seen.doubts] == [("swapped", "A1")]


def test_a_swapped_pair_is_asked_about_once_with_the_swap_as_the_answer(pair):
    put(pair, "A1", 985)
    pair.now += timedelta(minutes=2)
    lot, seen = ask(pair, "A2", 1018)
    assert [(doubt.kind, doubt.lot_code) for doubt in seen.doubts] == [("swapped", "A1")]
    with pytest.raises(Doubtful):
        weigh(pair.conn, pair.by(), lot.id, seen)
    before = log.last_change_id(pair.conn)
    done = weigh_swapped(pair.conn, pair.by(), lot.id, seen, ("A1", 985.0))
    assert gross(pair, "A1")[-1] == 1018
    assert gross(pair, "A2")[-1] == 985
    assert done.lot.last_net_g == 955  # its own tare of 30 g
    assert done.swapped.lot.last_net_g == 1018
    assert done.swapped.preview.change_g == 1018 - 1055
    undo_last(pair.conn, pair.by())
    assert gross(pair, "A1")[-1] == 985
    assert gross(pair, "A2")[-1] == 1020
    assert before is not None


def test_two_right_weights_are_not_asked_about(pair):
    put(pair, "A1", 1010)
    assert ask(pair, "A2", 978)[1].doubts == ()


def test_an_hour_later_it_is_another_weighing(pair):
    put(pair, "A1", 985)
    pair.now += timedelta(hours=3)
    assert "swapped" not in [doubt.kind for doubt in ask(pair, "A2", 1018)[1].doubts]


def test_a_lot_weighed_a_moment_ago_is_not_offered_as_the_one_on_the_scale(pair):
    """A1 has its right weight: what fits it cannot be A1 once more."""
    from datetime import UTC

    put(pair, "A1", 1010)
    lot = require_lot(pair.conn, "A2")
    others = [require_lot(pair.conn, "A1")]
    seen = preview_at(pair.conn, lot, "1010", pair.now, UTC, pair.now, others=lambda: others)
    assert "other-lot" not in [doubt.kind for doubt in seen.doubts]


def test_swap_exchanges_what_the_scale_showed_in_one_change(pair):
    put(pair, "A1", 985)
    put(pair, "A2", 1018)
    one, other = require_lot(pair.conn, "A1"), require_lot(pair.conn, "A2")
    assert [mate.code for mate in swappable(pair.conn, one)] == ["A2"]
    done = swap(pair.conn, pair.by(), one.id, other.id)
    assert (done.one.last_net_g, done.other.last_net_g) == (1018, 955)
    rows = weigh_ins.of_lot(pair.conn, one.id, voided=True)
    assert [row.gross_g for row in rows if row.voided_at] == [985]
    undo_last(pair.conn, pair.by())
    assert require_lot(pair.conn, "A1").last_gross_g == 985
    assert require_lot(pair.conn, "A2").last_gross_g == 1018


def test_what_cannot_be_swapped_says_why(pair):
    one, other = require_lot(pair.conn, "A1"), require_lot(pair.conn, "A2")
    with pytest.raises(Refused, match="two different lots"):
        swap(pair.conn, pair.by(), one.id, one.id)
    put(pair, "A1", 1010)
    with pytest.raises(Refused, match="more than a day apart"):
        swap(pair.conn, pair.by(), one.id, other.id)
    pair.hang("A3", 900, at=pair.now)
    with pytest.raises(Refused, match="its start"):
        swap(pair.conn, pair.by(), one.id, require_lot(pair.conn, "A3").id)


@pytest.fixture
def batch(house) -> House:
    """Three pieces that dry alike, the first in a net."""
    house.batch("B")
    house.hang("B1", 1000, tare_g=25.0, tare_what="net")
    house.hang("B2", 1010)
    house.hang("B3", 980)
    for day, share in ((7, 0.93), (10, 0.905)):
        house.now = HUNG + timedelta(days=day)
        for code, hang_g, tare_g in (("B1", 1000, 25), ("B2", 1010, 0), ("B3", 980, 0)):
            put(house, code, round(hang_g * share + tare_g))
    house.now = HUNG + timedelta(days=13)
    put(house, "B2", 891)
    put(house, "B3", 864)
    return house


def test_a_piece_that_lost_far_more_than_its_siblings_is_asked_about(batch):
    _, seen = ask(batch, "B1", 882)
    assert [doubt.kind for doubt in seen.doubts] == ["siblings"]
    assert "48 g lost in 3 d, where B2 and B3 lost 23 g and 23 g." in seen.doubts[0].question
    assert seen.doubts[0].question.endswith("Was it weighed without its net?")


def test_a_piece_that_dries_as_its_siblings_do_is_not_asked_about(batch):
    assert ask(batch, "B1", 907)[1].doubts == ()
