"""Completion: scripts that the shells themselves can read, and candidates that fit."""

import shutil
import subprocess
from collections.abc import Callable

import pytest

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


@pytest.mark.parametrize("line", ["curedash brew ", "curedash 'open", "", "curedash weigh '", "  "])
def test_a_line_nobody_understands_has_no_candidates_and_no_trace(shell: Shell, line: str) -> None:
    shell("completion", "--line", line)


def test_bash_reads_its_script(shell: Shell) -> None:
    script = shell("completion", "bash").out
    bash = shutil.which("bash")
    assert bash is not None
    subprocess.run([bash, "-n"], input=script, text=True, check=True)


def test_no_shell_named_is_usage(shell: Shell) -> None:
    assert shell("completion").code == 64
    assert shell("completion", "tcsh").code == 64
