"""Air, sensors, watch and check from the shell, in processes of their own where it matters."""

import io
import json
import os
import sqlite3
import subprocess
import sys
import time
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
NOW = "2026-11-25T18:00:00Z"
CRON = {"PATH": "/usr/bin:/bin", "LANG": "C"}  # what cron gives, and nothing else


def cron(db_path: str, *words: str, now: str = NOW, home: str = "/nonexistent"):
    """One command as cron runs it: hardly any environment, no terminal, no input."""
    return subprocess.run(
        [sys.executable, "-m", "curedash", "--db", db_path, "--now", now, *words],
        env={**CRON, "HOME": home, "PYTHONPATH": str(ROOT)},
        stdin=subprocess.DEVNULL,
        capture_output=True,
        timeout=60,
        check=False,
    )


def pipe(monkeypatch: pytest.MonkeyPatch, text: str | bytes) -> None:
    data = text.encode() if isinstance(text, str) else text
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(data)))


def hours(count: int, temp_c: float, end: int = 18) -> str:
    """One line every half hour up to the end of the 25th."""
    lines = []
    for n in range(2 * count + 1):
        minutes = end * 60 - 30 * n + 24 * 60
        day, minute = divmod(minutes, 24 * 60)
        at = f"2026-11-{24 + day}T{minute // 60:02}:{minute % 60:02}:00Z"
        lines.append(f"{at},{temp_c + n % 3 / 10},7{n % 9}")
    return "\n".join(reversed(lines)) + "\n"


# ── check ─────────────────────────────────────────────────────────────────────────────────


def test_check_in_cron_says_what_needs_somebody_by_its_exit_code(shell, monkeypatch, db_path):
    shell("place", "add", "Fridge 2", "--temp", "2..5C")
    nothing = cron(db_path, "check")
    assert (nothing.returncode, nothing.stdout, nothing.stderr) == (0, b"", b"")
    pipe(monkeypatch, hours(30, 5.6))
    assert shell("air", "read", "Fridge 2").code == 0
    today = cron(db_path, "check")
    assert (today.returncode, today.stderr) == (1, b"")
    line = today.stdout.decode()
    assert line.startswith("today Fridge 2: mean of 24 h is 5.7 °C, over 5")
    assert line.count("\n") == 1
    assert "\x1b" not in line
    silent = cron(db_path, "check", "--json", now="2026-11-25T22:30:00Z")
    assert silent.returncode == 2
    (need,) = json.loads(silent.stdout)
    assert (need["level"], need["cause"], need["place"]) == ("act", "place-silent", "Fridge 2")
    assert need["lot"] is None


def test_check_only_reads(shell, monkeypatch, db_path: str) -> None:
    shell("place", "add", "Fridge 2")
    pipe(monkeypatch, hours(30, 9))
    shell("air", "read", "Fridge 2")

    def contents() -> list[str]:
        with sqlite3.connect(db_path) as conn:
            return list(conn.iterdump())

    before = contents()
    for _ in range(2):
        assert cron(db_path, "check", now="2026-11-25T23:00:00Z").returncode == 2
    assert contents() == before


@pytest.mark.parametrize(
    ("day", "before", "after"),
    [("2026-10-25", "+02:00", "+01:00"), ("2026-03-29", "+01:00", "+02:00")],
)
def test_both_nights_the_clock_changes(shell, monkeypatch, db_path, day, before, after) -> None:
    """Vienna: the hours of silence are those that passed, whatever the wall says."""
    monkeypatch.setenv("TZ", "Europe/Vienna")
    monkeypatch.setenv("CUREDASH_NOW", f"{day}T04:30:00{after}")
    shell("place", "add", "Fridge 2", "--watch", "sensor")
    shell("air", "add", "Fridge 2", "4C", "75%", "--at", f"{day}T01:00:00{before}")
    elapsed = 4.5 if before == "+02:00" else 2.5
    found = shell("check", "--json")
    assert [need["cause"] for need in found.json] == ["place-silent"] * (elapsed > 3)
    if elapsed > 3:
        assert found.json[0]["message"] == "no reading for 4 h"


def test_check_of_a_broken_or_missing_file_is_one_sentence(db_path: str, tmp_path: Path) -> None:
    assert cron(db_path, "check").returncode == 66
    Path(db_path).write_bytes(b"no database at all, but long enough to be looked at" * 99)
    done = cron(db_path, "check")
    assert done.returncode == 74
    assert done.stderr.count(b"\n") == 1
    assert b"Traceback" not in done.stderr


# ── readings ──────────────────────────────────────────────────────────────────────────────


def test_a_pipe_that_goes_on_makes_its_place_watched(shell, monkeypatch) -> None:
    shell("place", "add", "Cellar", "--watch", "not-watched")
    pipe(monkeypatch, "2026-10-01T07:30,12.5,71\n2026-10-01T08:30,54.5F,71%\nrubbish\n")
    old = shell("air", "read", "Cellar", "--sensor", "logger")
    assert (old.code, old.out) == (0, "")
    assert "2 readings saved; 1 line unreadable" in old.err
    watched = {place["name"]: place["watch"] for place in shell("place", "list", "--json").json}
    assert watched == {"Cellar": "not-watched"}
    pipe(monkeypatch, '{"t": 12.4, "h": 72}\n')
    live = shell("air", "read", "Cellar", "--sensor", "logger")
    assert "watched by a sensor from now on" in live.err
    (last,) = shell("air", "last", "--json").json
    assert (last["last"]["temp_c"], last["last"]["rh_pct"], last["age_s"]) == (12.4, 72, 0)
    assert last["sensors"][0]["sensor"] == "logger"


def test_a_pipe_of_nothing_but_rubbish_says_so(shell, monkeypatch) -> None:
    shell("place", "add", "Cellar")
    pipe(monkeypatch, b"\xff\xfe\n\x00\x01\n")
    assert shell("air", "read", "Cellar").code == 65
    pipe(monkeypatch, "")
    assert shell("air", "read", "Cellar").code == 0
    assert shell("air", "read", "Attic").code == 66


def test_a_pipe_stores_what_came_before_it_was_cut(shell, db_path: str) -> None:
    """A pipe that stays open: each line is on disk when it has come, not at the end."""
    shell("place", "add", "Cellar")
    process = subprocess.Popen(
        [sys.executable, "-m", "curedash", "--db", db_path, "--now", NOW, "air", "read", "Cellar"],
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        stdin=subprocess.PIPE,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    assert process.stdin is not None
    try:
        process.stdin.write(b"2026-11-25T07:30:00Z,3.5,78\n")
        process.stdin.flush()
        for _ in range(100):
            if shell("air", "last", "--json").json[0]["last"] is not None:
                break
            time.sleep(0.05)
        else:
            raise AssertionError("nothing was saved while the pipe was open")
    finally:
        process.kill()
        process.wait()


def test_air_last_in_words(shell) -> None:
    shell("place", "add", "Cellar")
    shell("place", "add", "Attic", "--watch", "not-watched")
    shell("air", "add", "Cellar", "12.5C", "71%", "--at", "2026-11-25T17:00:00Z")
    lines = shell("air", "last").out.splitlines()
    assert lines[0].startswith("Cellar: 12.5 °C, 71 %, 60 min; day 12.5 (12.5–12.5) °C")
    assert lines[1] == "Attic: no reading yet (nobody measures here)"


def test_an_outage_is_kept_in_the_lots_it_touched(shell, batch) -> None:
    done = shell(
        "air",
        "outage",
        "Fridge 2",
        "--from",
        "yesterday 22:00",
        "--to",
        "2026-11-25T07:30",
        "--highest",
        "51.8F",
        "--json",
    )
    assert done.code == 0, done.err
    assert [item["lot"] for item in done.json] == ["A1", "A2"]
    assert done.json[0]["hours"] == 9.5
    assert done.json[0]["highest_c"] == pytest.approx(11)
    assert done.json[0]["stage"] == "in-cure"
    bad = shell(
        "air", "outage", "Fridge 2", "--from", "today", "--to", "yesterday", "--highest", "11C"
    )
    assert bad.code == 65
    assert shell("air", "outage", "Fridge 2", "--from", "today").code == 64


def test_sensors_from_the_shell(shell) -> None:
    shell("place", "add", "Cellar")
    assert shell("sensor", "add", "Cellar", "top shelf").code == 0
    done = shell("sensor", "offset", "Cellar", "top shelf", "--temp", "-0.9F", "--rh", "+2%")
    assert done.out == "Cellar: top shelf, −0.5 °C, +2.0 %\n"
    done = shell(
        "sensor",
        "salt-test",
        "Cellar",
        "top shelf",
        "--shown",
        "79%",
        "--temp",
        "20C",
        "--on",
        "2026-11-20",
    )
    assert "showed 79 %, 75.5 % is right at 20 °C" in done.out
    (listed,) = shell("sensor", "list", "--json").json
    assert listed["rh_offset_pct"] == pytest.approx(-3.53)
    assert (listed["salt_test_on"], listed["retired"]) == ("2026-11-20", False)
    assert shell("sensor", "salt-test", "Cellar", "top shelf", "--shown", "40%").code == 65
    assert shell("sensor", "offset", "Cellar", "top shelf", "--temp", "30C").code == 65
    assert shell("sensor", "offset", "Cellar", "nobody", "--temp", "1C").code == 66
    assert shell("sensor", "offset", "Cellar", "top shelf").code == 64
    assert shell("sensor", "retire", "Cellar", "top shelf").code == 0
    assert "out of use" in shell("sensor", "list").out


def test_listening_wants_a_broker_and_a_map(shell) -> None:
    shell("place", "add", "Cellar")
    assert shell("air", "listen").code == 64
    assert shell("air", "listen", "--broker", "127.0.0.1").code == 64
    assert shell("air", "listen", "--broker", "127.0.0.1", "--map", "a").code == 64
    assert shell("air", "listen", "--broker", "127.0.0.1", "--map", "a=Attic").code == 66
    assert shell("air", "listen", "--broker", "h", "--port", "0", "--map", "a=Cellar").code == 64


def test_thinning_from_the_shell(shell) -> None:
    shell("place", "add", "Cellar")
    assert shell("air", "thin", "--older-than", "10d").code == 64
    assert shell("air", "thin", "--older-than", "400d").out.startswith("0 readings")


# ── watch ─────────────────────────────────────────────────────────────────────────────────


@pytest.fixture
def warm(shell, monkeypatch: pytest.MonkeyPatch):
    """A place that is warm, with a name that a shell would trip over."""
    shell("place", "add", "Fridge; touch $(pwd)/oops", "--temp", "2..5C")
    pipe(monkeypatch, hours(30, 5.6))
    shell("air", "read", "Fridge; touch $(pwd)/oops")
    return shell


def test_watch_runs_a_command_with_arguments_and_no_shell(warm, tmp_path: Path) -> None:
    told = tmp_path / "told"
    script = "import json, sys; open(sys.argv[1], 'a').write(json.dumps(sys.argv[2:]) + chr(10))"
    command = ("watch", "--once", "--exec", sys.executable, "-c", script, str(told), "--now", "-5")
    assert warm(*command).code == 0
    assert warm(*command).code == 0
    (line,) = told.read_text().splitlines()
    words = json.loads(line)
    assert words[:2] == ["--now", "-5"]
    assert words[2:5] == ["today", "place-warm", "Fridge; touch $(pwd)/oops"]
    assert words[5].startswith("mean of 24 h is 5.7 °C")
    assert len(words) == 7
    assert not list(tmp_path.glob("**/oops"))


def test_watch_tells_again_what_its_command_could_not_tell(warm) -> None:
    failing = ("watch", "--once", "--exec", sys.executable, "-c", "raise SystemExit(3)")
    for _ in range(2):
        done = warm(*failing)
        assert done.code == 0
        assert "ended with exit code 3; it is tried again at the next check." in done.err
    assert "place" not in warm("watch", "--once").err
    assert warm("watch", "--once").out == ""


def test_watch_words_a_command_that_cannot_be_run(warm, tmp_path) -> None:
    no_program = tmp_path / "bell"
    no_program.write_bytes(b"\0")
    no_program.chmod(0o755)
    done = warm("watch", "--once", "--exec", str(no_program))
    assert "bell could not be run (Exec format error); it is tried again" in done.err


def test_watch_prints_what_is_new_and_what_cleared(warm, monkeypatch) -> None:
    first = warm("watch", "--once")
    assert first.out.startswith("today Fridge; touch")
    monkeypatch.setenv("CUREDASH_NOW", "2026-11-25T23:30:00Z")
    second = warm("watch", "--once")
    assert "now   Fridge; touch $(pwd)/oops: no reading for 6 h" in second.out
    assert "clear mean of 24 h is 5.7 °C" in second.out


def test_watch_wants_a_command_that_is_there(shell) -> None:
    shell("place", "add", "Cellar")
    assert shell("watch", "--once", "--exec").code == 64
    assert shell("watch", "--once", "--exec", "no-such-command-here").code == 66
    assert shell("watch", "--every", "0").code == 64


def test_watch_goes_on_until_it_is_stopped(shell, db_path: str) -> None:
    shell("place", "add", "Cellar")
    process = subprocess.Popen(
        [sys.executable, "-m", "curedash", "--db", db_path, "watch", "--every", "1"],
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    )
    try:
        with pytest.raises(subprocess.TimeoutExpired):
            process.wait(1.5)
    finally:
        process.terminate()
        _, err = process.communicate(timeout=5)
    assert b"Traceback" not in err


def test_a_place_is_changed_and_a_name_in_use_refused(shell) -> None:
    shell("place", "add", "Cellar")
    shell("place", "add", "Attic")
    done = shell("place", "set", "cellar", "--rh", "70..80%", "--watch", "not-watched")
    assert done.out == "Cellar, 70–80 % RH, nobody measures here\n"
    assert shell("place", "set", "Attic", "--rename", "Cellar").code == 65
    assert shell("place", "set", "Attic", "--rename", "attic").out.startswith("attic")
    assert shell("place", "set", "Loft").code == 66


# ── a reading by hand is judged at once ───────────────────────────────────────────────────


def test_a_reading_by_hand_outside_its_band_is_told_at_once(shell):
    """By the band of the place, as the household set it."""
    shell("place", "add", "Cellar", "--temp", "10..14C", "--rh", "72..82%")
    dry = shell("air", "add", "Cellar", "13C", "62%")
    assert "62 % is below 72–82 %" in dry.out
    assert dry.out.count("\n") == 1
    warm = shell("air", "add", "Cellar", "17C", "90%", "--at", "2026-11-25T17:00Z", "--json")
    assert warm.json["out_of_bounds"] == ["17 °C is above 10–14 °C", "90 % is above 72–82 %"]
    inside = shell("air", "add", "Cellar", "12C", "75%", "--at", "2026-11-25T16:00Z")
    assert inside.out == "Cellar: 12.0 °C, 75 % saved\n"


def test_a_reading_by_hand_is_held_against_the_stages_inside(shell):
    shell("place", "add", "Fridge 2", "--temp", "2..8C")
    added = shell(
        "batch",
        "add",
        "--name",
        "Eye",
        "--species",
        "beef",
        "--green",
        "1 kg",
        "--salt",
        "2.75",
        "--scale",
        "0.1",
        "--salted-on",
        "2026-11-20",
        "--place",
        "Fridge 2",
        "--thickness",
        "60mm",
    )
    assert added.code == 0, added.err
    warm = shell("air", "add", "Fridge 2", "7.5C")
    assert "7.5 °C is over 7 °C, the limit for A1 (in cure)" in warm.out
    mild = shell("air", "add", "Fridge 2", "6C", "--at", "2026-11-25T17:00Z")
    assert "6 °C is over 5 °C, the limit for A1 (in cure)" in mild.out
    cold = shell("air", "add", "Fridge 2", "1C", "--at", "2026-11-25T16:00Z")
    assert "1 °C is below 2–8 °C" in cold.out
    assert "1 °C is under 2 °C, the limit for A1 (in cure)" in cold.out


def test_after_a_warm_reading_by_hand_something_needs_you(shell):
    """19 °C over meat in the cure: one reading is not a mean, but nothing is fine after it."""
    shell("place", "add", "Cellar", "--temp", "2..8C")
    shell(
        "batch",
        "add",
        "--name",
        "Eye",
        "--species",
        "beef",
        "--green",
        "1 kg",
        "--salt",
        "2.75",
        "--scale",
        "0.1",
        "--salted-on",
        "2026-11-20",
        "--place",
        "Cellar",
        "--thickness",
        "60mm",
    )
    warm = ("air", "add", "Cellar", "19C", "92%", "--at", "2026-11-25T16:00Z")
    asked = shell(*warm)
    assert "19 °C in Cellar, band 2–8 °C: is that right? Nothing was saved." in asked.err
    assert shell(*warm, "--yes").code == 0

    def needs() -> list[dict[str, object]]:
        found = shell("check", "--json").json
        return [need for need in found if need["cause"] == "place-read-out"]

    (need,) = needs()
    assert need["level"] == "today"
    assert need["message"] == "19 °C is over 7 °C, the limit for A1 (in cure), read by hand"
    assert need["action"] == "adjust the fridge, heater or humidifier there, and take a new reading"
    shell("air", "add", "Cellar", "4C", "80%", "--at", "2026-11-25T17:00Z")
    assert needs() == []


def test_a_place_read_by_hand_is_asked_for_a_reading_and_not_for_its_sensor(shell):
    shell("place", "add", "Cellar", "--temp", "10..14C")
    shell("air", "add", "Cellar", "12C", "--at", "2026-11-20T08:00Z")
    assert not shell("check", "--json").json, "it is empty"
    eye = ("--name", "Eye", "--species", "beef", "--green", "1 kg", "--salt", "2.75")
    cured = ("--scale", "0.1", "--salted-on", "2026-11-20", "--thickness", "60mm")
    assert shell("batch", "add", *eye, *cured, "--place", "Cellar").code == 0
    found = shell("check", "--json").json
    told = next(need for need in found if need["cause"] == "place-silent")
    assert told["action"] == "read its thermometer and hygrometer, and log the reading"
    assert "sensor" not in told["action"]
