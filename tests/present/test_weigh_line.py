"""What the digits of a weigh-in mean, in words."""

from datetime import UTC

import pytest

from curedash.domain.errors import Refused
from curedash.domain.typed.weights import parse_weight_g
from curedash.domain.weighing.doubts import (
    Expectation,
    WeighInContext,
    WeighInEntry,
    weigh_in_doubts,
)
from curedash.present import display_units
from curedash.present.weighing.weigh_line import doubt_answers, echo_parts, echo_words, saved_words
from curedash.services.weighing.weigh import preview
from tests.build import NOW, weighed

LOT = weighed((31, 1534), (24, 1420), (14, 1300), (7, 1164), tare_g=28.0, code="C2")


@pytest.fixture
def in_pounds():
    display_units.show_in("lb")
    yield
    display_units.show_in()


def test_a_weight_above_the_hang_weight_is_called_that():
    # by hand: 9000 − 28 − 1534 = 7438 g
    parts = echo_parts(preview(LOT, "9000 g", NOW, UTC))
    assert "heavier than hung by 7438 g" in parts
    assert not any("lost of" in part or "to go" in part for part in parts)
    for width in (60, 80, 120):
        assert "heavier than hung by 7438 g" in echo_words(preview(LOT, "9000 g", NOW, UTC), width)


def test_the_same_in_pounds(in_pounds):
    # by hand: 20 lb are 9071.8 g; less 28 and 1534 g are 7509.8 g, 16 lb 8.9 oz
    assert "heavier than hung by 16 lb 8.9 oz" in echo_parts(preview(LOT, "20 lb", NOW, UTC))


def test_a_weight_at_the_hang_weight_lost_nothing():
    assert "0.0 % lost from hang 1534 g" in echo_parts(preview(LOT, "1562 g", NOW, UTC))


def question(gross_g: float, **known) -> str:
    return weigh_in_doubts(WeighInEntry(gross_g, 0, at=700_000), WeighInContext(**known))[
        0
    ].question


def test_a_question_words_a_weight_as_the_key_that_keeps_it_does():
    doubt = weigh_in_doubts(WeighInEntry(70, 0, at=700_000), WeighInContext(last_net_g=700))[0]
    assert doubt.question.startswith("70 g is far from the last 700 g. Was it 700 g?")
    assert ("k", "keep 70 g") in doubt_answers(doubt, 70)


def test_a_range_names_its_unit_once():
    here = Expectation("C2", 1068.5, 18.5)
    far = question(900, last_net_g=1071, last_at=600_000, expected=here, division_g=1000)
    assert far == "Expected 1050–1087 g on the scale. Is 900 g right?"
    other = question(800, last_net_g=1071, expected=here, others=(Expectation("C3", 800, 10),))
    assert "(expected 790–810 g)" in other


def test_the_same_question_in_pounds_keeps_every_unit(in_pounds):
    here = Expectation("C2", 1068.5, 18.5)
    far = question(900, last_net_g=1071, last_at=600_000, expected=here, division_g=1000)
    # by hand: 1050 g are 37.04 oz, 1087 g 38.34 oz, 900 g 31.75 oz
    assert display_units.retold(far) == (
        "Expected 2 lb 5 oz–2 lb 6.3 oz on the scale. Is 1 lb 15.7 oz right?"
    )


def refused(text: str) -> str:
    with pytest.raises(Refused) as trouble:
        parse_weight_g(text)
    return display_units.retold(str(trouble.value))


def test_the_most_that_is_taken_is_a_round_number():
    assert refused("999999999").startswith("That is more than 500 kg: type a weight like")


def test_the_most_in_pounds_is_a_round_number_too(in_pounds):
    assert refused("999999999").startswith("That is more than 1100 lb: type a weight like")


def test_a_weight_between_the_ends_of_the_target_is_in_its_pull_window():
    # by hand: 35–40 % of 1000 g hung leave 600–650 g
    lot = weighed((40, 1000), (7, 700))
    told = {net: echo_words(preview(lot, f"{net} g", NOW, UTC), 120) for net in (651, 625, 590)}
    assert told[651].endswith("1 g to go")
    assert told[625].endswith("in its pull window: pull it")
    assert told[590].endswith("60 g past the target")
    kept = weighed((40, 1000), (7, 700), stage="keeping")
    assert "pull it" not in echo_words(preview(kept, "625 g", NOW, UTC), 120)


def test_a_question_names_the_last_weight_as_the_scale_showed_it():
    # by hand: 756 g net and 28 g of hook
    entry = WeighInEntry(70, 28, at=700_000)
    doubt = weigh_in_doubts(entry, WeighInContext(last_net_g=756))[0]
    assert doubt.question == "70 g is far from the last 784 g. Was it 700 g?"


def test_what_was_saved_is_said_in_two_lines():
    seen = preview(LOT, "1100 g", NOW, UTC)
    assert saved_words(LOT, seen, 60, "u") == (
        "Saved C2: 1072 g net · −92 g in 7 d · 30.1 % lost · 75 g to go · u undoes it"
    )
