"""What an import accepts opens in every command; what it refuses leaves no file."""

import json
import os
import sqlite3
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest

from curedash.__main__ import main
from curedash.domain.errors import Refused
from curedash.papers import whole_json
from curedash.papers.acceptance import workable
from curedash.store import dump, values
from curedash.store.open import open_db
from tests.build import NOW
from tests.endurance.long_imports import run as import_bent_exports


def exported(conn: sqlite3.Connection) -> dict[str, Any]:
    with dump.snapshot(conn):
        document: dict[str, Any] = json.loads("".join(whole_json.lines(conn, lambda _: None)))
    return document


def put(document: dict[str, Any], where: str, value: Any) -> None:
    """Another value into the first row of a table that has the column; a new row if need be."""
    table, _, column = where.partition(".")
    told = document["tables"][table]
    if table == "setting":
        told["rows"] = [row for row in told["rows"] if row[0] != column] + [[column, value]]
    else:
        told["rows"][0][told["columns"].index(column)] = value


@pytest.mark.parametrize(
    ("where", "value", "says"),
    [
        ("lot.hang_at", "yesterday", "lot.hang_at holds “yesterday”, which is not a date and time"),
        ("lot.hang_at", "99-01-01T00:00:00Z", "not a date and time"),
        ("lot.stage_at", "9999-12-31T23:59:59Z", "not a date and time"),
        ("weigh_in.at", "2026-02-30T10:00:00Z", "not a date and time"),
        ("reading.at", 2**62, "not a date and time"),
        ("setting.zone", "/etc/passwd", "zone"),
        ("setting.zone", "Europe/Nowhere", "zone"),
        ("place.zone", "../../etc/passwd", "zone"),
        ("setting.backups-kept", "1" * 1_500_000, "1,500,000 characters"),
        ("lot.green_g", 1e300, "beyond any quantity"),
        ("forecast.near", "\u202e", "not a curve"),
        ("event.data", "[" * 100 + "]" * 100, "more than 24 levels"),
        ("event.data", '{"a": 99999999999999999999999}', "beyond 64 bits"),
        ("event.data", '{"a": 1e999}', "without end"),
        ("change.after", '[["lot", 1, {"id": 36893488147419103232}]]', "beyond 64 bits"),
    ],
)
def test_a_value_no_form_would_take_is_refused(
    house: sqlite3.Connection, tmp_path: Path, where: str, value: Any, says: str
) -> None:
    document = exported(house)
    put(document, where, value)
    (tmp_path / "new").mkdir()
    path = str(tmp_path / "new" / "new.db")
    with pytest.raises(Refused) as refused:
        whole_json.restore(path, json.dumps(document), lambda _: None, workable(NOW))
    assert says in str(refused.value)
    assert str(refused.value).endswith("nothing was saved.")
    assert os.listdir(tmp_path / "new") == []


def test_the_program_writes_no_value_that_an_import_would_refuse(house: sqlite3.Connection) -> None:
    assert values.wrong_values(house) == []
    workable(NOW)(house)


def test_what_is_accepted_opens_in_every_command(tmp_path: Path) -> None:
    """A few of the bent exports of the endurance script."""
    figures, wrong = import_bent_exports(8, str(tmp_path), seed=5)
    assert wrong == []
    assert figures["imports"] == 8


@pytest.mark.parametrize("moment", ["0099-01-01", "0001-01-01T00:00+14:00", "9999-12-31T23:59"])
def test_no_command_runs_at_a_moment_outside_the_calendar(
    house: sqlite3.Connection, household: str, moment: str, capsys
) -> None:
    before = dump.count(house)
    assert main(["--db", household, "--now", moment, "weigh", "C1", "1100 g", "--yes"]) == 64
    assert "--now takes" in capsys.readouterr().err
    assert dump.count(house) == before


def test_a_zone_this_machine_does_not_know_is_said_with_the_way_out(
    hidden_zone: str, capsys
) -> None:
    assert main(["--db", hidden_zone, "--now", NOW.isoformat(), "lots"]) == 74
    assert "'curedash settings set zone" in capsys.readouterr().err
    assert main(["--db", hidden_zone, "settings", "set", "zone", "Europe/Vienna"]) == 0
    assert main(["--db", hidden_zone, "--now", NOW.isoformat(), "lots"]) == 0


@pytest.fixture
def hidden_zone(household: str, tmp_path: Path) -> str:
    """A file from a machine that knows more zones."""
    path = str(tmp_path / "zone.db")
    with open_db(household) as conn, sqlite3.connect(path) as copy:
        conn.backup(copy)
        copy.execute("UPDATE setting SET value = '/etc/passwd' WHERE name = 'zone'")
    return path


@pytest.mark.parametrize(
    ("bend", "says"),
    [
        (
            "UPDATE lot SET hang_at = 'yesterday'",
            "lot.hang_at holds “yesterday”, which is not a date and time",
        ),
        (
            "INSERT INTO setting VALUES ('zone', 'Europe/Nowhere')"
            " ON CONFLICT DO UPDATE SET value = excluded.value",
            "A zone cannot be read",
        ),
        ("UPDATE event SET data = '{\"a\": 99999999999999999999999}'", "beyond 64 bits"),
    ],
)
def test_a_copy_that_some_command_could_not_read_is_refused_with_the_way_out(
    household: str, tmp_path: Path, capsys, bend: str, says: str
) -> None:
    copy = f"{tmp_path}/copy.db"
    at = ["--db", household, "--now", NOW.isoformat()]
    assert main([*at, "backup", copy]) == 0
    with closing(sqlite3.connect(copy)) as conn, conn:
        assert conn.execute(bend).rowcount
    before = sorted(os.listdir(os.path.dirname(household)))
    assert main([*at, "restore", copy]) == 65
    said = " ".join(capsys.readouterr().err.split())
    assert f"{copy}: " in said
    assert says in said
    assert "nothing was saved. Take another copy" in said
    assert sorted(os.listdir(os.path.dirname(household))) == before
    other = f"{tmp_path}/other.db"
    code = main(["--db", other, "--now", NOW.isoformat(), "restore", copy, "--as-it-is"])
    assert code == (73 if "zone" in bend else 0)  # stored; in what zone, nobody here can say
