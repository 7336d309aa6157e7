"""Turns, pH and degree-hours, freezing counts: logged from the shell, told by check."""

from collections.abc import Callable
from datetime import UTC, datetime
from typing import Any

import pytest

from curedash.services.file.demo import build_demo
from tests.cli.conftest import BATCH, Done

Shell = Callable[..., Done]
RAW = tuple(word for word in BATCH if word not in ("--salted-on", "2026-11-01"))


def needs(shell: Shell, at: str | None = None) -> list[dict[str, Any]]:
    more = () if at is None else ("--now", at)
    found: list[dict[str, Any]] = shell("check", "--json", *more).json
    return found


def causes(shell: Shell, at: str | None = None) -> list[tuple[str, str]]:
    return [(need["level"], need["cause"]) for need in needs(shell, at)]


def salted(shell: Shell, day: str, *more: str) -> None:
    words = list(BATCH)
    words[words.index("--salted-on") + 1] = day
    done = shell(*words, *more)
    assert done.code == 0, done.err


# ── turning ───────────────────────────────────────────────────────────────────────────────


def test_a_turn_is_due_every_second_day_and_told_once_a_place(shell: Shell) -> None:
    salted(shell, "2026-11-24")
    assert causes(shell) == []
    assert shell("check", "--now", "2026-11-26T08:00Z").code == 1
    (need,) = needs(shell, "2026-11-26T08:00Z")
    assert (need["cause"], need["place"], need["lot"]) == ("turn-due", "Fridge 2", None)
    assert "A1, A2" in need["message"]
    assert shell("turn", "A1", "--now", "2026-11-26T09:00Z").code == 0
    (need,) = needs(shell, "2026-11-26T10:00Z")
    assert (need["lot"], need["action"]) == ("A2", "turn the bag")
    assert (
        "turned: A1, A2" in shell("turn", "--place", "Fridge 2", "--now", "2026-11-26T11:00Z").out
    )
    assert causes(shell, "2026-11-27T23:00Z") == []
    assert causes(shell, "2026-11-28T08:00Z") == [("today", "turn-due")]


def test_the_last_turn_stands_on_the_sheet_and_undo_takes_it_back(shell: Shell) -> None:
    salted(shell, "2026-11-23")
    shell("turn", "A1", "--note", "a spoon of purge")
    sheet = shell("sheet", "A1", "--json").json
    assert (sheet["turned_at"], sheet["turn_every_days"]) == (["2026-11-25T18:00:00Z"], 2)
    shell("undo")
    assert shell("sheet", "A1", "--json").json["turned_at"] == []


def test_ground_meat_is_not_turned_and_a_box_every_third_day(shell: Shell) -> None:
    salted(shell, "2026-11-22", "--method", "ground", "--class", "comminuted")
    assert ("today", "turn-due") not in causes(shell)
    shell(
        "batch",
        "add",
        "--name",
        "leg",
        "--green",
        "9 kg",
        "--method",
        "salt-box",
        "--salted-on",
        "2026-11-22",
        "--thickness",
        "150mm",
    )
    (need,) = [n for n in needs(shell) if n["cause"] == "turn-due"]
    assert need["lot"] == "B1"
    assert "overhaul" in need["action"]


def test_once_it_may_come_out_no_turn_is_asked(shell: Shell) -> None:
    salted(shell, "2026-11-01")
    assert {cause for _, cause in causes(shell)} == {"cure-ready"}


def test_the_household_sets_its_own_rhythm(shell: Shell) -> None:
    salted(shell, "2026-11-22")
    assert causes(shell) == [("today", "turn-due")]
    shell("rules", "set", "turn-bag", "7")
    assert causes(shell) == []


@pytest.mark.parametrize(
    ("words", "code"),
    [
        ((), 64),
        (("A1", "--place", "Fridge 2"), 64),
        (("A9",), 66),
        (("A1", "--at", "2026-10-01"), 65),
        (("--place", "Attic"), 66),
    ],
)
def test_a_turn_that_cannot_be(shell: Shell, words: tuple[str, ...], code: int) -> None:
    salted(shell, "2026-11-23")
    done = shell("turn", *words)
    assert (done.code, done.err.count("\n")) == (code, 1)
    assert shell("sheet", "A1", "--json").json["turned_at"] == []


# ── ferment ───────────────────────────────────────────────────────────────────────────────


@pytest.fixture
def ferment(shell: Shell) -> Shell:
    """Two sausages fermenting since the 23rd, 18:00, in a place read every hour at 24 °C."""
    shell("place", "add", "Warm box", "--watch", "sensor")
    done = shell(
        "batch",
        "add",
        "--name",
        "salami",
        "--style",
        "salami-thin",
        "--green",
        "600 g",
        "--green",
        "620 g",
        "--curing-salt",
        "no2",
        "--cure",
        "0.2",
        "--scale",
        "0.1",
        "--rules",
        "us",
        "--salted-on",
        "2026-11-23",
    )
    assert done.code == 0, done.err
    for code in ("A1", "A2"):
        done = shell(
            "stage",
            code,
            "ferment",
            "--at",
            "2026-11-23T18:00Z",
            "--weight",
            "600 g",
            "--place",
            "Warm box",
        )
        assert done.code == 0, done.err
    read(shell, "24C", 18, 66)
    return shell


def read(shell: Shell, temp: str, first_h: int, last_h: int, every: int = 1) -> None:
    """Readings so many hours after the 23rd, 00:00."""
    for hour in range(first_h, last_h + 1, every):
        at = f"2026-11-{23 + hour // 24:02}T{hour % 24:02}:00Z"
        assert shell("air", "add", "Warm box", temp, "78%", "--at", at, "--now", at).code == 0


def lot(shell: Shell, code: str = "A1") -> dict[str, Any]:
    return next(one for one in shell("lots", "--json").json if one["code"] == code)


def test_degree_hours_stand_in_the_document_of_the_lot(ferment: Shell) -> None:
    found = lot(ferment)["ferment"]
    # by hand: 48 h at 24 °C above 15.56 °C (60 °F)
    assert found["degree_hours_c"] == pytest.approx(48 * (24 - 140 / 9), abs=0.01)
    assert found["limit_c_h"] == pytest.approx(1200 / 1.8, abs=0.01)
    assert (found["known"], found["over"], found["ph"]) == (True, False, None)
    assert causes(ferment) == [("today", "ph-due"), ("today", "ph-due")]


def test_a_ph_is_logged_and_ends_it(ferment: Shell) -> None:
    done = ferment("ph", "A1", "5,4", "--at", "2026-11-24T18:00Z", "--json")
    assert done.code == 0, done.err
    assert done.json["ferment"]["ph_reached"] is False
    assert [need["lot"] for need in needs(ferment)] == ["A2"]
    ferment("ph", "A1", "5.2", "--note", "meter, thick end")
    shown = ferment("ph", "A1").out
    assert "pH 5.4" in shown
    assert "5.3 reached: the count has ended" in shown
    assert lot(ferment)["ferment"]["ph_reached"] is True
    ferment("undo")
    assert lot(ferment)["ferment"]["ph"] == 5.4


def test_over_the_limit_without_a_ph_is_act(ferment: Shell) -> None:
    read(ferment, "24C", 67, 98)
    # log form, 75 °F (23.9 °C): 80 h at most
    assert ("act", "degree-hours-over") not in causes(ferment, "2026-11-26T23:00Z")
    assert causes(ferment, "2026-11-27T02:00Z").count(("act", "degree-hours-over")) == 2
    ferment("ph", "A1", "5.3", "--now", "2026-11-27T02:00Z")
    found = needs(ferment, "2026-11-27T02:00Z")
    assert [n["lot"] for n in found if n["cause"] == "degree-hours-over"] == ["A2"]
    (late,) = [n for n in found if n["cause"] == "ph-late"]
    assert (late["lot"], late["level"], late["action"]) == ("A1", "act", "decide: keep or discard")
    assert late["message"].startswith("pH 5.3 was measured only after 8")


def test_a_gap_of_over_six_hours_is_unknown_and_act(ferment: Shell) -> None:
    assert ("act", "degree-hours-unknown") not in causes(ferment, "2026-11-25T23:59Z")
    assert ("act", "degree-hours-unknown") in causes(ferment, "2026-11-26T00:30Z")
    assert lot(ferment, "A1")["ferment"]["known"] is True
    words = ferment("ph", "A1", "--now", "2026-11-26T00:30Z").out
    assert "unknown" in words


def test_a_move_takes_the_readings_of_the_new_place(ferment: Shell) -> None:
    before = lot(ferment)["ferment"]["degree_hours_c"]
    ferment("place", "add", "Cold box", "--watch", "sensor")
    assert ferment("move", "A1", "Cold box").code == 0
    for hour in range(19, 24):
        ferment("air", "add", "Cold box", "10C", "--now", f"2026-11-25T{hour}:00Z")
    read(ferment, "35C", 67, 71)
    found = ferment("ph", "A1", "--json", "--now", "2026-11-25T23:00Z").json["ferment"]
    # one hour at the warmer of its ends, then nothing adds up at 10 °C
    assert found["degree_hours_c"] <= before + 24 - 140 / 9 + 0.01
    assert found["known"]


@pytest.mark.parametrize("text", ["2", "9", "nan", "sour", "-5", "5.2.1", ""])
def test_what_is_no_ph_is_refused(ferment: Shell, text: str) -> None:
    done = ferment("ph", "A1", text)
    assert (done.code, done.err.count("\n")) == (65, 1)
    assert ferment("ph", "A1", "--json").json["log"] == []


def test_a_household_that_ferments_nothing_loads_nothing_of_it(shell: Shell, db_path: str) -> None:
    import subprocess
    import sys

    salted(shell, "2026-11-24")
    code = (
        "import sys; from curedash.__main__ import main\n"
        f"main(['--db', {db_path!r}, '--now', '2026-11-25T18:00Z', 'check'])\n"
        "names = ('ferment', 'degree_hours', 'freez', 'dataclasses')\n"
        "loaded = [m for m in sys.modules if any(name in m for name in names)]\n"
        "print('LOADED', loaded)\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True)
    assert "LOADED []" in done.stdout, done.stdout + done.stderr


# ── freezing ──────────────────────────────────────────────────────────────────────────────


@pytest.fixture
def pork(shell: Shell) -> Shell:
    words = [word if word != "beef" else "pork" for word in RAW]
    assert shell(*words).code == 0
    return shell


def test_a_freezing_count_runs_is_told_and_ends(pork: Shell) -> None:
    done = pork(
        "freeze",
        "A1",
        "--from",
        "2026-11-10T18:00Z",
        "--warmest",
        "-18C",
        "--chilled",
        "3C",
        "--json",
    )
    assert done.code == 0, done.err
    # former 9 CFR 318.10(c)(2) table 1: 5 °F (−15 °C), up to 6 in: 20 d
    assert done.json["row"]["days"] == 20
    assert (done.json["counted_days"], done.json["to_go_days"]) == (15, 5)
    assert done.json["due"] == "2026-11-30T18:00:00Z"
    assert "318.10" in done.json["row"]["source"]
    assert "freezing-over" not in [cause for _, cause in causes(pork)]
    assert ("today", "freezing-over") in causes(pork, "2026-11-30T19:00Z")
    ended = pork(
        "freeze", "A1", "--to", "2026-11-30T20:00Z", "--now", "2026-12-01T08:00Z", "--json"
    )
    assert (ended.json["ended"], ended.json["to_go_days"]) == (True, 0)
    assert ("today", "freezing-over") not in causes(pork, "2026-12-01T09:00Z")


def test_a_warmer_reading_takes_the_credit_back_for_good(pork: Shell) -> None:
    pork("freeze", "A1", "--from", "2026-11-10", "--warmest", "-24C")
    assert pork("freeze", "A1", "--json").json["row"]["days"] == 10
    pork("freeze", "A1", "--warmest", "-14C")
    pork("freeze", "A1", "--warmest", "-30C")
    found = pork("freeze", "A1", "--json").json
    assert (found["warmest_c"], found["row"], found["to_go_days"]) == (-14, None, None)
    assert "no credit" in pork("freeze", "A1").out


def test_thick_meat_needs_longer_and_the_table_is_shown(pork: Shell) -> None:
    done = pork("freeze", "A1", "--from", "2026-11-10", "--warmest", "-18C", "--thickness", "7in")
    assert " 0 of 30 d" in done.out
    assert done.out.count(" d (") == 6
    assert "4 °C or colder" in done.out
    assert "wild game" in done.err
    assert pork("freeze", "A1", "--chilled", "3C").err == ""  # said once


@pytest.mark.parametrize("chilled", [(), ("--chilled", "8C")])
def test_no_day_counts_until_the_meat_is_known_to_be_cold(
    pork: Shell, chilled: tuple[str, ...]
) -> None:
    # former 9 CFR 318.10(c)(2): the count begins with the pork at 40 °F (4 °C) or colder
    done = pork("freeze", "A1", "--from", "2026-11-01", "--warmest", "-18C", *chilled, "--json")
    assert (done.json["counted_days"], done.json["to_go_days"], done.json["due"]) == (0, 20, None)
    assert "Nothing is counted yet" in done.json["messages"][0]
    assert ("today", "freezing-not-begun") in causes(pork)
    assert "freezing-over" not in [cause for _, cause in causes(pork, "2026-12-30T08:00Z")]
    cold = pork("freeze", "A1", "--from", "2026-11-02", "--chilled", "4C", "--json")
    assert (cold.json["counted_days"], cold.json["due"][:10]) == (23.25, "2026-11-22")
    found = causes(pork)
    assert ("today", "freezing-over") in found
    assert ("today", "freezing-not-begun") not in found


def test_the_warmest_is_read_off_a_watched_freezer(pork: Shell) -> None:
    assert pork("freeze", "A1", "--from", "2026-11-10").code == 65
    pork("place", "add", "Freezer")
    for day, temp in ((11, "-20C"), (12, "-16C"), (13, "-21C")):
        pork("air", "add", "Freezer", temp, "--at", f"2026-11-{day}")
    done = pork("freeze", "A1", "--from", "2026-11-10", "--place", "Freezer", "--json")
    assert done.json["warmest_c"] == -16
    told = pork(
        "freeze",
        "A2",
        "--from",
        "2026-11-10",
        "--place",
        "Freezer",
        "--warmest",
        "-15.5C",
        "--json",
    )
    assert told.json["warmest_c"] == -15.5


@pytest.mark.parametrize("species", ["Wild boar", "venison", "beef", "feral hog", "hog"])
def test_no_credit_but_for_domestic_pork(shell: Shell, species: str) -> None:
    assert shell(*[word if word != "beef" else species for word in RAW]).code == 0
    done = shell(
        "freeze", "A1", "--from", "2026-10-01", "--warmest", "-30C", "--chilled", "2C", "--json"
    )
    assert (done.json["row"], done.json["to_go_days"]) == (None, None)
    assert "pork only" in done.json["messages"][0]
    assert not {"freezing-over", "freezing-not-begun"} & {cause for _, cause in causes(shell)}


def test_a_planned_end_is_told_on_its_day(pork: Shell) -> None:
    pork("freeze", "A1", "--from", "2026-11-20", "--to", "2026-12-20", "--warmest", "-14C")
    assert pork("freeze", "A1", "--json").json["ended"] is False
    assert ("today", "freezing-over") in causes(pork, "2026-12-20T08:00Z")


@pytest.mark.parametrize(
    ("words", "code"),
    [
        ((), 66),
        (("--warmest", "-18C"), 65),
        (("--from", "2026-11-10", "--warmest", "cold"), 65),
        (("--from", "2026-11-10", "--warmest", "-18C", "--to", "2026-11-09"), 65),
        (("--from", "2027-11-10", "--warmest", "-18C"), 65),
        (("--from", "2026-11-10", "--warmest", "-18C", "--thickness", "0mm"), 65),
        (("--from", "2026-11-10", "--place", "Attic"), 66),
    ],
)
def test_a_step_that_cannot_be_is_not_kept(pork: Shell, words: tuple[str, ...], code: int) -> None:
    done = pork("freeze", "A1", *words)
    assert (done.code, done.err.count("\n")) == (code, 1), done.err
    assert pork("freeze", "A1").code == 66


def test_no_nitrite_in_a_sausage_is_kept_only_with_its_reason(shell: Shell) -> None:
    sausage = (
        "batch",
        "add",
        "--name",
        "Salami",
        "--style",
        "salami-thick",
        "--green",
        "2 kg",
        "--scale",
        "0.1",
        "--curing-salt",
        "none",
    )
    done = shell(*sausage)
    assert done.code == 65
    assert "why is it left out? Nothing was saved; give --because no-nitrite=REASON." in done.err
    assert shell("lots", "--json").json == []
    kept = shell(*sausage, "--because", "no-nitrite=eaten in a week", "--json")
    assert kept.code == 0, kept.err
    assert any("eaten in a week" in text for text in kept.json["lots"][0]["messages"])


def test_a_short_immersion_is_overdue_after_its_day(shell: Shell) -> None:
    done = shell(
        "batch",
        "add",
        "--name",
        "Duck",
        "--green",
        "1 kg",
        "--method",
        "immersion",
        "--pickup",
        "10",
        "--salt",
        "10",
        "--curing-salt",
        "no1",
        "--cure",
        "2",
        "--thickness",
        "40mm",
        "--salted-on",
        "2026-11-10",
        "--eaten",
        "cooked-soon",
    )
    assert done.code == 0, done.err
    (need,) = [n for n in needs(shell) if n["cause"] == "pick-up-overdue"]
    assert need["level"] == "act"
    assert "left in, it goes on taking up salt and nitrite" in need["action"]
    assert ("today", "cure-ready") not in causes(shell)


def test_a_fermented_style_hung_without_its_ferment_wants_a_note(shell: Shell) -> None:
    shell(
        "batch",
        "add",
        "--name",
        "Salami",
        "--style",
        "salami-thick",
        "--green",
        "2 kg",
        "--scale",
        "0.1",
        "--salted-on",
        "2026-11-24",
    )
    move = ("stage", "A1", "drying", "--weight", "2010 g", "--tare", "10 g")
    done = shell(*move)
    assert done.code == 65
    assert "This style ferments first, and this lot has not fermented" in done.err
    assert shell(*move, "--note", "an unfermented kind").code == 0


# ── what a command gives back ─────────────────────────────────────────────────────────────


def test_a_command_gives_a_fermenting_lot_as_lots_lists_it(shell: Shell, db_path: str) -> None:
    build_demo(db_path, datetime(2026, 11, 25, 18, tzinfo=UTC))
    moved = shell("move", "J1", "Landing fridge", "--yes", "--json")
    assert moved.code == 0, moved.err
    (listed,) = (lot for lot in shell("lots", "--json").json if lot["code"] == "J1")
    assert listed["ferment"] is not None
    assert moved.json["ferment"] == listed["ferment"]
