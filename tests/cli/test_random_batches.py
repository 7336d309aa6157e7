"""Hundreds of random batches through the shell: nothing refused is stored, nothing saved is over.

What is stored is computed again here by 9 CFR 424.22(b) and FSIS Handbook 7620.3 (grams × share ×
10⁶ / grams it gets into), apart from the program's own formulas.
"""

import random
import sqlite3
from collections.abc import Callable
from typing import Any

import pytest

from tests.cli.conftest import Done

Shell = Callable[..., Done]
STRENGTHS = {
    "no1": (6.25, 0.0),
    "no2": (6.25, 4.0),
    "5.88/0": (5.88, 0.0),
    "0.6/0": (0.6, 0.0),
    "12/8": (12.0, 8.0),
}
#: rule set → class, most nitrite as NaNO2 [mg/kg] (nitrite-limits.csv)
LIMITS = {
    "us": ("dry-cured", 625.0),
    "ca": ("cured-meat", 200.0),
    "eu": ("non-heat-treated", 80 * 68.9953 / 46.0055),
}


def words(rnd: random.Random) -> tuple[list[str], dict[str, Any]]:
    """One random command line and what to hold against it."""
    salt = rnd.choice(list(STRENGTHS))
    rules = rnd.choice(list(LIMITS))
    pieces = rnd.choice((1, 2, 3))
    method = rnd.choice(("equilibrium", "ground", "equilibrium-brine"))
    greens = [rnd.choice((rnd.uniform(40, 400), rnd.uniform(400, 5000))) for _ in range(pieces)]
    water_g = round(rnd.uniform(100, 3000), 1)
    cure = rnd.choice((0.1, 0.2, 0.25, rnd.uniform(0, 0.5), rnd.uniform(0, 4), 2.5, 25.0, -0.25))
    salt_pct = rnd.choice((2.75, 3.0, rnd.uniform(1, 5), rnd.uniform(0, 12), 300.0))
    line = [
        "batch",
        "add",
        "--name",
        f"random {rnd.random()}",
        "--method",
        method,
        "--rules",
        rules,
        "--class",
        LIMITS[rules][0],
        "--because",
        "class=one limit for all",
        "--thickness",
        "unknown: no ruler",
        "--curing-salt",
        salt,
        "--salt",
        f"{salt_pct:.4f}",
        "--cure",
        f"{cure:.4f}",
        "--scale",
        rnd.choice(("0.01", "0.1", "1")),
        "--json",
    ]
    for green in greens:
        line += ["--green", f"{green:.1f} g"]
    if method == "equilibrium-brine":
        line += ["--water", f"{water_g:.1f} g"]
    if rnd.random() < 0.5:
        line += ["--salted-on", "2026-11-20"]
    if rnd.random() < 0.2:
        line += ["--planned-days", rnd.choice(("10", "90", "nan"))]
    told = {
        "salt": salt,
        "rules": rules,
        "brine_g": water_g if method == "equilibrium-brine" else 0.0,
    }
    return line, told


def counts(conn: sqlite3.Connection) -> tuple[int, ...]:
    return tuple(
        conn.execute(f"SELECT count(*) FROM {table}").fetchone()[0]
        for table in ("batch", "lot", "dose_line", "stage_entry", "change", "place", "style")
    )


def assert_within(conn: sqlite3.Connection, code: str, told: dict[str, Any]) -> None:
    """Every line finite and not negative, nitrite of every lot within its limit."""
    nitrite_pct, nitrate_pct = STRENGTHS[told["salt"]]
    rows = conn.execute(
        "SELECT lot.id, lot.green_g, lot.nitrite_mg_per_kg, lot.dose_verdict FROM lot"
        " JOIN batch ON batch.id = lot.batch_id WHERE batch.code = ?",
        (code,),
    ).fetchall()
    assert rows
    for lot_id, green_g, kept, verdict in rows:
        lines = conn.execute(
            "SELECT kind, exact_g, planned_g FROM dose_line WHERE lot_id = ?", (lot_id,)
        ).fetchall()
        assert all(0 <= exact < 1e6 and 0 <= planned < 1e6 for _, exact, planned in lines)
        cure_g = sum(planned for kind, _, planned in lines if kind == "curing-salt")
        whole_g = green_g
        if told["brine_g"]:  # method Two: green weight and pickle
            whole_g += sum(planned for _, _, planned in lines)
        nitrite = cure_g * nitrite_pct / 100 * 1e6 / whole_g
        assert kept == pytest.approx(nitrite, rel=1e-6, abs=1e-6)
        most = LIMITS[told["rules"]][1]
        assert nitrite <= most + 0.05, (code, told)  # conversion rounding, in its ion
        assert nitrite <= 625.0 + 1e-6
        if told["rules"] == "ca":
            both = nitrite + cure_g * nitrate_pct / 100 * 1e6 / whole_g
            assert both <= 200.05
        assert verdict in ("within-limits", "caution", "not-checked")


def test_nothing_that_was_refused_is_stored(shell: Shell, db_path: str) -> None:
    shell("place", "add", "Fridge 2")
    conn = sqlite3.connect(db_path)
    rnd = random.Random(20261125)
    kept = refused = 0
    for _ in range(400):
        line, told = words(rnd)
        before = counts(conn)
        done = shell(*line)
        if done.code == 0:
            kept += 1
            assert_within(conn, done.json["batch"], told)
            assert all(lot["verdict"] != "refused" for lot in done.json["lots"])
        else:
            refused += 1
            assert done.code == 65, (line, done.err)
            assert done.err.count("\n") == 1, done.err
            assert done.out == ""
            assert counts(conn) == before, line
    conn.close()
    assert min(kept, refused) > 80
