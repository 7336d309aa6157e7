"""Weights without a unit where pounds are shown: each question that asks for one reads them alike.

By hand with 1 lb = 453.59237 g and 1 oz = 28.349523125 g (NIST SP 811, appendix B.8).
"""

import pytest

from curedash.domain.typed.shares import shares_with_units, typed_shares
from curedash.present.display_units import show_in, typed_weight
from curedash.tui.prompts.lot_typed import weights_in

LB, OZ = 453.59237, 28.349523125


@pytest.fixture(autouse=True)
def in_pounds():
    show_in("lb", "F", "in")
    yield
    show_in()


async def test_hung_with_a_hook(household, sit):
    async with sit(household()) as seat:
        await seat.press(*["down"] * 5)
        await seat.press("s", "enter")
        await seat.type("3 6\r")
        assert "e.g. 1 oz hook and net" in seat.text()
        await seat.type("28 hook\r")
        assert "28 oz or 28 g? Type the unit after it." in seat.text()
        await seat.press("ctrl+u")
        await seat.type("1 oz hook\r2\r")
        kept = seat.ask("SELECT stage, hang_g, tare_g FROM lot WHERE code = 'D2'")
        assert kept == [("drying", pytest.approx(3 * LB + 5 * OZ), pytest.approx(OZ))]


async def test_a_guess_with_its_spread_in_the_same_unit(household, sit):
    async with sit(household()) as seat:
        await seat.press(*["down"] * 5)
        await seat.press("s", "enter")
        assert "oz ±1.5 oz" in seat.text()
        await seat.type("54 ±1.5\r\r2\r")
        kept = seat.ask("SELECT hang_g, hang_pm_g FROM lot WHERE code = 'D2'")
        assert kept == [(pytest.approx(54 * OZ), pytest.approx(1.5 * OZ))]


async def test_divided(household, sit):
    async with sit(household()) as seat:
        last_g = seat.ask(
            "SELECT gross_g FROM weigh_in w JOIN lot ON lot.id = lot_id"
            " WHERE code = 'C1' ORDER BY w.id DESC LIMIT 1"
        )[0][0]
        assert 42 * OZ < last_g < 45 * OZ
        assert weights_in("24 18", last_g) == pytest.approx((24 * OZ, 18 * OZ))
        assert weights_in("680 510", last_g) == (680.0, 510.0)
        await seat.press("enter", "Y")
        await seat.type("24 18")
        assert "1 lb 8 oz + 1 lb 2 oz = 2 lb 10 oz" in seat.text()


def test_shares_of_a_mixed_pack():
    text = shares_with_units("1 4 D1 0 12", "C2", typed_weight)
    assert typed_shares(text, "C2") == (
        ("C2", pytest.approx(LB + 4 * OZ)),
        ("D1", pytest.approx(12 * OZ)),
    )
    assert shares_with_units("C2 4 oz + D1 80 g", None, typed_weight) == "C2 4 oz D1 80 g"
