"""``export --weigh-ins``: one CSV for a spreadsheet.

Its types were looked at in pandas 3 (floats) and LibreOffice 7.4 (a date and numbers).
"""

import csv
from collections.abc import Callable
from pathlib import Path

from tests.cli.conftest import Done


def test_the_loss_is_that_of_the_curve(hanging: Callable[..., Done], tmp_path: Path) -> None:
    hanging("weigh", "A1", "1000", "--at", "2026-11-23T18:00:00Z")
    path = tmp_path / "w.csv"
    assert hanging("export", "--weigh-ins", str(path)).err == f"written to {path}\n"
    lines = [one for one in csv.DictReader(path.open()) if one["lot"] == "A1"]
    # 1108 − 28 = 1080 g hung, 1000 − 28 = 972 g now: 10.0 % lost
    assert [one["lost_pct_of_hang"] for one in lines][-1] == "10.0"
    assert lines[-1]["net_g"] == "972.0"
    assert hanging("export", "--weigh-ins", str(path), "x.json").code == 64
    back = hanging("import", str(path), "--dry-run")
    assert "A1" not in back.err  # it is there already, weight and moment
