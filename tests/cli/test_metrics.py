"""``check --metrics``: read back by the parser of the text format's own client library."""

import os
import stat
from collections.abc import Callable
from pathlib import Path

import pytest
from prometheus_client.parser import text_string_to_metric_families

from curedash.store.open import open_db
from tests.cli.conftest import Done
from tests.hostile import HOSTILE

Shell = Callable[..., Done]
Found = dict[str, list[tuple[dict[str, str], float]]]


def read(path: Path) -> Found:
    """Every metric with its samples."""
    found: Found = {}
    for family in text_string_to_metric_families(path.read_text(encoding="utf-8")):
        assert family.type == "gauge", family.name
        assert family.documentation
        for sample in family.samples:
            found.setdefault(sample.name, []).append((sample.labels, sample.value))
    return found


def test_a_hanging_lot_has_its_figures_in_base_units(hanging: Shell, tmp_path: Path) -> None:
    hanging("weigh", "A1", "1000", "--at", "2026-11-23T18:00:00Z")
    path = tmp_path / "curedash.prom"
    done = hanging("check", "--metrics", str(path))
    assert done.code in (0, 1, 2)
    found = read(path)
    (info,) = (labels for labels, _ in found["curedash_lot_info"] if labels["lot"] == "A1")
    assert (info["stage"], info["place"], info["batch"]) == ("drying", "Fridge 2", "Beef eye")
    only = {
        name: value
        for name, rows in found.items()
        for labels, value in rows
        if labels.get("lot") == "A1" and name.startswith("curedash_lot_")
    }
    assert only["curedash_lot_weight_grams"] == 972
    # 1108 − 28 = 1080 g hung, 972 g now
    assert only["curedash_lot_loss_ratio"] == pytest.approx(1 - 972 / 1080, abs=1e-6)
    assert only["curedash_lot_weighed_timestamp_seconds"] == 1795456800  # 23 Nov 2026 18:00 UTC
    (checked,) = found["curedash_checked_timestamp_seconds"]
    assert checked == ({}, 1795629600)  # 25 Nov 2026 18:00 UTC
    counted = {labels["level"]: value for labels, value in found["curedash_needs"]}
    assert {"act", "today"} <= set(counted)
    assert sum(counted.values()) == len(hanging("check", "--json").json)


def test_the_names_are_stable_and_end_in_a_base_unit(hanging: Shell, tmp_path: Path) -> None:
    hanging("air", "add", "Fridge 2", "3.5C", "78%")
    path = tmp_path / "curedash.prom"
    hanging("check", "--metrics", str(path))
    found = read(path)
    assert {
        "curedash_needs",
        "curedash_lot_info",
        "curedash_lot_loss_ratio",
        "curedash_lot_to_go_grams",
        "curedash_place_temperature_celsius",
        "curedash_place_humidity_ratio",
    } <= set(found)
    ends = (
        "_seconds",
        "_grams",
        "_ratio",
        "_celsius",
        "_ratio_per_day",
        "_info",
        "_needs",
        "_need",
    )
    assert [name for name in found if not name.endswith(ends)] == []
    assert [value for _, value in found["curedash_place_humidity_ratio"]] == [0.78]


def test_names_of_any_kind_are_read_back(shell: Shell, db_path: str, tmp_path: Path) -> None:
    conn = open_db(db_path, create=True)
    names = [name for name in (*HOSTILE, 'a "b" \\ c', "new\nline") if name.strip()]
    for number, name in enumerate(names, 1):
        conn.execute(
            "INSERT INTO place (id, name, created_at) VALUES (?, ?, ?)",
            (number, f"{number} {name}", "2026-11-01T00:00:00Z"),
        )
        conn.execute(
            "INSERT INTO reading (place_id, at, temp_c, rh_pct) VALUES (?, 1795629000, 3.5, 78)",
            (number,),
        )
    conn.close()
    path = tmp_path / "curedash.prom"
    shell("check", "--metrics", str(path))
    found = read(path)["curedash_place_temperature_celsius"]
    assert len(found) == len(names)
    assert any('a "b" \\ c' in labels["place"] for labels, _ in found)


def test_it_is_written_whole_and_stays_readable_for_the_agent(
    hanging: Shell, tmp_path: Path
) -> None:
    path = tmp_path / "curedash.prom"
    path.write_text("old\n")
    path.chmod(0o644)
    hanging("check", "--metrics", str(path))
    assert stat.S_IMODE(os.stat(path).st_mode) == 0o644
    assert [name for name in os.listdir(tmp_path) if ".part" in name] == []
    bad = hanging("check", "--metrics", str(tmp_path / "none" / "x.prom"))
    assert bad.code == 74
    assert "Cannot write" in bad.err
