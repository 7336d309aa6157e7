"""Completion: scripts that the shells themselves can read, and candidates that fit."""

import shutil
import subprocess
from collections.abc import Callable

import pytest

from curedash.cli.verbs import VERBS, parser_of, second_words
from tests.cli.conftest import Done

Shell = Callable[..., Done]


def of(shell: Shell, line: str) -> list[str]:
    done = shell("completion", "--line", line)
    assert done.code == 0
    return done.out.split("\n")[:-1]


def test_verbs_by_their_beginning(shell: Shell) -> None:
    assert of(shell, "curedash we") == ["weigh"]
    assert {"lots", "weigh", "check", "--db"} <= set(of(shell, "curedash "))


def test_second_words_and_options(shell: Shell) -> None:
    assert of(shell, "curedash place a") == ["add"]
    assert {"--weight", "--tare", "--note"} <= set(of(shell, "curedash stage A1 drying --"))


def test_codes_of_open_lots_and_stages(hanging: Shell) -> None:
    assert {"A1", "A2"} <= set(of(hanging, "curedash weigh "))
    assert of(hanging, "curedash weigh A") == ["A1", "A2"]
    assert of(hanging, "curedash stage A1 dr") == ["drying"]


def test_places(hanging: Shell) -> None:
    assert of(hanging, "curedash air add Fr") == ["Fridge 2"]


def test_the_few_values_an_option_takes(shell: Shell) -> None:
    from curedash.papers.sheet_sizes import SIZES

    assert set(of(shell, "curedash label C2 --size ")) == {size.id for size in SIZES}
    assert of(shell, "curedash label C2 --size le") == ["letter", "letter-small"]
    assert of(shell, "curedash label C2 --kind ") == ["cure", "hang", "pack"]
    assert of(shell, "curedash record C2 --page ") == ["a4", "letter"]


@pytest.mark.parametrize("line", ["curedash brew ", "curedash 'open", "curedash weigh '"])
def test_a_line_nobody_understands_has_no_candidates_and_no_trace(shell: Shell, line: str) -> None:
    assert of(shell, line) == []
    assert shell("completion", "--line", line).err == ""


@pytest.mark.parametrize("line", ["", "  ", "curedash "])
def test_before_the_first_word_every_command_fits(shell: Shell, line: str) -> None:
    assert set(VERBS) <= set(of(shell, line))


def commands() -> list[list[str]]:
    words = [
        [verb, *second]
        for verb in VERBS
        for second in ([[one] for one in second_words(verb)] or [[]])
    ]
    return [one for one in words if one != ["completion"]]


@pytest.mark.parametrize("words", commands(), ids=" ".join)
def test_a_command_that_takes_a_lot_or_a_place_offers_those_there_are(
    hanging: Shell, words: list[str]
) -> None:
    """Its help says what it takes, so no list of commands can be forgotten."""
    kinds = parser_of(words).positionals()
    found = of(hanging, f"curedash {' '.join(words)} ")
    assert ("A1" in found) == (kinds[:1] == ["lot"])
    assert ("Fridge 2" in found) == (kinds[:1] == ["place"] or words == ["place", "set"])


def test_the_second_word_is_completed_too(hanging: Shell) -> None:
    assert of(hanging, "curedash move A1 Fr") == ["Fridge 2"]


def test_bash_reads_its_script(shell: Shell) -> None:
    script = shell("completion", "bash").out
    bash = shutil.which("bash")
    assert bash is not None
    subprocess.run([bash, "-n"], input=script, text=True, check=True)


def test_no_shell_named_is_usage(shell: Shell) -> None:
    assert shell("completion").code == 64
    assert shell("completion", "tcsh").code == 64
