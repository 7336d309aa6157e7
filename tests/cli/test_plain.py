"""``--plain``: what a screen reader says. One mechanism, held over every command that lists.

A paragraph is a record, a line a sentence; nothing is drawn, cut or a bare sign. What a sign sounds
like was found by reading the output with a speech synthesiser (espeak-ng) into a file.
"""

import re
from collections.abc import Callable

import pytest

from curedash.present.aloud import DAYS, MONTHS, UNITS, sentence
from tests.cli import test_json
from tests.cli.conftest import Done
from tests.cli.test_json import demo, household, lines  # noqa: F401 (fixtures)

Shell = Callable[..., Done]
SIGNS = set("▁▂▃▄▅▆▇█░│┊─…•≈~–−·°%×→≥≤±—")
PAPERS = [["record", "D1"], ["handover", "--days", "3"], ["label", "D1"], ["dose-sheet", "D1"]]
CASES = [*(words for cases in test_json.CASES.values() for words in cases), *PAPERS]
#: what the usual output has in signs and short words
SHORT = (
    *UNITS,
    "RH",
    "x",
    "NaNO2",
    "NaNO3",
    "KNO3",
    "NaCl",
    *(name[:3] for name in (*MONTHS, *DAYS)),
)
WORDED = {part for word in SHORT for part in re.findall(r"\w+", word.lower())}


def spoken(done: Done) -> list[str]:
    """Its paragraphs, after each line was found to be a sentence."""
    assert done.out == "" or not done.out.startswith("\n")
    for line in done.out.splitlines():
        assert not line or line.endswith((".", "?", "!", ":")), line
        assert line == line.strip()
        assert "  " not in line
        assert "___" not in line
        assert not set(line) & SIGNS, line
    return done.out.rstrip("\n").split("\n\n")


#: commands that change nothing, so that they can be asked twice
ONLY_READ = (
    *("sheet", "book", "history", "check", "dose", "cure-time", "forecast", "plan"),
    *("style list", "style show", "jar list", "rules list", "settings list", "place list"),
    *("sensor list", "air last", "label"),
)


@pytest.mark.parametrize("words", CASES, ids=lambda words: "-".join(words)[:60])
def test_every_answer_can_be_read_aloud_and_is_whole(household: Shell, words: list[str]) -> None:  # noqa: F811
    *before, last = lines(words)
    for line in before:
        household(*line)
    done = household(*last, "--plain")
    spoken(done)
    if last[0] in ONLY_READ or " ".join(last[:2]) in ONLY_READ:
        usual = household(*last)
        assert done.code == usual.code
        heard = set(re.findall(r"\w+", done.out.lower()))
        gone = set(re.findall(r"\w+", usual.out.lower())) - heard - WORDED
        assert {
            word for word in gone if word.strip("_") and not (word.isdigit() and len(word) < 3)
        } == (set())


def test_a_record_is_a_paragraph(household: Shell) -> None:  # noqa: F811
    for command in (["pack"], ["place", "list"], ["jar", "list"], ["style", "list"], ["check"]):
        assert len(spoken(household(*command, "--plain"))) == len(
            household(*command, "--json").json
        )


def test_it_stands_anywhere_and_in_the_environment(
    household: Shell,  # noqa: F811
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    said = household("place", "list", "--plain").out
    assert said == household("--plain", "place", "list").out != household("place", "list").out
    monkeypatch.setenv("CUREDASH_PLAIN", "1")
    assert said == household("place", "list").out


@pytest.mark.parametrize(
    "words",
    [
        ["place", "list", "--json"],
        ["calendar", "--format", "ics"],
        ["style", "show", "bresaola", "--toml"],
        ["record", "D1", "--format", "html"],
        ["completion", "--line", "curedash weigh D"],
        ["completion", "bash"],
    ],
    ids=lambda words: "-".join(words[:3]),
)
def test_what_programs_read_stays_as_it_is(household: Shell, words: list[str]) -> None:  # noqa: F811
    assert household(*words, "--plain").out == household(*words).out != ""


def test_no_name_is_cut(household: Shell) -> None:  # noqa: F811
    name = "air-dried beef as it is done in the valley behind the mill"
    household("style", "copy", "bresaola", "ours")
    household("style", "set", "ours", "--name", name)
    assert name in household("style", "list", "--plain").out
    assert name in household("style", "list").out
    note = "firm at both ends and a soft spot near the tip that gave way under the thumb"
    household("note", "D1", note)
    number = household("history", "--json").json[0]["change"]
    assert note in household("history", "--change", str(number), "--plain").out


def test_the_forecast_is_not_drawn(household: Shell) -> None:  # noqa: F811
    assert household("forecast", "D1", "--plot", "--plain").out == (
        household("forecast", "D1", "--plain").out
    )


def test_silence_is_no_answer(shell: Shell, db_path: str) -> None:
    from curedash.store.open import open_db

    open_db(db_path, create=True).close()
    assert shell("check", "--plain").out == "Nothing needs you.\n"


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("A1  1 d, 2 d, 1.5 h", "A1, 1 day, 2 days, 1.5 hours."),
        ("pull window: 3–10 Dec", "pull window: 3 to 10 December."),
        ("F1 12 Dec–3 Jan", "F1 12 December to 3 January."),
        (
            "−15 °C or colder, −3–2 °C",
            "minus 15 degrees Celsius or colder, minus 3 to 2 degrees Celsius.",
        ),
        (
            "2 lb 4.8 oz, 3 1/2 oz, NaNO2",
            "2 pounds 4.8 ounces, 3 and one half ounces, sodium nitrite.",
        ),
        (
            "12.2 (11.6–12.8) °C, 84 (81–88) %",
            "12.2 (11.6 to 12.8) degrees Celsius, 84 (81 to 88) percent.",
        ),
        ("[ ] salt      28.6 g", "not done: salt, 28.6 grams."),
        ("lot D2, nitrited-0.4 on 2026-12-03", "lot D2, nitrited-0.4 on 3 December 2026."),
        (
            "0.72 %/d, 667 °C·h, ±2 g",
            "0.72 percent a day, 667 degree hours Celsius, plus or minus 2 grams.",
        ),
    ],
)
def test_signs_and_units_are_words(line: str, said: str) -> None:
    assert sentence(line) == said
