"""Everything leaves and comes back: byte for byte, harmless in a spreadsheet, or not at all."""

import csv
import json
import math
import os
import shutil
import sqlite3
import stat
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from curedash.domain.errors import CuredashError, FileTrouble, Refused
from curedash.papers import whole_csv, whole_json
from curedash.papers.acceptance import workable
from curedash.papers.files import write_file
from curedash.store import dump
from curedash.store.open import open_db
from tests.build import NOW


def _quiet(_: int) -> None:
    """Nobody looks at the bar."""


def _anything(_: sqlite3.Connection) -> None:
    """The way there and back is asked about, not whether a program could work with it."""


def exported(conn: sqlite3.Connection) -> str:
    with dump.snapshot(conn):
        return "".join(whole_json.lines(conn, _quiet))


def to_folder(conn: sqlite3.Connection, folder: Path) -> None:
    with dump.snapshot(conn):
        whole_csv.write_folder(conn, str(folder), _quiet)


# ── byte for byte ─────────────────────────────────────────────────────────────────────────


def test_a_household_comes_back_byte_for_byte(house: sqlite3.Connection, tmp_path: Path) -> None:
    first = exported(house)
    kept = whole_json.restore(str(tmp_path / "new.db"), first, _quiet, workable(NOW))
    again = open_db(str(tmp_path / "new.db"))
    assert exported(again) == first
    assert kept == dump.count(house)
    assert again.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    again.close()
    assert stat.S_IMODE(os.stat(tmp_path / "new.db").st_mode) == 0o600


def test_the_tables_come_back_from_csv(house: sqlite3.Connection, tmp_path: Path) -> None:
    to_folder(house, tmp_path / "tables")
    whole_csv.restore(str(tmp_path / "new.db"), str(tmp_path / "tables"), _quiet, workable(NOW))
    again = open_db(str(tmp_path / "new.db"))
    assert exported(again) == exported(house)
    again.close()
    for file in (tmp_path / "tables").iterdir():
        assert stat.S_IMODE(file.stat().st_mode) == 0o600


TEXT = st.text(st.characters(exclude_categories=["Cs"]), max_size=40)
WORDS = st.one_of(
    TEXT, st.sampled_from(["=1+1", "+1", "-1", "@x", "'", "", "\t=1", "a\r\nb", '",'])
)
REAL = st.floats(allow_nan=False, allow_infinity=True)
GRAMS = st.floats(min_value=1e-6, max_value=1e9)
MAYBE_REAL = st.none() | REAL
JSON_TEXT = st.recursive(st.none() | st.integers() | TEXT, st.lists, max_leaves=4).map(json.dumps)
ROWS: dict[str, st.SearchStrategy[dict[str, Any]]] = {
    "setting": st.fixed_dictionaries({"name": WORDS, "value": WORDS}),
    "place": st.fixed_dictionaries(
        {
            "name": WORDS.filter(lambda t: t.strip(" ") and "\0" not in t),
            "temp_lo_c": MAYBE_REAL,
            "zone": st.none() | WORDS,
            "created_at": WORDS,
            "voided_at": WORDS,
        }
    ),
    "reading": st.fixed_dictionaries(
        {
            "place_id": st.just(1),
            "at": st.integers(-(2**63), 2**63 - 1),
            "sensor_id": st.integers(0, 9),
            "temp_c": MAYBE_REAL,
            "bad": st.none() | WORDS,
        }
    ),
    "weigh_in": st.fixed_dictionaries(
        {
            "lot_id": st.just(1),
            "at": WORDS,
            "stage": WORDS,
            "kind": st.just("stage"),
            "curve": st.sampled_from([0, 1]),
            "gross_g": GRAMS,
            "tare_g": GRAMS,
            "net_g": GRAMS,
            "base_factor": GRAMS,
            "note": st.none() | WORDS,
        }
    ),
    "event": st.fixed_dictionaries(
        {"at": WORDS, "kind": WORDS, "text": WORDS, "data": st.none() | JSON_TEXT}
    ),
    "change": st.fixed_dictionaries(
        {
            "at_utc": WORDS,
            "recorded_at": WORDS,
            "session": WORDS,
            "actor": WORDS,
            "origin": WORDS,
            "verb": WORDS,
            "subject": WORDS,
            "before": JSON_TEXT,
            "after": JSON_TEXT,
        }
    ),
    "draft": st.fixed_dictionaries({"name": WORDS, "at": WORDS, "body": JSON_TEXT}),
}
BLOB = st.none() | st.binary(max_size=60)
HOUSEHOLD = st.fixed_dictionaries({name: st.lists(row, max_size=4) for name, row in ROWS.items()})


@pytest.fixture(scope="module")
def empty(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("empty") / "empty.db"
    conn = open_db(str(path), create=True)
    conn.execute("PRAGMA wal_checkpoint (TRUNCATE)")
    conn.close()
    return path


@settings(max_examples=100, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(told=HOUSEHOLD, blob=BLOB)
def test_any_household_survives_both_ways(
    told: dict[str, list[dict[str, Any]]], blob: bytes | None, empty: Path, tmp_path: Path
) -> None:
    here = tmp_path / f"r{len(os.listdir(tmp_path))}"
    here.mkdir()
    for name in ("first", "json", "csv"):
        shutil.copy(empty, here / f"{name}.db")
    conn = open_db(str(here / "first.db"))
    _fill(conn, told, blob)
    first = exported(conn)
    to_folder(conn, here / "tables")
    conn.close()
    whole_json.restore(str(here / "json.db"), first, _quiet, _anything)
    whole_csv.restore(str(here / "csv.db"), str(here / "tables"), _quiet, _anything)
    for name in ("json", "csv"):
        again = open_db(str(here / f"{name}.db"))
        assert exported(again) == first, name
        again.close()
    _harmless(here / "tables")
    shutil.rmtree(here)
    (tmp_path / f"{here.name}.done").touch()


def _fill(
    conn: sqlite3.Connection, told: dict[str, list[dict[str, Any]]], blob: bytes | None
) -> None:
    conn.execute("BEGIN")
    conn.execute("INSERT INTO place (id, name, created_at) VALUES (1, 'p', '')")
    conn.execute(
        "INSERT INTO batch (id, code, name, species, style, method, product_class, rule_set,"
        " recipe, created_at) VALUES (1, 'A', 'n', 's', 's', 'm', 'p', 'r', '{}', '')"
    )
    conn.execute(
        "INSERT INTO lot (id, batch_id, code, style, style_name, stage, stage_at, green_g,"
        " target_lo_pct, target_hi_pct, created_at) VALUES (1, 1, 'A1', 's', 's', 'raw', '', 1,"
        " 30, 40, '')"
    )
    conn.execute(
        "INSERT INTO forecast (lot_id, as_of, model, method, posterior) VALUES (1, '', '', '', ?)",
        (blob,),
    )
    for table, rows in told.items():
        for row in rows:
            marks = ", ".join("?" * len(row))
            conn.execute(
                f"INSERT OR IGNORE INTO {table} ({', '.join(row)}) VALUES ({marks})",
                tuple(row.values()),
            )
    conn.execute("COMMIT")


def _harmless(folder: Path) -> None:
    """No cell that is not a plain number begins with what a spreadsheet takes for a formula."""
    for file in folder.iterdir():
        with open(file, encoding="utf-8", newline="") as opened:
            for line in csv.reader(opened):
                for cell in line:
                    if cell.startswith(tuple("=+-@\t\r")):
                        assert math.isfinite(float(cell)) or cell == "-inf"


# ── whole or not at all ───────────────────────────────────────────────────────────────────


def test_a_file_that_holds_a_household_is_never_filled(
    house: sqlite3.Connection, household: str, tmp_path: Path
) -> None:
    text = exported(house)
    path = tmp_path / "house.db"
    before = exported(house)
    with pytest.raises(Refused, match="holds a household already"):
        whole_json.restore(str(path), text, _quiet, workable(NOW))
    assert exported(house) == before


def _broken(whole_text: str, how: str) -> str:
    told = json.loads(whole_text)
    tables = told["tables"]
    if how == "cut off":
        return whole_text[: len(whole_text) // 2]
    if how == "no export":
        return '{"a": 1}'
    if how == "a list":
        return "[1, 2]"
    if how == "newer":
        told["schema"] = 999
    if how == "schema 0":
        told["schema"] = 0
    if how == "no schema":
        del told["schema"]
    if how == "table gone":
        del tables["weigh_in"]
    if how == "strange table":
        tables["weigh_in; DROP TABLE lot"] = tables["weigh_in"]
    if how == "strange column":
        tables["lot"]["columns"][0] = "id) VALUES (1); --"
    if how == "short row":
        tables["lot"]["rows"][0].pop()
    if how == "text for a number":
        tables["weigh_in"]["rows"][3][6] = "heavy"
    if how == "negative weight":
        tables["weigh_in"]["rows"][3][6] = -5.0
    if how == "a list in a cell":
        tables["weigh_in"]["rows"][3][6] = [1]
    if how == "a strange object":
        tables["weigh_in"]["rows"][3][6] = {"eval": "1"}
    if how == "half a surrogate":
        tables["setting"]["rows"][0][1] = "\ud800"
    if how == "points nowhere":
        tables["lot"]["rows"] = tables["lot"]["rows"][1:]
    if how == "twice the same row":
        tables["lot"]["rows"].append(tables["lot"]["rows"][0])
    if how == "rows no list":
        tables["lot"]["rows"] = {"0": 1}
    if how == "a huge number":
        tables["weigh_in"]["rows"][0][0] = 10**30
    return json.dumps(told)


@pytest.mark.parametrize(
    "how",
    [
        "cut off",
        "no export",
        "a list",
        "newer",
        "schema 0",
        "no schema",
        "table gone",
        "strange table",
        "strange column",
        "short row",
        "text for a number",
        "negative weight",
        "a list in a cell",
        "a strange object",
        "half a surrogate",
        "points nowhere",
        "twice the same row",
        "rows no list",
        "a huge number",
    ],
)
def test_a_broken_export_leaves_no_file_and_says_why(
    how: str, house: sqlite3.Connection, tmp_path: Path
) -> None:
    folder = tmp_path / "new"
    with pytest.raises(CuredashError) as refused:
        whole_json.restore(
            str(folder / "new.db"), _broken(exported(house), how), _quiet, workable(NOW)
        )
    assert "\n" not in str(refused.value)
    assert not folder.exists() or os.listdir(folder) == []


def test_broken_tables_name_file_and_row(house: sqlite3.Connection, tmp_path: Path) -> None:
    to_folder(house, tmp_path / "tables")
    path = tmp_path / "tables" / "weigh_in.csv"
    path.write_text(path.read_text().replace("1208.0", "heavy"))
    with pytest.raises(Refused, match=r"weigh_in\.csv, row 1"):
        whole_csv.restore(str(tmp_path / "new.db"), str(tmp_path / "tables"), _quiet, workable(NOW))
    assert not (tmp_path / "new.db").exists()


def test_a_folder_that_holds_something_is_left_alone(
    house: sqlite3.Connection, tmp_path: Path
) -> None:
    (tmp_path / "mine").mkdir()
    (tmp_path / "mine" / "letter.txt").write_text("dear")
    with pytest.raises(Refused, match="not empty"):
        to_folder(house, tmp_path / "mine")


def test_a_file_of_another_encoding_is_said(tmp_path: Path) -> None:
    (tmp_path / "latin.csv").write_bytes("date;lot;weight\n1;Öl;3".encode("latin-1"))
    with pytest.raises(FileTrouble, match="UTF-8"):
        whole_json.read_text(str(tmp_path / "latin.csv"))


def test_the_household_file_is_never_written_over(tmp_path: Path) -> None:
    own = tmp_path / "household.db"
    own.write_text("mine")
    (tmp_path / "link.db").symlink_to(own)
    with pytest.raises(Refused, match="own file"):
        write_file(str(tmp_path / "link.db"), "paper", never=str(own))
    assert own.read_text() == "mine"


# ── where an export may be written ────────────────────────────────────────────────────────


@pytest.mark.parametrize("ending", ["-wal", "-shm", "-journal"])
def test_no_paper_is_written_where_the_log_of_a_household_lies(
    household: str, house: sqlite3.Connection, ending: str
) -> None:
    before = exported(house)
    with pytest.raises(Refused, match="the log of"):
        write_file(household + ending, "paper", never=household)
    with pytest.raises(Refused, match="the log of"):
        write_file(household + ending, "paper")
    assert exported(house) == before


def test_no_paper_is_written_over_another_household(household: str, tmp_path: Path) -> None:
    other = tmp_path / "other.db"
    open_db(str(other), create=True).close()
    before = other.read_bytes()
    with pytest.raises(Refused, match="another database"):
        write_file(str(other), "paper", never=household)
    os.link(household, tmp_path / "second-name.db")
    with pytest.raises(Refused, match="own file"):
        write_file(str(tmp_path / "second-name.db"), "paper", never=household)
    assert other.read_bytes() == before


def test_a_link_planted_at_the_old_name_of_a_part_is_left_alone(tmp_path: Path) -> None:
    victim = tmp_path / "victim"
    victim.write_text("mine")
    (tmp_path / f"paper.txt.part-{os.getpid()}").symlink_to(victim)
    write_file(str(tmp_path / "paper.txt"), "paper")
    assert victim.read_text() == "mine"
    assert (tmp_path / "paper.txt").read_text() == "paper"


def test_file_and_folder_are_on_the_disk_before_it_is_called_written(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The order: the part to the disk, its name, the folder to the disk."""
    calls: list[str] = []
    fsync, replace = os.fsync, os.replace

    def to_disk(number: int) -> None:
        fsync(number)
        calls.append("folder" if stat.S_ISDIR(os.fstat(number).st_mode) else "file")

    def give_name(part: str, target: str) -> None:
        replace(part, target)
        calls.append("name")

    monkeypatch.setattr(os, "fsync", to_disk)
    monkeypatch.setattr(os, "replace", give_name)
    write_file(str(tmp_path / "paper.txt"), "paper")
    assert calls == ["file", "name", "folder"]
