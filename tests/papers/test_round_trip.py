"""A whole household leaves and comes back: lived at random, and from every released shape."""

import csv
import os
import random
import shutil
import sqlite3
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from curedash.papers import whole_csv, whole_json
from curedash.papers.acceptance import workable
from curedash.papers.weigh_in_sheet import HEADS, weigh_in_sheet
from curedash.store import dump
from curedash.store.open import open_db
from tests.build import NOW
from tests.data.make_released import released, unpacked
from tests.services.conftest import HUNG
from tests.services.lives import entered, make_life
from tests.services.test_any_order import template  # noqa: F401 (fixture)

LATER = HUNG + timedelta(days=90)


def _quiet(_: int) -> None:
    """Nobody looks at the bar."""


def exported(conn: sqlite3.Connection) -> str:
    with dump.snapshot(conn):
        return "".join(whole_json.lines(conn, _quiet))


def comes_back(path: str, folder: Path, now: datetime) -> None:
    """Out and in again both ways, accepted as an import is; it is the same, byte for byte."""
    with closing(open_db(path)) as conn:
        first = exported(conn)
        with dump.snapshot(conn):
            whole_csv.write_folder(conn, str(folder / "tables"), _quiet)
    whole_json.restore(str(folder / "json.db"), first, _quiet, workable(now))
    whole_csv.restore(str(folder / "csv.db"), str(folder / "tables"), _quiet, workable(now))
    for name in ("json.db", "csv.db"):
        with closing(open_db(str(folder / name))) as again:
            assert exported(again) == first, name
            assert again.execute("PRAGMA foreign_key_check").fetchone() is None


def a_recipe(folder: Path) -> str:
    """One that the program wrote: the lives begin with an empty one."""
    path = unpacked(released()[-1], f"{folder}/with-recipe.db")
    with closing(sqlite3.connect(path)) as conn:
        return str(
            conn.execute("SELECT recipe FROM batch WHERE method = 'equilibrium'").fetchone()[0]
        )


@settings(
    max_examples=12, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(seed=st.integers(0, 2**32))
@example(seed=178)  # larded before it is divided, with another tare than it was hung with
def test_a_household_that_lived_comes_back(template: Path, seed: int, tmp_path: Path) -> None:  # noqa: F811
    entered(template, make_life(random.Random(seed)), 28.0)
    with closing(sqlite3.connect(template.with_name("life.db"))) as life, life:
        life.execute("UPDATE batch SET recipe = ?", (a_recipe(tmp_path),))
    folder = tmp_path / str(seed)
    folder.mkdir(exist_ok=True)
    try:
        comes_back(str(template.with_name("life.db")), folder, LATER)
    finally:
        shutil.rmtree(folder)


@pytest.mark.parametrize("file", released(), ids=os.path.basename)
def test_an_export_of_each_released_shape_becomes_todays(file: str, tmp_path: Path) -> None:
    path = unpacked(file, f"{tmp_path}/old.db")
    with closing(open_db(path, as_it_is=True)) as conn:
        old = exported(conn)
    whole_json.restore(str(tmp_path / "from-old.db"), old, _quiet, workable(NOW))
    with closing(open_db(path)) as conn, closing(open_db(f"{tmp_path}/from-old.db")) as again:
        assert exported(again) == exported(conn)
    comes_back(path, tmp_path, NOW)


# ── the sheet of weigh-ins ────────────────────────────────────────────────────────────────


def test_each_cell_has_a_type_that_a_spreadsheet_knows(house: sqlite3.Connection) -> None:
    """Times as ``2026-11-25 18:00:00`` (ISO 8601 with a space), numbers without their unit."""
    house.execute("UPDATE weigh_in SET note = '=1+1' WHERE id = 1")
    house.execute("UPDATE weigh_in SET voided_at = '2026-11-25T18:00:00Z' WHERE id = 2")
    lines = list(csv.DictReader(weigh_in_sheet(house, UTC).splitlines()))
    assert tuple(lines[0]) == HEADS
    held = house.execute("SELECT at, gross_g, net_g FROM weigh_in ORDER BY lot_id, at, id")
    seen = [
        (f"{datetime.fromisoformat(one['date']):%Y-%m-%dT%H:%M:%SZ}", one["weight g"], one["net_g"])
        for one in lines
    ]
    assert seen == [(at, str(gross_g), str(net_g)) for at, gross_g, net_g in held]
    assert [one["note"] for one in lines if one["note"]] == ["'=1+1"]
    assert [one["counts"] for one in lines].count("no") == 1
    for one in lines:
        for head in ("weight g", "tare_g", "net_g"):
            float(one[head])
