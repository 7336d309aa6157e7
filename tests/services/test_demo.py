"""The demo household: lots in every stage, something to decide, dated from today."""

import os
from datetime import UTC, datetime, timedelta

import pytest

from curedash.domain.errors import Refused
from curedash.services.file.demo import build_demo, scenario_path
from curedash.services.needs.check import current_needs
from curedash.store import rack
from curedash.store.open import open_db
from tests.bench import large_household
from tests.build import NOW


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> str:
    path = str(tmp_path_factory.mktemp("demo") / "demo.db")
    build_demo(path, NOW)
    return path


def test_lots_stand_in_every_open_stage_and_some_are_finished(demo: str) -> None:
    conn = open_db(demo)
    lots = rack.all_lots(conn)
    stages = {lot.stage for lot in lots}
    assert {
        "raw",
        "in-cure",
        "ferment",
        "drying",
        "equalising",
        "keeping",
        "on-hold",
        "closed",
    } <= stages
    assert 8 <= len(rack.open_lots(conn)) <= 14
    conn.close()


def test_something_needs_somebody_at_once_and_something_today(demo: str) -> None:
    conn = open_db(demo)
    needs = current_needs(conn, NOW)
    assert {need.level for need in needs} == {"act", "today"}
    causes = {need.cause for need in needs}
    assert {
        "salt-box-overdue",
        "dose-not-ticked",
        "target-reached",
        "weigh-in-due",
        "cure-ready",
        "place-too-humid",
    } <= causes
    conn.close()


def test_nothing_lies_ahead_of_today(demo: str) -> None:
    conn = open_db(demo)
    for table, column in (("weigh_in", "at"), ("stage_entry", "at"), ("change", "recorded_at")):
        newest = conn.execute(f"SELECT max({column}) FROM {table}").fetchone()[0]
        assert newest <= NOW.strftime("%Y-%m-%dT%H:%M:%SZ"), table
    conn.close()


@pytest.mark.parametrize(
    "moment", [datetime(2027, 3, 28, 1, 30, tzinfo=UTC), datetime(2028, 2, 29, 23, 59, tzinfo=UTC)]
)
def test_it_is_the_same_household_on_any_day(moment: datetime, db_path: str) -> None:
    assert build_demo(db_path, moment) >= 8


def test_it_never_writes_over_a_file(demo: str) -> None:
    before = os.stat(demo).st_size
    with pytest.raises(Refused, match="there already"):
        build_demo(demo, NOW)
    assert os.stat(demo).st_size == before


def test_a_larger_household_for_measuring_has_the_size_asked_for(db_path: str) -> None:
    assert large_household.build(db_path, NOW, 20, 10) == 20
    conn = open_db(db_path)
    most = conn.execute("SELECT max(n) FROM (SELECT count(*) n FROM weigh_in GROUP BY lot_id)")
    assert most.fetchone()[0] == 10
    hung = conn.execute("SELECT min(hang_at) FROM lot WHERE code LIKE 'M%'").fetchone()[0]
    assert hung >= (NOW - timedelta(days=11)).strftime("%Y-%m-%d")
    conn.close()


def test_the_scenario_is_found_in_a_checkout() -> None:
    assert os.path.basename(scenario_path()) == "scenario.toml"
