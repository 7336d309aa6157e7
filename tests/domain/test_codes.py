"""Codes of batches, lots and parts."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from curedash.domain.errors import CuredashError, Refused
from curedash.domain.household.codes import (
    LETTERS,
    batch_code,
    batch_number,
    lot_code,
    next_batch_code,
    parse_lot_code,
    part_code,
)

numbers = st.integers(0, 20_000)


def test_the_letters_leave_out_i_and_o() -> None:
    codes = [batch_code(number) for number in range(24 + 24 * 24)]
    assert "".join(codes[:24]) == "ABCDEFGHJKLMNPQRSTUVWXYZ" == LETTERS
    assert codes[24:26] == ["AA", "AB"]
    assert codes[-1] == "ZZ"
    assert len(set(codes)) == len(codes)
    assert not set("".join(codes)) & set("IO")


@given(numbers)
def test_a_batch_code_counts_back(number: int) -> None:
    assert batch_number(batch_code(number)) == number


def test_a_gap_is_never_filled() -> None:
    assert next_batch_code(["A", "B", "D"]) == "E"
    assert next_batch_code(["H"]) == "J"
    assert next_batch_code(["Z", "B"]) == "AA"


def test_parts_take_the_next_letter_of_their_own_lot() -> None:
    assert part_code("C2", ["C2", "C21", "C2a", "C2aa", "C3b"]) == "C2b"
    assert part_code("C2", ["C2h"]) == "C2j"
    with pytest.raises(Refused):
        part_code("C2", ["C2z"])


@given(numbers, st.integers(1, 999), st.sampled_from(["", "a", "bz"]))
def test_a_code_is_read_back_however_it_is_typed(batch: int, number: int, part: str) -> None:
    code = lot_code(batch_code(batch), number) + part
    assert parse_lot_code(code) == code
    assert parse_lot_code(f" {code.lower()} ") == code
    assert parse_lot_code(code.upper()) == code


@pytest.mark.parametrize(
    "text", ["", "2", "C", "I1", "O2", "C0", "C02", "C2i", "C2-1", "ℂ2", "C²", "🥩1", "C" * 400]
)
def test_what_is_no_code_is_refused(text: str) -> None:
    with pytest.raises(Refused):
        parse_lot_code(text)


@given(st.text(max_size=60))
def test_no_text_raises_anything_else(text: str) -> None:
    try:
        code = parse_lot_code(text)
    except CuredashError:
        return
    assert parse_lot_code(code) == code
