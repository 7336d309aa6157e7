"""The JSON written and read without the library, against the library."""

import json
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from curedash.domain.fast_json import dumps, loads, loads_numbers, pretty

ATOMS = (
    st.none()
    | st.booleans()
    | st.integers()
    | st.floats(allow_nan=False, allow_infinity=False)
    | st.text(max_size=8)
)
VALUES = st.recursive(
    ATOMS,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=5), inner),
    max_leaves=20,
)
NUMBERS = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False, allow_infinity=False),
    lambda inner: st.lists(inner, max_size=4),
    max_leaves=20,
)


@given(VALUES)
def test_it_writes_what_the_library_writes(value: Any) -> None:
    assert dumps(value) == json.dumps(value)
    assert pretty(value) == json.dumps(value, ensure_ascii=False, indent=2)


def test_what_json_has_no_number_for_is_refused() -> None:
    with pytest.raises(ValueError, match="not a JSON number"):
        pretty([float("nan")])


@given(VALUES)
def test_it_reads_what_the_library_reads(value: Any) -> None:
    assert loads(json.dumps(value)) == value


@given(st.lists(NUMBERS, max_size=4))
def test_it_reads_lists_of_numbers(value: list[Any]) -> None:
    assert loads_numbers(json.dumps(value)) == value
    assert loads_numbers(json.dumps(value, separators=(",", ":"))) == value


@pytest.mark.parametrize("text", ["", "[", "[1]]", "[1, 2", '["a]', '["a\\"b"]', "[one]", "[1][2]"])
def test_what_is_no_such_list_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match=r"."):
        loads_numbers(text)
