"""What a command asks before it keeps something: every question, and the way out, on stderr."""

from collections.abc import Callable

import pytest

from tests.cli.conftest import Done

Shell = Callable[..., Done]
WAY_OUT = "Nothing was saved. To save it anyway, give --yes.\n"


@pytest.fixture
def weighed(hanging: Shell) -> Shell:
    """A1 hung at 1080 g net with 28 g of tare, weighed at 1043 g net today."""
    assert hanging("weigh", "A1", "1071 g").code == 0
    return hanging


@pytest.mark.parametrize(
    "words",
    [
        ("weigh", "A1", "1060 g"),
        ("air", "add", "Fridge 2", "3.5C", "78%"),
        ("turn", "A2"),
        ("ph", "A1", "5.2"),
        ("stage", "A1", "equalising"),
        ("finish", "A1"),
        ("finish", "A1", "1000 g"),
        ("rebase", "A1", "trimmed", "--before", "1071 g", "--after", "1040 g"),
        ("divide", "A1", "540 g", "490 g", "--before", "1071 g"),
        ("opened", "A1", "even", "back", "--before", "1060 g"),
    ],
)
def test_a_time_to_come_is_asked_about(weighed: Shell, words: tuple[str, ...]) -> None:
    changes = weighed("history", "--json").json
    asked = weighed(*words, "--at", "tomorrow")
    assert (asked.code, asked.out) == (65, ""), asked.err
    assert "That is 18 h ahead of now. Is the time right?" in asked.err
    assert asked.err.endswith(WAY_OUT)
    assert weighed("history", "--json").json == changes
    kept = weighed(*words, "--at", "tomorrow", "--yes")
    assert kept.code == 0, kept.err


def test_two_clocks_may_differ_by_ten_minutes(hanging: Shell) -> None:
    assert hanging("weigh", "A1", "1071 g", "--at", "2026-11-25T18:10:00Z").code == 0
    assert hanging("weigh", "A1", "1070 g", "--at", "2026-11-25T18:11:00Z").code == 65


def test_every_question_stands_there_and_the_code_once(weighed: Shell) -> None:
    asked = weighed("weigh", "A1", "1333 g")
    assert asked.code == 65
    assert asked.err == (
        "A1 was weighed just now: 1071 g on the scale. Keep both?"
        " 262 g heavier than last time. Was something left on it? " + WAY_OUT
    )


@pytest.mark.parametrize(
    "words",
    [
        ("stage", "A1", "equalising", "--weight", "1500 g", "--tare", "28g"),
        ("stage", "A2", "drying", "--weight", "300 g", "--note", "x"),
        ("finish", "A1", "1500 g"),
        ("finish", "A1", "--pack", "2000 g"),
        ("divide", "A1", "540 g", "300 g"),
        ("rebase", "A1", "trimmed", "--before", "1071 g", "--after", "300 g"),
        ("rebase", "A1", "trimmed", "--before", "300 g", "--after", "290 g"),
        ("opened", "A1", "even", "back", "--before", "300 g"),
    ],
)
def test_a_refusal_that_yes_answers_says_so(weighed: Shell, words: tuple[str, ...]) -> None:
    asked = weighed(*words)
    assert (asked.code, asked.out) == (65, ""), asked.err
    assert asked.err.startswith(words[1]), asked.err
    assert asked.err.count(words[1]) == 1
    assert asked.err.endswith(WAY_OUT), asked.err


def test_a_note_answers_too_where_one_is_wanted(weighed: Shell) -> None:
    asked = weighed("stage", "A2", "drying", "--weight", "1030 g", "--at", "2026-11-02")
    assert asked.code == 65
    assert asked.err.endswith(
        "Nothing was saved. To save it anyway, give --note with a reason, or --yes.\n"
    )


def test_what_can_be_read_in_two_ways_is_typed_anew(weighed: Shell) -> None:
    for words in (("weigh", "A2", "1000 g", "--at", "3/4"), ("turn", "A2", "--at", "3/4")):
        asked = weighed(*words)
        assert asked.code == 65
        assert "--yes" not in asked.err
