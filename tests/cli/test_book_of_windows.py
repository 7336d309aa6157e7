"""``curedash book --sum`` says how the pull windows of the finished lots did."""

from collections.abc import Callable

from tests.cli.conftest import Done

Shell = Callable[..., Done]


def _dried(hanging: Shell) -> None:
    """A1, hung at 1080 g net on 16 November, weighed weekly to 35 % and finished."""
    for day, lost in (
        ("2026-11-23", 0.10),
        ("2026-11-30", 0.17),
        ("2026-12-07", 0.22),
        ("2026-12-14", 0.27),
        ("2026-12-21", 0.31),
        ("2026-12-28", 0.345),
        ("2027-01-04", 0.375),
    ):
        gross_g = 28 + 1080 * (1 - lost)
        done = hanging("--now", f"{day}T18:00:00Z", "weigh", "A1", f"{gross_g:.0f} g", "--yes")
        assert done.code == 0, done.err
    done = hanging("--now", "2027-01-05T18:00:00Z", "finish", "A1", "--yes")
    assert done.code == 0, done.err


def test_the_sum_says_how_the_windows_did_by_style_and_place(hanging: Shell) -> None:
    _dried(hanging)
    past = hanging("--now", "2027-01-06T18:00:00Z", "forecast", "--past", "--json").json
    summed = hanging("--now", "2027-01-06T18:00:00Z", "book", "--sum", "--json").json
    assert summed["windows"] == past["scores"]
    overall, by_kind = summed["windows"]
    assert (overall["style"], overall["lots"]) == (None, 1)
    assert by_kind["style"] == "air-dried beef"
    assert overall["windows"] == by_kind["windows"] == len(past["windows"]) > 2
    lines = hanging("--now", "2027-01-06T18:00:00Z", "book", "--sum").out.splitlines()
    assert lines[-2].startswith(f"windows of all: {overall['windows']} windows of 1 lot, ")
    assert lines[-1].startswith("windows of air-dried beef, ")


def test_only_windows_of_the_lots_asked_for_are_scored(hanging: Shell) -> None:
    _dried(hanging)
    now = ("--now", "2027-01-06T18:00:00Z")
    assert hanging(*now, "book", "--sum", "--style", "bresaola", "--json").json["windows"]
    assert hanging(*now, "book", "--sum", "--style", "coppa", "--json").json["windows"] == []
    assert hanging(*now, "book", "--sum", "--json", "nothing-of-that").json["windows"] == []
