"""The Book's sums against numpy; what is felt and what is offered."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from curedash.domain.drying.inspections import (
    FIRMNESSES,
    RIMS,
    SMELLS,
    Felt,
    Mould,
    chosen,
    offers,
    usual_offer,
)
from curedash.domain.errors import Refused
from curedash.domain.household.book import spread
from curedash.domain.weighing.rebase_reasons import REASONS, kind_of


@given(st.lists(st.floats(0, 1000), min_size=1, max_size=40))
def test_spread_is_the_median_and_the_middle_half(values: list[float]) -> None:
    found = spread(values)
    assert found is not None
    ends = (25, 75) if len(values) >= 5 else (0, 100)
    # numpy.percentile, method "linear": Hyndman & Fan 1996, type 7
    expected = np.percentile(values, [50, *ends])
    assert (found.median, found.lo, found.hi) == pytest.approx(tuple(expected))


def test_unknown_values_do_not_count() -> None:
    assert spread([None, None]) is None
    found = spread([None, 3.0])
    assert found is not None
    assert found.n == 1


@pytest.mark.parametrize("rim", RIMS)
@pytest.mark.parametrize("firmness", FIRMNESSES)
@pytest.mark.parametrize("smell", SMELLS)
def test_every_answer_gets_the_same_ways_in_one_order_and_a_bad_smell_a_decision(
    rim: str, firmness: str, smell: str
) -> None:
    felt = Felt(rim, firmness, smell)
    found = offers(felt, thickness_mm=60)
    steps = [offer.step for offer in found]
    assert steps == {
        "clean": ["keep-drying", "equalise", "slice"],
        "ammonia": ["keep-drying", "equalise", "decide"],
    }.get(smell, ["put-aside", "throw-away", "decide"])
    usual = steps[usual_offer(felt, found)]
    if smell == "clean":
        assert (usual == "equalise") is (rim == "hard" or (rim, firmness) == ("slight", "soft"))
    else:
        assert usual == ("decide" if smell == "ammonia" else "put-aside")
    # what never hung is neither sliced nor softened
    young = [offer.step for offer in offers(felt, thickness_mm=60, stage="in-cure")]
    assert young == {"clean": ["go-on"], "ammonia": ["go-on", "decide"]}.get(smell, steps)


def test_equalising_days_are_those_of_the_thickness_or_left_open() -> None:
    # rules 2.6: 45, 60, 75 and 90 mm round: 10, 17, 26 and 37 d
    found = [
        next(
            o.days
            for o in offers(Felt("hard", "firm", "clean"), thickness_mm=mm, shape="round")
            if o.step == "equalise"
        )
        for mm in (45, 60, 75, 90)
    ]
    assert found == [10, 17, 26, 37]
    assert offers(Felt("hard", "firm", "clean"), thickness_mm=None)[1].days is None


@pytest.mark.parametrize(
    ("colour", "texture", "asks"),
    [
        ("white", "powdery", False),
        ("black", "powdery", True),
        ("red", "fluffy", True),
        ("white", "slimy", True),
        ("green", "fluffy", False),
    ],
)
def test_black_red_and_slimy_growth_asks_for_a_decision(
    colour: str, texture: str, asks: bool
) -> None:
    assert Mould(colour, texture, "spots", "left").asks_decision is asks


def test_words_are_taken_by_their_beginning_only_if_it_fits_one() -> None:
    assert chosen(" Spring ", FIRMNESSES, "firmness") == "springy"
    with pytest.raises(Refused, match="For the firmness type soft, springy or firm"):
        chosen("s", FIRMNESSES, "firmness")
    with pytest.raises(Refused):
        chosen("", RIMS, "rim")


def test_every_reason_names_its_kind_and_own_words_need_one() -> None:
    for reason, kind in REASONS.items():
        assert kind_of(reason.upper()) == (kind, reason)
    assert kind_of("rind off", "removed") == ("removed", "rind off")
    for typed, kind in (("", None), ("rind off", None), ("x" * 300, "tare"), ("trimmed", "other")):
        with pytest.raises(Refused):
            kind_of(typed, kind)
