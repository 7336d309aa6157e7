"""Pieces under way in the form of a new batch, read: whatever is typed, nothing raises."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from curedash.domain.curing.stages import IN_CURE
from curedash.present.display_units import show_in
from curedash.present.dosing.form.batch_fields import FIELDS, field, help_words, label, options
from curedash.present.dosing.form.batch_follows import effective
from curedash.present.dosing.form.batch_layout import rows
from curedash.present.dosing.form.batch_lines import LABEL
from curedash.present.dosing.form.batch_reading import read_form
from curedash.present.words import cells, wrapped
from curedash.services.dosing.take_in import UNDER_WAY
from tests.hostile import HOSTILE
from tests.present.test_batch_reading import NOW, START, UTC

FOUR = {"style": "bresaola", "now": IN_CURE, "since": "-4d", "how_many": "4"}
TYPED = [
    each.id
    for each in FIELDS.values()
    if each.kind not in ("choice", "fold") and each.when in ("under-way", "always")
]


def read(**typed):
    return read_form(effective(typed, START), START, NOW, UTC)


def test_where_and_since_when_is_all_that_must_be_known():
    found = read(style="bresaola", now=IN_CURE)
    assert (set(found.wanted), found.ready) == ({"since"}, False)
    spec = read(**FOUR).under_way
    assert spec is not None
    assert (spec.name, spec.stage, len(spec.pieces)) == ("air-dried beef", IN_CURE, 4)
    assert {(p.green_g, p.thickness_mm, p.weight_g) for p in spec.pieces} == {(None, None, None)}


def test_a_roast_gives_each_piece_an_estimate_with_its_range():
    # 2300 g less 5 % trim in four: 546.25 g, ± 15 %
    spec = read(**FOUR, weighed="roast 2.3 kg").under_way
    assert {piece.green_g for piece in spec.pieces} == {546.25}
    assert spec.pieces[3].green_pm_g == pytest.approx(81.9375)


def test_as_many_pieces_as_weights_and_of_each_its_own_thickness():
    spec = read(style="lonza", now="drying", since="-9d", weighed="828 788", thickness="60 55")
    assert [piece.weight_g for piece in spec.under_way.pieces] == [828.0, 788.0]
    assert [piece.thickness_mm for piece in spec.under_way.pieces] == [60.0, 55.0]


def test_roast_shop_price_and_use_by_day_go_with_the_pieces():
    spec = read(**FOUR, source="1", **{"shop:0": "market", "price:0": "38,20 EUR"}, use_by="2 Dec")
    (roast,) = spec.under_way.sources
    assert (roast.name, roast.shop, roast.price, roast.use_by) == (
        "roast 1",
        "market",
        38.2,
        "2026-12-02",
    )
    assert {piece.source for piece in spec.under_way.pieces} == {"roast 1"}


@settings(max_examples=200, deadline=None)
@given(
    st.dictionaries(st.sampled_from(TYPED), st.text(max_size=60), max_size=6),
    st.sampled_from(UNDER_WAY),
    st.sampled_from(["bresaola", "salami-thin", "coppa", ""]),
)
def test_any_text_in_any_fields(typed, stage, style):
    found = read(**({"style": style, "now": stage, "since": "-4d"} | typed))
    assert found.spec is None
    if found.under_way is not None:
        assert found.under_way.name.strip()
        assert found.known


@pytest.mark.parametrize("text", HOSTILE)
def test_hostile_text_in_every_field(text):
    for field_id in TYPED:
        read(**(FOUR | {field_id: text}))


@pytest.mark.parametrize("units", [("g", "C", "mm"), ("lb", "F", "in")])
@pytest.mark.parametrize("stage", UNDER_WAY)
def test_what_is_said_of_a_field_fits_at_sixty_columns(stage, units):
    show_in(*units)
    try:
        values = effective({"style": "bresaola", "now": stage}, START)
        for field_id in (each for row in rows(values, 2, ["roast 1"]) for each in row):
            assert cells(label(field_id, values)) < LABEL
            words = f"{field(field_id).label}: {help_words(field_id)}"
            most = 1 if options(field_id, values, START) else 2
            assert " ".join(wrapped(words, 60, most)) == words
    finally:
        show_in()
