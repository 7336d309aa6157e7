"""A place as a row: whatever is read and wanted, it fits; the dot says on which side it lies."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from curedash.domain.record import replace
from curedash.domain.records import Place, Reading
from curedash.present import signs
from curedash.present.places.air import about_lines
from curedash.present.places.place_row import END, HERE, band_bar, days_line, heads, place_row
from curedash.present.words import cells, text_of
from curedash.services.places.air_view import PlaceAir

PLACE = Place(1, "Cellar below the stairs", 9.0, 14.0, 70.0, 80.0, "sensor", None)
READ = PlaceAir(PLACE, (), Reading(0, 12.4, 83.0), 30.0, 6400.0, 5, None)
numbers = st.one_of(st.none(), st.floats(-60, 200))


@given(numbers, numbers, numbers, st.integers(3, 21))
def test_a_bar_has_its_width_and_its_dot_on_the_right_side(value, low, high, width):
    bar = band_bar(value, low, high, width)
    assert cells(bar) == width + 2
    if value is None or (low is None and high is None):
        assert HERE not in bar
        return
    below = low is not None and value < low - 1e-9
    above = high is not None and value > high + 1e-9 and not below
    at = bar.index(HERE)
    assert (at == 0, at == width + 1) == (below, above)


@given(st.lists(numbers, max_size=7), numbers, numbers)
def test_a_cell_a_day_and_a_gap_where_nothing_was_read(means, low, high):
    line = days_line(means, low, high)
    if any(mean is not None for mean in means):
        assert [cell == " " for cell in line] == [mean is None for mean in means]
    else:
        assert line == ""


@pytest.mark.parametrize("width", [40, 45, 59, 60, 80, 99, 100, 120, 160])
@pytest.mark.parametrize("last", [READ.last, Reading(0, None, 101.0), Reading(0, -40.0, None)])
def test_a_row_is_as_wide_as_its_heads_and_fits(width, last):
    row = text_of(
        place_row(replace_last(last), [12.0, None, 13.0, 9.0, 20.0, 1.0, 12.0], "", width)
    )
    assert cells(row.rstrip()) <= width
    assert cells(heads(width)) <= width
    head = heads(width)
    assert row.rstrip()[: head.index("age") + 3].endswith("now")
    assert row[head.index("in band") :].startswith((" " + END, "  ", HERE))


def replace_last(last: Reading) -> PlaceAir:
    return PlaceAir(PLACE, (), last, 30.0, 6400.0, 5, None)


def test_a_place_nobody_measures_says_so():
    silent = PlaceAir(replace(PLACE, watch="not-watched"), (), None, None, 0.0, 0, None)
    assert "nobody measures here" in text_of(place_row(silent, [None] * 7, "", 80))


@pytest.mark.parametrize("name", signs.SETS)
def test_the_bar_is_read_in_every_set_of_signs(name):
    inside, out = (signs.in_set(name, band_bar(value, 9, 14, 7)) for value in (12.4, 15.0))
    assert inside != out
    assert len(set(inside)) >= 3


@pytest.mark.parametrize("watch", ["not-watched", "sensor"])
@pytest.mark.parametrize("width", [80, 99, 100, 120, 160])
def test_what_hangs_is_named_although_nothing_was_read(width, watch):
    """In the columns where it stands for a place that was read."""
    unread = replace(READ, place=replace(PLACE, watch=watch), last=None, age_s=None)
    read = text_of(place_row(READ, [None] * 7, "", width))
    row = text_of(place_row(unread, [None] * 7, "", width))
    end = heads(width).index("lots") + 4
    assert row[end - 13 : end] == read[end - 13 : end]
    assert row[end - 13 : end].split() == ["6.4", "kg", "5"]
    assert cells(row.rstrip()) <= width


@pytest.mark.parametrize(("lots", "said"), [(0, False), (5, True)])
def test_lots_whose_air_nobody_has_read_are_named_once_beside_the_place(lots, said):
    place = replace(PLACE, watch="not-watched")
    about = about_lines(PlaceAir(place, (), None, None, 0.0, lots, None), 0.0)
    words = f"{lots} lots are here, and nobody has read the air around them yet."
    assert (words in about) is said
