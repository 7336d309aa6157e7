"""What the shell says of weights and moves: no claim it cannot make, statements after the fact."""

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from curedash.present.display_units import show_in
from tests.cli.conftest import Done

Shell = Callable[..., Done]


@pytest.fixture
def in_pounds(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    file = tmp_path / "config" / "curedash" / "view.toml"
    file.parent.mkdir(parents=True)
    file.write_text('weights = "lb"\ntemperatures = "F"\n', encoding="utf-8")
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    yield
    show_in()


def test_a_lot_that_does_not_hang_has_lost_nothing_by_drying(shell: Shell, batch: Done) -> None:
    done = shell("weigh", "A1", "1120 g")
    assert done.code == 0, done.err
    assert done.out == "A1: 1120 g net, not hanging yet, 1.2 % under green 1134 g; saved\n"
    assert "lost" not in done.out


def test_a_hanging_one_has(hanging: Shell) -> None:
    assert "6.0 % lost from hang 1080 g" in hanging("weigh", "A1", "1043 g").out


def test_what_was_kept_all_the_same_is_stated_not_asked(shell: Shell, batch: Done) -> None:
    asked = shell("stage", "A1", "drying", "--at", "2026-11-20", "--weight", "300 g", "--note", "x")
    assert asked.code == 65
    assert asked.err.endswith("Is it right? Nothing was saved. To save it anyway, give --yes.\n")
    kept = shell("stage", "A1", "drying", "--at", "2026-11-20", "--weight", "300 g", "--yes")
    assert kept.code == 0, kept.err
    assert "A1: 300 g on the scale, saved: far from the last weight" in kept.err
    assert "?" not in kept.err
    assert kept.out.startswith("A1: drying since 20 Nov 2026, hang 300 g net")


def test_a_planned_end_is_a_day(hanging: Shell) -> None:
    done = hanging(
        "stage",
        "A1",
        "equalising",
        "--until",
        "4 Dec",
        "--weight",
        "1043 g",
        "--yes",
        "--place",
        "Fridge 2",
    )
    assert done.code == 0, done.err
    assert "planned until 4 Dec 2026" in done.err


def test_questions_and_refusals_are_in_pounds(hanging: Shell, in_pounds: None) -> None:
    # NIST SP 811 (2008), B.8: 10430 g are 22 lb 15.9 oz, 1043 g are 2 lb 4.8 oz
    asked = hanging("weigh", "A1", "10430 g")
    assert asked.code == 65
    assert asked.err.startswith(
        "A1: 22 lb 15.9 oz is far from the last 2 lb 7.1 oz. Was it 2 lb 4.8 oz?"
    )
    refused = hanging("weigh", "A1", "20 g")
    assert refused.err.startswith("The scale shows 0.7 oz but 1 oz of that is tare")
    kept = hanging("weigh", "A1", "2 lb 4.8 oz", "--json")
    assert kept.json["gross_g"] == pytest.approx(2 * 453.59237 + 4.8 * 28.349523125, abs=0.001)


def test_a_failure_is_told_in_fahrenheit_and_kept_in_celsius(
    hanging: Shell, in_pounds: None, db_path: str
) -> None:
    import sqlite3

    hanging(
        "air",
        "outage",
        "Fridge 2",
        "--from",
        "2026-11-24T10:00",
        "--to",
        "2026-11-24T20:00",
        "--highest",
        "59F",
    )
    conn = sqlite3.connect(db_path)
    (text,) = conn.execute("SELECT text FROM event WHERE kind = 'outage' LIMIT 1").fetchone()
    conn.close()
    assert "highest 15.0 °C" in text
    told = " ".join(hanging("record", "A2").out.split())
    assert "highest 59 °F, 10.0 h" in told


def test_undo_names_the_history_where_nothing_is_left_of_it(shell: Shell) -> None:
    shell("place", "add", "Fridge")
    shell("undo")
    none = shell("undo")
    assert none.code == 66
    assert "'curedash history' lists every change, 'curedash undo NUMBER' undoes one" in none.err
