"""Frozen records: made from fields or from a row, and equal whichever way they were made."""

import copy
import pickle

import pytest

from curedash.domain.record import as_dict, field_names, from_row, record, replace, row_record
from tests.build import lot


@record
class Plain:
    net_g: float
    tare_g: float = 0.0


@row_record
class Row:
    net_g: float
    tare_g: float = 0.0

    @property
    def gross_g(self) -> float:
        return self.net_g + self.tare_g


@pytest.mark.parametrize("kind", [Plain, Row])
def test_made_by_place_by_name_and_with_what_is_given_once(kind) -> None:
    made = kind(1015.0, tare_g=28.0)
    assert (made.net_g, made.tare_g) == (1015.0, 28.0)
    assert kind(1015.0).tare_g == 0.0
    assert made == kind(net_g=1015.0, tare_g=28.0)
    assert made != kind(1015.0)
    assert hash(made) == hash(kind(1015.0, 28.0))
    assert repr(made) == f"{kind.__name__}(net_g=1015.0, tare_g=28.0)"
    assert field_names(kind) == ("net_g", "tare_g")
    assert as_dict(made) == {"net_g": 1015.0, "tare_g": 28.0}
    assert replace(made, tare_g=0.0) == kind(1015.0)
    assert copy.copy(made) == made


@pytest.mark.parametrize("kind", [Plain, Row])
@pytest.mark.parametrize(
    ("values", "named"),
    [
        ((), {}),
        ((1.0, 2.0, 3.0), {}),
        ((1.0,), {"cured_g": 2.0}),
        ((), {"tare_g": 2.0}),
        ((1.0,), {"net_g": 2.0}),
    ],
)
def test_too_few_too_many_and_strange_fields_are_refused(kind, values, named) -> None:
    with pytest.raises(TypeError, match=kind.__name__):
        kind(*values, **named)


@pytest.mark.parametrize("kind", [Plain, Row])
def test_nothing_in_it_can_be_changed(kind) -> None:
    made = kind(1015.0)
    with pytest.raises(AttributeError):
        made.net_g = 1.0
    with pytest.raises(AttributeError):
        made.colour = "red"
    with pytest.raises(TypeError, match="colour"):
        replace(made, colour="red")


def test_a_row_is_the_record() -> None:
    made = from_row(Row, (1015.0, 28.0))
    assert made == Row(1015.0, 28.0)
    assert made.gross_g == 1043.0
    assert made != (1015.0, 28.0), "a record is equal to its own kind only"


def test_a_lot_goes_through_a_pickle() -> None:
    assert pickle.loads(pickle.dumps(lot(code="B2"))) == lot(code="B2")
