"""A lot that is hung from the shell says where it hangs."""

import pytest

AT = ("drying", "--at", "2026-11-20", "--note", "as planned", "--tare", "28g", "--weight")
HUNG = ("stage", "A1", *AT, "1108 g")
NEXT = ("stage", "A2", *AT, "1010 g")


@pytest.fixture
def two_places(shell, batch):
    assert batch.code == 0, batch.err
    assert shell("place", "add", "Chamber", "--temp", "10..14C", "--rh", "70..80%").code == 0
    return shell


def place_of(shell, code):
    return {lot["code"]: lot["place"] for lot in shell("lots", "--json").json}[code]


def test_the_only_place_is_said(shell, batch):
    done = shell(*HUNG)
    assert done.code == 0, done.err
    assert (
        "A1: hangs in Fridge 2, the only place there is; --place names another place." in done.err
    )
    assert place_of(shell, "A1") == "Fridge 2"


def test_a_place_that_is_not_cold_is_where_the_first_lot_hangs(two_places):
    done = two_places(*HUNG)
    assert done.code == 0, done.err
    assert (
        "A1: hangs in Chamber, which is neither cold nor warm; --place names another place."
        in done.err
    )
    assert place_of(two_places, "A1") == "Chamber"
    moved = two_places(*NEXT)
    assert "A2: hangs in Chamber, where its batch hangs; --place names another place." in moved.err


def test_a_warm_place_is_not_proposed_to_dry_in(shell, batch):
    assert shell("place", "add", "Loft", "--temp", "20..26C").code == 0
    asked = shell(*HUNG)
    assert asked.code == 65
    assert "A1: does it hang in Fridge 2, where it is now, or in Loft?" in asked.err


def test_a_place_that_was_named_is_where_it_hangs(two_places):
    done = two_places(*HUNG, "--place", "Fridge 2")
    assert done.code == 0, done.err
    assert "--place" not in done.err
    assert place_of(two_places, "A1") == "Fridge 2"


def test_two_places_nobody_knows_anything_of_are_asked_about(shell, batch):
    assert shell("place", "add", "Shed").code == 0
    asked = shell(*HUNG)
    assert asked.code == 65
    assert "A1: does it hang in Fridge 2, where it is now, or in Shed?" in asked.err
    assert "--place" in asked.err
    assert place_of(shell, "A1") == "Fridge 2"
    kept = shell(*HUNG, "--yes")
    assert kept.code == 0
    assert "A1: hangs in Fridge 2, where it was; --place names another place." in kept.err


def test_the_place_where_the_style_hung_last_is_next(two_places):
    assert two_places("place", "add", "Cellar", "--temp", "12..15C").code == 0
    assert two_places(*HUNG, "--place", "Cellar").code == 0
    assert two_places("stage", "A1", "equalising", "--place", "Fridge 2", "--yes").code == 0
    moved = two_places(*NEXT)
    assert (
        "A2: hangs in Cellar, where air-dried beef hung last; --place names"
        " another place." in moved.err
    )


def test_a_lot_that_is_hung_again_goes_where_it_hung_before(two_places):
    assert two_places(*HUNG).code == 0
    assert two_places("stage", "A1", "equalising", "--place", "Fridge 2", "--yes").code == 0
    again = two_places("stage", "A1", "drying", "--yes")
    assert again.code == 0, again.err
    assert "A1: hangs in Chamber, where it hung before; --place names another place." in again.err
    assert place_of(two_places, "A1") == "Chamber"


def test_several_lots_are_each_said(two_places):
    assert two_places(*HUNG).code == 0
    moved = two_places(*NEXT, "--place", "Fridge 2")
    assert moved.code == 0
    assert two_places("stage", "A1", "A2", "equalising", "--place", "Fridge 2", "--yes").code == 0
    again = two_places("stage", "A1", "A2", "drying", "--yes")
    assert again.code == 0, again.err
    assert "A1: hangs in Chamber, where it hung before" in again.err
    assert "A2: hangs in Fridge 2, where it was" in again.err
