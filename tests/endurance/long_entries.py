"""Generated entries into every parser and command: a value, or one sentence; never a fault.

    long_entries.py [ENTRIES]      100000 unless told otherwise

Nine of ten go straight to the parsers (hypothesis makes them: any text, and text that nearly is a
weight, a date, a payload). The others go through the shell into a real file: what it echoes is
what the file holds, and no number in the file is anything but finite.
"""

import io
import json
import math
import os
import re
import sqlite3
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable
from contextlib import closing, redirect_stderr, redirect_stdout
from datetime import UTC, date, datetime
from typing import Any

from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from curedash.__main__ import main as shell
from curedash.domain.dosing.salts import resolve_curing_salt
from curedash.domain.errors import CuredashError
from curedash.domain.typed import dates as typed_dates
from curedash.domain.typed import units
from curedash.domain.typed.weights import parse_weight_g, parse_weights_g
from curedash.feeds.payload import Clock, Fields, parse_payload
from curedash.present.weighing.weigh_line import echo_parts
from curedash.services.find import require_lot
from curedash.services.weighing.weigh import preview, weigh
from curedash.store.open import open_db
from tests.endurance.household import NOW, build, by
from tests.hostile import HOSTILE

IN_JSON = ("before", "after", "recipe", "body", "data")  # columns
DOCUMENTED = {0, 1, 2, 64, 65, 66, 74}
SHARE_OF_SHELL = 0.02
SHARE_OF_SERVICE = 0.08

PARSERS: dict[str, Callable[[str], Any]] = {
    "weight": parse_weight_g,
    "weight after 1043 g": lambda text: parse_weight_g(text, last_g=1043.0),
    "weights": parse_weights_g,
    "length": units.parse_length_mm,
    "temperature": units.parse_temp_c,
    "humidity": units.parse_rh_pct,
    "share": units.parse_pct,
    "temperatures": units.parse_temp_range_c,
    "humidities": units.parse_rh_range_pct,
    "moment": lambda text: typed_dates.parse_when(text, NOW, UTC),
    "until": lambda text: typed_dates.parse_until(text, NOW, UTC),
    "day": lambda text: typed_dates.parse_day(text, NOW, UTC),
    "payload": lambda text: parse_payload(text, Fields(), Clock(UTC)),
    "curing salt": resolve_curing_salt,
}

near = st.text(alphabet="0123456789.,'+-/ ½¼glbozkCF%°…–−\u00a0ｇ３eE±xn", max_size=30)
dates = st.text(alphabet="0123456789-:TZ +.novdecyesterdaymontuefri", max_size=25)
lines = st.one_of(
    st.text(alphabet='0123456789.,;-+ {}[]":tempruhCFnaifNI\\', max_size=60),
    st.recursive(
        st.none() | st.booleans() | st.floats() | st.integers() | st.text(max_size=5),
        lambda inner: (
            st.lists(inner, max_size=3)
            | st.dictionaries(st.sampled_from(("t", "temp", "rh", "humidity", "at", "x")), inner)
        ),
        max_leaves=6,
    ).map(json.dumps),
)
figures = st.one_of(
    st.decimals(1, 2000, allow_nan=False, allow_infinity=False, places=1).map(str),
    st.integers(1, 10**6).map(str),
    st.sampled_from(["½", "1/2", "2 ½", "1,043", "1.043", "1,5", "１０４３", "0.01", "1e9", "nan"]),
)
UNITS = {
    "weight": ["", " g", "g", " kg", "lb", " oz", " lb 4.8 oz", "+300", " g x"],
    "length": ["", " mm", "cm", " in", '"', " m"],
    "temp": ["C", " °C", "F", "", "..5C", "–41F"],
    "share": ["", "%", " %", "% rh", "..80%"],
    "day": ["d", " Mar", " dec 2026", ":30", "h", ""],
}


def entries_for(name: str) -> st.SearchStrategy[str]:
    """Half of them nearly right for this parser, the others anything."""
    kind = {
        "weight": "weight",
        "length": "length",
        "temp": "temp",
        "humid": "share",
        "share": "share",
        "moment": "day",
        "until": "day",
        "day": "day",
    }
    unit = next((kind[word] for word in kind if name.startswith(word)), "weight")
    nearly = st.tuples(
        st.sampled_from(["", "", " ", "-", "≈"]), figures, st.sampled_from(UNITS[unit])
    ).map("".join)
    return st.booleans().flatmap(lambda right: nearly if right else anything)


anything = st.one_of(near, dates, lines, st.text(max_size=250), st.sampled_from(HOSTILE))


def run(entries: int, folder: str) -> Counter[str]:
    """Try so many; what became of them."""
    found: Counter[str] = Counter()
    through_shell = int(entries * SHARE_OF_SHELL)
    kept = int(entries * SHARE_OF_SERVICE)
    each = (entries - through_shell - kept) // len(PARSERS)
    for name, parser in PARSERS.items():
        _try(name, each, lambda text, name=name, parser=parser: _parse(name, parser, text, found))
    path = f"{folder}/household.db"
    build(path, 3)
    with closing(open_db(path)) as conn:
        conn.execute("PRAGMA synchronous = OFF")  # what is tried here is not the disk
        _try("weight", kept, lambda text: _keep(conn, text, found))
    _try("weight", through_shell, lambda text: _command(path, folder, text, found))
    found["not finite in the file"] += not_finite(path)
    return found


def _try(name: str, count: int, check: Callable[[str], None]) -> None:
    @settings(
        max_examples=max(count, 1),
        deadline=None,
        database=None,
        derandomize=True,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    @given(entries_for(name))
    def entries(text: str) -> None:
        check(text)

    entries()


def _parse(name: str, parser: Callable[[str], Any], text: str, found: Counter[str]) -> None:
    found["entries"] += 1
    try:
        value = parser(text)
    except CuredashError as refusal:
        found["refused"] += 1
        found["more than a sentence"] += "\n" in str(refusal)
        return
    except Exception as fault:
        found["faults"] += 1
        print(f"{name}: {text!r}: {fault!r}", file=sys.stderr)
        return
    found["accepted"] += 1
    # what a sensor sends may be infinite: it is judged and marked when it is stored
    if name != "payload" and not _finite(value):
        found["not finite"] += 1
        print(f"{name}: {text!r}: {value!r}", file=sys.stderr)


def _finite(value: Any) -> bool:
    """Whether every number in what a parser returned is finite."""
    if isinstance(value, float):
        return math.isfinite(value)
    if isinstance(value, (list, tuple)):
        return all(_finite(item) for item in value)
    if isinstance(value, (str, date, datetime)) or value is None:
        return True
    names = getattr(type(value), "__slots__", ()) or getattr(type(value), "__match_args__", ())
    return all(_finite(getattr(value, name)) for name in names)


def _keep(conn: sqlite3.Connection, text: str, found: Counter[str]) -> None:
    """Preview, echo, keep: the file holds what the echo said."""
    found["entries"] += 1
    lot = require_lot(conn, "A1")
    try:
        seen = preview(lot, text, NOW, UTC)
        echo = echo_parts(seen)[0]
        kept = weigh(conn, by(), lot.id, seen, keep_doubtful=True)
    except CuredashError:
        found["refused"] += 1
        return
    found["kept"] += 1
    row = conn.execute(
        "SELECT gross_g, net_g FROM weigh_in WHERE id = ?", (kept.weigh_in_id,)
    ).fetchone()
    said = float(re.match(r"[\d.]+", echo).group())  # type: ignore[union-attr]
    if row != (seen.gross_g, seen.net_g) or abs(said - row[1]) > 0.0501:
        found["other than the echo"] += 1
        print(f"{text!r}: {echo!r}, in the file {row}", file=sys.stderr)


def _command(path: str, folder: str, text: str, found: Counter[str]) -> None:
    """One command of the shell with this text somewhere in it."""
    words = _words(text, folder, found["through the shell"])
    found["entries"] += 1
    found["through the shell"] += 1
    out, err = io.StringIO(), io.StringIO()
    sys.stdin = io.TextIOWrapper(io.BufferedReader(io.BytesIO(text.encode("utf-8", "replace"))))
    with redirect_stdout(out), redirect_stderr(err):
        code = shell(["--db", path, "--now", NOW.isoformat(), *words])
    said = err.getvalue()
    # a usage error may quote what it lists; everything else is one line
    wrong = code not in DOCUMENTED or "Traceback" in said
    sent = any(not (ch.isprintable() or ch == "\n") for ch in said + out.getvalue())
    found["faults"] += wrong
    found["sent to the terminal"] += sent
    found[f"exit {code}"] += 1
    if wrong or sent:
        print(f"{words!r}: {code} {said!r} {out.getvalue()[:200]!r}", file=sys.stderr)


def _words(text: str, folder: str, number: int) -> list[str]:
    given_file = os.path.join(folder, "given")
    with open(given_file, "w", encoding="utf-8", errors="surrogateescape", newline="") as file:
        file.write(f"lot,weight,at\nA1,{text},2026-11-25\n" if number % 2 else text)
    batch = ("--salt", "2.75", "--curing-salt", "no2", "--cure", "0.25", "--rules", "us")
    return [
        ["weigh", "A1", text, "--json", "--yes"],
        ["weigh", text, "1043 g"],
        ["note", "A1", text],
        ["air", "add", "Cellar", text],
        ["air", "add", "Cellar", "12C", text, "--at", text],
        ["place", "add", text, "--temp", text],
        ["batch", "add", "--name", text, "--green", "1134 g", *batch],
        ["batch", "add", "--name", "x", "--green", text, *batch],
        ["dose", "--green", "1 kg", "--salt", text, "--json"],
        ["dose", "--green", "1 kg", "--salt", "3", "--curing-salt", text, "--cure", "0.25"],
        ["stage", "A2", "equalising", "--at", text, "--note", text],
        ["stage", "A2", text],
        ["rebase", "A3", text, "--after", text],
        ["history", text],
        ["import", given_file],
        ["import", given_file, "--dry-run"],
        ["undo", text],
        [text],
        ["air", "read", "Cellar"],
        ["check"],
        ["history", "--json"],
    ][number % 21]


def not_finite(path: str) -> int:
    """Numbers in the file that are no numbers (SQLite keeps infinity, and NaN as NULL)."""
    found: list[Any] = []
    with closing(sqlite3.connect(path)) as conn:
        tables = [
            row[0]
            for row in conn.execute(
                "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%'"
            )
        ]
        for table in tables:
            rows = conn.execute(f"SELECT * FROM {table}")
            names = [column[0] for column in rows.description]
            for row in rows:
                found += [v for v in row if isinstance(v, float) and not math.isfinite(v)]
                for name, value in zip(names, row, strict=True):
                    if name in IN_JSON and value is not None:
                        json.loads(value, parse_constant=found.append)
    return len(found)


def main() -> int:
    """Print the figures; 1 at a fault, a number that is none, or another weight than echoed."""
    entries = int(sys.argv[1]) if len(sys.argv) > 1 else 100_000
    start = time.monotonic()
    with tempfile.TemporaryDirectory() as folder:
        os.environ["XDG_STATE_HOME"] = folder
        found = run(entries, folder)
        trace = f"{folder}/curedash/trace.log"
        if os.path.exists(trace):
            with open(trace) as log:
                print(log.read()[-6000:], file=sys.stderr)
    words = ", ".join(f"{name} {value}" for name, value in found.items())
    print(f"entries: {words} ({time.monotonic() - start:.0f} s)")
    wrong = (
        "faults",
        "not finite",
        "not finite in the file",
        "other than the echo",
        "more than a sentence",
        "sent to the terminal",
    )
    return int(any(found[name] for name in wrong))


if __name__ == "__main__":
    sys.exit(main())
