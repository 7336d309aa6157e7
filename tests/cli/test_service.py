"""Services of a user: what is written, that systemd takes it, and what happens without one.

Names of settings and quoting: systemd.service(5), systemd.exec(5), systemd.timer(5); checked by
``systemd-analyze verify``. No service manager runs for the tests, so none is started.
"""

import os
import re
import shutil
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest

from curedash.papers.service_units import Plan, units_of
from tests.cli.conftest import Done

Shell = Callable[..., Done]


@pytest.fixture(autouse=True)
def no_manager(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """The manager of whoever runs the tests must not hear of them."""
    (tmp_path / "no-manager").mkdir(mode=0o700)
    monkeypatch.setenv("XDG_RUNTIME_DIR", str(tmp_path / "no-manager"))
    monkeypatch.delenv("DBUS_SESSION_BUS_ADDRESS", raising=False)


def folder() -> Path:
    return Path(os.environ["XDG_CONFIG_HOME"]) / "systemd" / "user"


def with_mail(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A mail program that puts what it is given into a file."""
    programs = tmp_path / "programs"
    programs.mkdir()
    (programs / "mail").write_text(
        f'#!/bin/sh\nprintf "%s|" "$@" > {tmp_path}/to\ncat > {tmp_path}/body\n'
    )
    (programs / "mail").chmod(0o755)
    monkeypatch.setenv("PATH", f"{programs}:{os.environ['PATH']}")
    return programs


def test_it_shows_first_and_writes_nothing_unasked(hanging: Shell) -> None:
    shown = hanging("service", "install", "--show")
    assert shown.code == 0
    assert "ExecStart=" in shown.out
    asked = hanging("service", "install")
    assert asked.code == 65
    assert "--yes" in asked.err
    assert not folder().exists()


def test_installed_listed_and_removed(hanging: Shell) -> None:
    done = hanging("service", "install", "--yes")
    assert done.code == 74  # written, and nobody there to start it
    assert "systemctl --user enable --now curedash-watch.service" in done.err
    assert [path.name for path in folder().iterdir()] == ["curedash-watch.service"]
    states = {one["unit"]: one for one in hanging("service", "status", "--json").json}
    assert states["curedash-watch.service"]["written_by_curedash"] is True
    assert states["curedash-listen.service"]["file"] is None
    assert hanging("service", "remove").code == 65
    assert hanging("service", "remove", "--yes").code == 0
    assert list(folder().iterdir()) == []
    assert "No service" in hanging("service", "remove", "--yes").err


def test_a_unit_of_somebody_else_is_neither_overwritten_nor_removed(hanging: Shell) -> None:
    folder().mkdir(parents=True)
    own = folder() / "curedash-watch.service"
    own.write_text("[Service]\nExecStart=/bin/true\n")
    refused = hanging("service", "install", "--yes")
    assert refused.code == 65
    assert str(own) in refused.err
    assert "stays" in hanging("service", "remove", "--yes").err
    assert own.read_text() == "[Service]\nExecStart=/bin/true\n"


def test_words_for_the_watcher_are_checked_before_anything_is_written(hanging: Shell) -> None:
    for words, code in (
        (("--once",), 64),
        (("--evry", "3"), 64),
        (("--exec", "/no/such"), 66),
        (("--exec",), 64),
    ):
        assert hanging("service", "install", "--yes", "--", *words).code == code, words
    assert hanging("service", "install", "--yes", "--no-watch").code == 64
    assert hanging("service", "install", "--yes", "--mail", "a b").code == 64
    assert not folder().exists()


def test_the_listener_comes_with_a_confirmed_broker_only(hanging: Shell, db_path: str) -> None:
    from curedash.feeds.plan import Mapped, save
    from curedash.feeds.plan import Plan as Feed
    from curedash.store.open import open_db
    from curedash.store.work import By

    conn = open_db(db_path)
    by = By("2026-11-25T18:00:00Z", "t", "shell", "s")
    save(conn, by, Feed("192.0.2.7", [Mapped("a", "Fridge 2")]))
    assert "curedash-listen.service" in hanging("service", "install", "--show").out
    conn.execute(
        "UPDATE setting SET value = replace(value, '192.0.2.7', '192.0.2.8')"
        " WHERE name = 'air-feed'"
    )
    conn.close()
    stranger = hanging("service", "install", "--yes")
    assert stranger.code == 65
    assert "not confirmed" in stranger.err
    assert not folder().exists()
    assert hanging("service", "install", "--show", "--no-listen").code == 0


@pytest.mark.external("systemd-analyze")
@pytest.mark.parametrize("name", ["house", 'the flat\'s 50% "$HOME" back\\slash', "牛肉 🥩"])
def test_the_service_manager_takes_every_unit(name: str, tmp_path: Path) -> None:
    home = tmp_path / name
    home.mkdir()
    program = home / "python"
    shutil.copy("/bin/true", program)
    plan = Plan(
        program=(str(program), "-m", "curedash", "--db", f"{home}/house.db"),
        folders=(str(home),),
        watch=("--page", f"{home}/rack.html"),
        listen=True,
        mail_to="cook's+50%@example.org",
    )
    units = units_of(plan)
    for unit in units:
        (tmp_path / unit.name).write_text(unit.text, encoding="utf-8")
    done = subprocess.run(
        ["systemd-analyze", "--user", "verify", *(str(tmp_path / unit.name) for unit in units)],
        capture_output=True,
        text=True,
        check=False,
    )
    own = [n for n in done.stderr.splitlines() if any(unit.name in n for unit in units)]
    assert own == []
    assert done.returncode == 0, done.stderr


@pytest.mark.external("systemd-analyze")
def test_a_wrong_unit_would_be_noticed(tmp_path: Path) -> None:
    plan = Plan(program=("/no/such/python",), folders=(), watch=(), listen=False, mail_to=None)
    (unit,) = units_of(plan)
    (tmp_path / unit.name).write_text(unit.text.replace("LockPersonality", "LockPersonalty"))
    done = subprocess.run(
        ["systemd-analyze", "--user", "verify", str(tmp_path / unit.name)],
        capture_output=True,
        text=True,
        check=False,
    )
    assert "LockPersonalty" in done.stderr
    assert "/no/such/python" in done.stderr


def test_one_mail_says_what_needs_somebody_and_none_is_sent_for_nothing(
    hanging: Shell, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with_mail(tmp_path, monkeypatch)
    shown = hanging("service", "install", "--show", "--mail", "cook+x@example.org", "--no-watch")
    (line,) = re.findall(r"^ExecStart=(.*)$", shown.out, re.M)
    assert line.startswith('"/bin/sh" "-c" "')
    script = line[len('"/bin/sh" "-c" "') : -1].replace('\\"', '"').replace("\\\\", "\\")
    script = script.replace("$$", "$").replace("%%", "%")
    subprocess.run(["/bin/sh", "-c", script], check=True)
    assert (tmp_path / "to").read_text() == "-s|curedash|--|cook+x@example.org|"
    assert (tmp_path / "body").read_text() == hanging("check").out
    (tmp_path / "to").unlink()
    quiet = script.replace(os.environ["CUREDASH_DB"], str(tmp_path / "quiet.db"))
    from curedash.store.open import open_db

    open_db(str(tmp_path / "quiet.db"), create=True).close()
    subprocess.run(["/bin/sh", "-c", quiet], check=False)
    assert not (tmp_path / "to").exists()


def test_without_a_mail_program_it_says_so(hanging: Shell, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PATH", "/nowhere")
    done = hanging("service", "install", "--yes", "--mail", "cook@example.org")
    assert done.code == 66
    assert "mail" in done.err
