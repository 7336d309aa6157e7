"""A save that meets another program, another person or a file that takes nothing."""

import os
import sqlite3
from datetime import UTC, datetime

import pytest
from textual import events

from curedash.domain.times import utc_text
from curedash.services.find import require_lot
from curedash.services.weighing.correct import put_tare_right
from curedash.services.weighing.weigh import preview, weigh
from curedash.store.open import open_db
from curedash.store.work import By
from curedash.tui.app import make_page
from tests.tui.conftest import NAMES
from tests.tui.test_new_batch import EYE, SALTED, fill

NOW = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)
COUNT = "SELECT count(*) FROM weigh_in WHERE voided_at IS NULL"


def weigh_elsewhere(path: str, code: str, text: str) -> None:
    """What another program does to the same file."""
    conn = open_db(str(path))
    lot = require_lot(conn, code)
    seen = preview(lot, text, NOW, UTC)
    weigh(conn, By(utc_text(NOW), "jon", "shell", "other"), lot.id, seen, keep_doubtful=True)
    conn.close()


async def test_a_busy_file_is_tried_again_and_the_entry_goes_through(household, sit, monkeypatch):
    monkeypatch.setattr("curedash.tui.chassis.writer.WRITER_TIMEOUT_S", 0.1)
    path = household()
    async with sit(path) as seat:
        other = sqlite3.connect(path, isolation_level=None)
        other.execute("BEGIN IMMEDIATE")
        await seat.type("1181\r")
        for _ in range(40):
            await seat.pilot.pause(0.05)
            if "trying again" in seat.text():
                break
        assert "busy: another program is writing; trying again" in seat.text()
        assert "1181" in seat.text()
        other.execute("ROLLBACK")
        other.close()
        await seat.settle()
        assert "Saved C1: 1153 g net" in seat.text()
        assert seat.ask(COUNT) == [(37,)]


async def test_somebody_who_weighed_it_meanwhile_is_shown_first(household, sit):
    path = household()
    async with sit(path) as seat:
        await seat.type("1181")
        weigh_elsewhere(path, "C1", "1183 g")
        await seat.press("enter")
        await seat.settle()
        assert "C1 was weighed just now: 1183 g on the scale. Keep both?" in seat.text()
        assert seat.ask(COUNT) == [(37,)]
        await seat.press("k")
        await seat.settle()
        assert seat.ask(COUNT) == [(38,)]


async def test_a_tare_corrected_meanwhile_is_shown_before_the_weight_is_saved(household, sit):
    """Typed with 28 g of tare; corrected elsewhere to 60 g before Enter."""
    path = household()
    async with sit(path) as seat:
        await seat.type("1181")
        conn = open_db(str(path))
        lot = require_lot(conn, "C1")
        put_tare_right(conn, By(utc_text(NOW), "jon", "shell", "other"), lot.id, 60)
        conn.close()
        await seat.press("enter")
        await seat.settle()
        text = " ".join(seat.text().split())
        assert "its tare is 60 g now, no longer 28 g. Save it with that tare?" in text
        assert "It is 1121 g net." in text
        assert seat.ask(COUNT) == [(36,)]
        await seat.press("k")
        await seat.settle()
        assert seat.ask("SELECT gross_g, tare_g, net_g FROM weigh_in ORDER BY id DESC LIMIT 1") == [
            (1181, 60, 1121)
        ]


async def test_a_tasting_answered_while_another_changes_the_tare_is_asked_about(household, sit):
    """The questions of a chain rest on the lot as it was when the first one was put."""
    path = household()
    async with sit(path) as seat:
        await seat.press("enter")
        await seat.settle()
        await seat.press("c")
        await seat.type("11")
        await seat.type("1181\r")
        await seat.type("1081")
        conn = open_db(str(path))
        lot = require_lot(conn, "C1")
        put_tare_right(conn, By(utc_text(NOW), "jon", "shell", "other"), lot.id, 60)
        conn.close()
        await seat.press("enter")
        await seat.settle()
        text = " ".join(seat.text().split())
        assert "jon changed it meanwhile: correct tare C1 28 g to 60 g." in text
        assert seat.ask("SELECT count(*) FROM rebase") == [(0,)]
        await seat.press("k")
        await seat.settle()
        kept = seat.ask("SELECT before_g, after_g, tare_before_g, factor FROM rebase")
        assert kept == [(1181, 1081, 60, 1021 / 1121)]


async def test_a_second_weight_of_the_same_lot_asks_and_esc_keeps_the_first(household, sit):
    async with sit(household()) as seat:
        await seat.type("1181\r")
        await seat.settle()
        await seat.type("1180\r")
        await seat.settle()
        assert "C1 was weighed just now: 1181 g on the scale. Keep both?" in seat.text()
        await seat.press("escape", "escape")
        assert seat.ask(COUNT) == [(37,)]


def fill_up(conn, _by) -> None:
    """From here on the driver says what it says on a full disk (endurance fills a real one)."""
    conn.execute(
        "CREATE TEMP TRIGGER full BEFORE INSERT ON main.weigh_in"
        " BEGIN SELECT RAISE (ABORT, 'database or disk is full'); END"
    )


async def test_a_weight_the_file_does_not_take_stays_and_is_kept_elsewhere(household, sit):
    path = household()
    async with sit(path) as seat:
        seat.app.screen.write(fill_up, lambda _: None)
        await seat.settle()
        await seat.type("1181 g\r")
        assert seat.ask(COUNT) == [(36,)]
        assert "1181 g▏" in seat.text()
        assert "Not saved in the file; 1181 g is in " in seat.text()
        await seat.press("enter")
    kept = os.path.join(os.environ["XDG_STATE_HOME"], "curedash", "unsaved.txt")
    with open(kept) as file:
        assert file.read() == (
            f"curedash weigh C1 '1181 g' --at 2026-11-25T09:00:00Z --db {path}\n"
        )


@pytest.mark.parametrize("minutes", [0, 9])
def test_the_shell_asks_about_a_second_weight_within_ten_minutes(tmp_path, minutes, capsys):
    from curedash.__main__ import main
    from tests.endurance.household import build

    path = f"{tmp_path}/h.db"
    build(path)
    run = ["--db", path, "weigh", "A1", "900 g", "--yes", "--at"]
    assert main([*run, "2026-11-25T12:00:00Z", "--now", "2026-11-25T18:00Z"]) == 0
    again = [
        "--db",
        path,
        "weigh",
        "A1",
        "899 g",
        "--at",
        f"2026-11-25T12:{minutes:02}:00Z",
        "--now",
        "2026-11-25T18:00Z",
    ]
    assert main(again) == 65
    assert "A1 was weighed" in capsys.readouterr().err
    assert main([*again, "--yes"]) == 0
    later = again.copy()
    later[6] = "2026-11-25T12:30:00Z"
    assert main(later) == 0


def leave_half_typed(path) -> None:
    """A weight that was being typed when the terminal went away."""
    from curedash.services.file.drafts import keep

    conn = open_db(str(path))
    keep(conn, "weigh", {"lot_id": require_lot(conn, "C2").id, "text": "118"}, NOW)
    conn.close()


@pytest.mark.parametrize(("key", "waits"), [("y", 0), ("n", 0), ("escape", 1)])
async def test_a_half_typed_weight_is_offered_at_the_next_start(household, sit, key, waits):
    path = household()
    leave_half_typed(path)
    async with sit(path) as seat:
        await seat.pilot.pause(0.1)
        assert "Unfinished since 25 Nov 09:00: C2 › 118" in seat.text()
        await seat.press(key)
        assert ("C2 thin end › 118▏" in seat.text()) == (key == "y")
        assert seat.ask("SELECT count(*) FROM draft") == [(waits,)]
        assert seat.ask(COUNT) == [(36,)]


async def test_last_words_keep_what_is_half_typed(household, sit):
    async with sit(household()) as seat:
        await seat.type("118")
        seat.app.screen.terminal_gone()
        body = seat.ask("SELECT body FROM draft WHERE name = 'weigh'")[0][0]
        assert '"text": "118"' in body


async def test_the_file_is_looked_after_once_the_screen_stands(household, sit):
    path = household()
    async with sit(path) as seat:
        for _ in range(60):
            await seat.pilot.pause(0.05)
            if os.path.exists(f"{path}.backup-2026-11-25"):
                break
        assert os.path.exists(f"{path}.backup-2026-11-25")


async def shown_within(seat, words: str, seconds: float) -> bool:
    for _ in range(int(seconds / 0.05)):
        await seat.pilot.pause(0.05)
        if words in seat.text():
            return True
    return False


async def test_what_another_program_writes_is_seen_within_two_seconds(household, sit):
    path = household()
    async with sit(path, size=(104, 30)) as seat:
        before = seat.text()
        weigh_elsewhere(path, "C1", "1090 g")
        assert "30.8 of 30 %" not in before
        assert await shown_within(seat, "30.8 of 30 %", 2.0)


async def test_an_open_dashboard_shows_what_was_restored(household, sit, tmp_path):
    from curedash.services.file.backup import back_up
    from curedash.services.file.restore import restore

    path = household()
    conn = open_db(str(path))
    copy = back_up(conn, str(path), f"{tmp_path}/copy.db", NOW)
    conn.close()
    weigh_elsewhere(path, "C1", "1090 g")
    async with sit(path, size=(104, 30)) as seat:
        assert "30.8 of 30 %" in seat.text()
        restore(str(path), copy, NOW)
        for _ in range(40):
            await seat.pilot.pause(0.05)
            if "30.8 of 30 %" not in seat.text():
                break
        assert "30.8 of 30 %" not in seat.text()
        await seat.type("1181\r")
        await seat.settle()
        assert seat.ask(COUNT) == [(37,)]
        assert seat.ask("SELECT max(id) FROM change") == [(seat.app.house._last_change,)]


async def test_a_key_typed_while_saved_goes_to_the_page_that_opens_then(tmp_path, sit, monkeypatch):
    monkeypatch.setattr("curedash.tui.chassis.writer.WRITER_TIMEOUT_S", 0.1)
    path = tmp_path / "new.db"
    async with sit(path) as seat:
        await seat.press("n")
        await fill(seat, *EYE[:2], ("salted", "20 Nov"), *EYE[2:], *SALTED)
        other = sqlite3.connect(path, isolation_level=None)
        other.execute("BEGIN IMMEDIATE")
        await seat.pilot.press("f10", "t")
        assert seat.lines()[0].startswith("NEW BATCH")
        other.execute("ROLLBACK")
        other.close()
        for _ in range(100):
            await seat.pilot.pause(0.05)
            if "Turned" in seat.text():
                break
        assert "Turned: A1, A2, A3, A4" in seat.text()
        assert seat.ask("SELECT count(*) FROM event WHERE kind = 'turn'") == [(4,)]


async def test_what_is_being_made_is_named_and_where_it_went_stays_to_the_next_key(
    household, sit, monkeypatch, tmp_path
):
    monkeypatch.setattr("curedash.tui.chassis.writing_page.SAVING_SHOWN_AFTER_S", 0.001)
    async with sit(household()) as seat:
        shown = []
        real = seat.app.screen._slow

        def slow(words: str) -> None:
            shown.append(words)
            real(words)

        monkeypatch.setattr(seat.app.screen, "_slow", slow)
        await seat.press("T", "enter", "enter")
        await seat.pilot.press("ctrl+u")
        for char in f"{tmp_path}/tags.pdf\rj":  # somebody goes on while it is made
            seat.app.post_message(events.Key(NAMES.get(char, char), char))
        for _ in range(100):
            await seat.pilot.pause(0.05)
            if "Written to" in seat.text():
                break
        assert shown == ["making the PDF …"]
        await seat.pilot.pause(0.3)
        assert "Written to" in seat.text()
        (code,) = seat.ask("SELECT code FROM lot WHERE id = ?", seat.app.screen.list.cursor_key)[0]
        assert code == "C2"
        await seat.press("j")
        assert "Written to" not in seat.text()
        await seat.type("1041\r")
        assert "making" not in " ".join(shown[1:])


async def test_keys_meant_for_a_page_that_is_still_opening_wait_for_its_rows(tmp_path, sit):
    """What is typed while a save opens the dose sheet reaches its lines, not a page without any."""
    async with sit(tmp_path / "new.db") as seat:
        await seat.press("n")
        await fill(seat, *EYE, *SALTED)
        await seat.press("f10", "q")
        batch_id = seat.ask("SELECT id FROM batch")[0][0]
        page = make_page("dose_sheet", seat.app.house, batch_id=batch_id, lot_id=None)
        seat.app.push_screen(page)
        for key in ("up", "down", "question_mark"):
            page.typed_meanwhile(key, "?" if key == "question_mark" else None)
        await seat.settle()
        await seat.pilot.pause(0.1)
        assert seat.app.screen.NAME == "keys"
