"""No command makes a file whose name looks like an option: no shell would get rid of it easily."""

import os

import pytest

from tests.conftest import NOW
from tests.demo import copy_demo

#: a command of the shell that makes something, without the name of what it makes
MAKERS = [
    ("export", "--output="),
    ("export", "--csv="),
    ("export", "--weigh-ins="),
    ("backup", "--"),
    ("handover", "--output="),
    ("label", "D1", "--output="),
    ("calendar", "--output="),
    ("record", "D1", "--output="),
    ("page", "--"),
    ("check", "--metrics="),
    ("demo", "--build="),
    ("demo", "--build"),
    ("import", "whole.json", "--db="),
    ("restore", "copy.db", "--db="),
    ("place", "add", "Shed", "--db="),
]


@pytest.fixture
def folder(shell, db_path, tmp_path, monkeypatch):
    """A folder of its own to work in, with a demo, an export and a copy of it."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("CUREDASH_DB", "demo.db")
    copy_demo("demo.db", NOW)
    assert shell("export", "whole.json").code == 0
    assert shell("backup", "copy.db").code == 0
    return tmp_path


@pytest.mark.parametrize("maker", MAKERS, ids=" ".join)
@pytest.mark.parametrize("name", ["--json", "-x.txt", "-x/y.html"])
def test_no_command_makes_a_file_that_looks_like_an_option(folder, shell, maker, name) -> None:
    before = sorted(os.listdir(folder))
    *words, last = maker
    done = shell(*words, *([last + name] if last.endswith("=") else [last, name]))
    assert done.code in (64, 65), (done.out, done.err)
    assert len(done.err.strip().splitlines()) <= 2
    assert sorted(os.listdir(folder)) == before


def test_the_variable_makes_none_either(folder, shell, monkeypatch) -> None:
    monkeypatch.setenv("CUREDASH_DB", "--json")
    done = shell("place", "add", "Shed")
    assert (done.code, done.err) == (
        65,
        "--json looks like an option; for a file of that name give ./--json.\n",
    )
    assert not os.path.lexists("--json")


def test_the_way_out_that_is_said_works(folder, shell) -> None:
    assert shell("export", "./--json").code == 0
    assert os.path.exists("--json")
