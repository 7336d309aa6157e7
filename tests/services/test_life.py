"""What really happens to a piece between the bag and the board, each as one story."""

from datetime import UTC

import pytest

from curedash.domain.lot_figures import figures, loss_on, net_now_g
from curedash.services.divide import Cut, Part, divide
from curedash.services.rebase import Rebasing, rebase
from tests.services.conftest import House


def loss(house: House, lot_id: int) -> float:
    lot = house.lot(lot_id)
    found = loss_on(lot.base_g, net_now_g(lot))
    assert found is not None
    return found


def test_cut_in_two_with_trimmings_each_part_keeps_the_loss(house: House) -> None:
    """The worked case of the rules: 1000, now 700, cut into 400 + 280 with 20 trimmed."""
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
    """The worked case of the rules: hang 5000, now 4000, 400 g lard on: 35 % is 3650 on it."""
    lot_id = house.hang("C1", 5000, target_lo_pct=35.0)
    house.weigh(lot_id, 4000, days=30)
    done = rebase(house.conn, house.by(), lot_id,
                  Rebasing("larded", 4400, house.now, before_g=4000))  # fmt: skip
    assert (done.tare_before_g, done.tare_after_g) == (0, 400)
    assert loss(house, lot_id) == pytest.approx(20)
    target = figures(done.lot, house.now, UTC).target_g
    assert target is not None
    assert target[1] + done.lot.tare_g == pytest.approx(3650)
    assert house.weigh(lot_id, 3900).preview.loss_pct == pytest.approx(30)
