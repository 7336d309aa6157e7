"""Two weights entered for each other's lot, at the keys of the Rack, the Round and one lot."""

KEPT = (
    "SELECT lot.code, weigh_in.gross_g FROM weigh_in JOIN lot ON lot.id = weigh_in.lot_id"
    " WHERE weigh_in.voided_at IS NULL AND lot.code IN ('C1', 'C2')"
    " ORDER BY weigh_in.at DESC, weigh_in.id DESC LIMIT 2"
)


async def test_a_swapped_pair_in_the_round_is_put_right_by_one_key(household, sit):
    async with sit(household()) as seat:
        await seat.type("r970\rk")  # kept although it fits another lot
        await seat.type("1140\r")
        said = " ".join(seat.text().split())
        assert "1140 g fits C1, and the 970 g of C1 fit C2. Were the two swapped?" in said
        assert "y swap with C1" in said
        await seat.type("y")
        assert sorted(seat.ask(KEPT)) == [("C1", 1140.0), ("C2", 970.0)]
        assert "ROUND   3/5" in seat.text()
        assert "Saved and swapped: C2 970 g, C1 1140 g" in seat.text()
        await seat.press("u")
        assert sorted(seat.ask(KEPT))[0] == ("C1", 970.0)
        assert "ROUND   2/5" in seat.text()


async def test_the_question_can_be_answered_with_as_typed(household, sit):
    async with sit(household()) as seat:
        await seat.type("r970\rk1140\rk")
        assert sorted(seat.ask(KEPT)) == [("C1", 970.0), ("C2", 1140.0)]


async def test_a_key_on_a_lot_swaps_its_newest_weigh_in_with_anothers(household, sit):
    async with sit(household()) as seat:
        await seat.type("r970\rk1140\rkq")
        row = next(n for n, line in enumerate(seat.lines()) if " C1 " in line)
        assert row
        await seat.press("slash")
        await seat.type("C1\r")
        await seat.press("e", "4")
        assert "swap its newest weigh-in with which lot" in seat.text()
        assert "C2 1140 g" in seat.text()
        await seat.type("C2\r")
        assert sorted(seat.ask(KEPT)) == [("C1", 1140.0), ("C2", 970.0)]
        assert "Swapped: C1 1140 g, C2 970 g on the scale. u undoes both." in seat.text()
        await seat.press("u")
        assert sorted(seat.ask(KEPT)) == [("C1", 970.0), ("C2", 1140.0)]


async def test_a_lot_that_was_not_weighed_lately_has_nothing_to_swap(household, sit):
    async with sit(household()) as seat:
        await seat.press("slash")
        await seat.type("D1\r")
        await seat.press("e", "4")
        assert "nothing to swap" in seat.text()
