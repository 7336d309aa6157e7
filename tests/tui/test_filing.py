"""Tags, records, calendar, export and copies from the screens: asked, written, said."""

import gzip
import json
import os
import sqlite3
import stat
from contextlib import closing
from datetime import timedelta
from pathlib import Path

import pytest

from curedash.services.file import backup
from curedash.store.file_trouble import SCHEMA_VERSION
from curedash.store.open import open_db
from curedash.tui.screens.palette import matching
from tests.tui.conftest import NOW
from tests.tui.test_lot_screen import open_lot


def home() -> Path:
    return Path(os.path.expanduser("~"))


def weigh_ins(path) -> int:
    with closing(sqlite3.connect(path)) as conn:
        return conn.execute("SELECT count(*) FROM weigh_in").fetchone()[0]


async def test_the_tag_of_a_lot_goes_into_the_own_folder_by_enter_alone(household, sit):
    async with sit(household()) as seat:
        await open_lot(seat, "C1")
        await seat.press("T", "enter", "enter")
        assert "tags to › ~/tags-C1.pdf" in seat.text()
        await seat.press("enter")
        written = home() / "tags-C1.pdf"
        assert written.read_bytes().startswith(b"%PDF")
        assert stat.S_IMODE(written.stat().st_mode) == 0o600
        said = "".join(line.strip() for line in seat.lines()[-3:-1])
        assert said.replace("Written to ", "Written to").endswith(f"Written to{written}")
        await seat.press("T", "enter", "enter", "enter")
        assert "is there already" in " ".join(seat.text().split())
        written.write_bytes(b"mine")
        await seat.press("escape")
        assert written.read_bytes() == b"mine"


async def test_tags_of_the_batch_or_of_the_rows_shown_from_the_rack(household, sit, tmp_path):
    async with sit(household()) as seat:
        seat.app.screen.list.move_to(seat.ask("SELECT id FROM lot WHERE code = 'D1'")[0][0])
        await seat.press("T", "2", "enter")
        await seat.type(f"{tmp_path}/batch.txt\r")
        batch = (tmp_path / "batch.txt").read_text()
        assert [code for code in ("C1", "D1", "D2", "D3") if f"{code}\n" in batch] == [
            "D1",
            "D2",
            "D3",
        ]
        await seat.press("L", "3", "T", "3", "enter")
        await seat.type(f"{tmp_path}/shown.txt\r")
        shown = (tmp_path / "shown.txt").read_text()
        assert [code for code in ("C1", "D1", "D2", "D3") if f"{code}\n" in shown] == ["D1", "D2"]


async def test_the_record_of_a_lot(household, sit, tmp_path):
    async with sit(household()) as seat:
        await open_lot(seat, "C1")
        await seat.type("1181\r")
        await seat.press("R", "enter")
        assert "record to › ~/record-C1.pdf" in seat.text()
        await seat.type(f"{tmp_path}/c1.md\r")
        assert "1181" in (tmp_path / "c1.md").read_text()
        await seat.press("R", "enter")
        await seat.type(f"{tmp_path}/nowhere/c1.md\r")
        assert "No such folder: " in seat.text()


async def test_the_ending_decides_the_form_and_none_means_a_pdf(household, sit, tmp_path):
    async with sit(household()) as seat:
        await open_lot(seat, "C1")
        await seat.press("R", "enter")
        assert "name a file (.pdf .html .md .txt, else .pdf) or a folder" in seat.text()
        await seat.type(f"{tmp_path}/mine\r")
        assert (tmp_path / "mine.pdf").read_bytes().startswith(b"%PDF")
        await seat.press("T", "enter", "enter")
        assert "name a file (.pdf to print, .txt, else" in seat.text()
        await seat.type(f"{tmp_path}/tags.md\r")
        assert "End the name in .pdf or .txt, not in .md." in seat.text()
        assert not (tmp_path / "tags.md").exists()


async def find_and_do(seat, words: str) -> None:
    await seat.press("x")
    await seat.type(words)
    await seat.press("enter")


@pytest.mark.parametrize("page", ["rack", "lot"])
@pytest.mark.parametrize(
    "word", ["tag", "label", "record", "backup", "restore", "calendar", "export", "dose gone wrong"]
)
def test_the_list_of_commands_finds_it(page, word):
    assert matching(word, page)


async def test_calendar_and_export_from_the_list_of_commands(household, sit, tmp_path):
    async with sit(household()) as seat:
        await find_and_do(seat, "calendar")
        assert "calendar to › ~/curing.ics" in seat.text()
        await seat.type(f"{tmp_path}/days.ics\r")
        assert (tmp_path / "days.ics").read_text().startswith("BEGIN:VCALENDAR")
        await find_and_do(seat, "export")
        await seat.press("enter")
        told = json.loads((home() / "curedash-2026-11-25.json").read_text())
        lots = seat.ask("SELECT count(*) FROM lot")[0][0]
        assert len(told["tables"]["lot"]["rows"]) == lots
        await find_and_do(seat, "export")
        await seat.type(f"{tmp_path}/tables\r")
        assert (tmp_path / "tables" / "lot.csv").read_text().count("\n") == lots + 1


async def test_a_copy_from_the_list_of_commands_holds_what_the_file_holds(household, sit, tmp_path):
    path = household()
    async with sit(path) as seat:
        await find_and_do(seat, "backup")
        await seat.press("enter")
        made = [copy for copy in backup.copies(str(path)) if copy.kind == "copy"]
        assert [weigh_ins(copy.path) for copy in made] == [weigh_ins(path)]
        assert "Copied to" in seat.text()
        (tmp_path / "stick").mkdir()
        await find_and_do(seat, "backup")
        await seat.type(f"{tmp_path}/stick\r")
        assert len(os.listdir(tmp_path / "stick")) == 1


async def test_a_copy_made_on_the_page_of_copies_stands_there_at_once(household, sit):
    async with sit(household()) as seat:
        await seat.press("H", "C", "n", "enter")
        assert "Copied to" in seat.text()
        assert seat.lines()[1].split()[:4] == ["25", "Nov", "2026", "09:00"]
        await seat.press("enter")
        assert "Go back to" in seat.text()


async def test_a_copy_is_brought_back_and_the_present_kept(household, sit):
    path = household()
    async with sit(path) as seat:
        await open_lot(seat, "C1")
        before = weigh_ins(path)
        await find_and_do(seat, "backup")
        await seat.press("enter")
        await seat.type("1181\r")
        assert weigh_ins(path) == before + 1
        await find_and_do(seat, "restore")
        rows = [line for line in seat.lines() if "made by hand" in line]
        assert "25 Nov 2026 09:00" in rows[0]
        assert f"{before} weigh-ins" in rows[0]
        await seat.press("home", *["down"] * (len(backup.copies(str(path))) - 1), "up", "up")
        while seat.app.screen._here().copy.kind != "copy":
            await seat.press("down")
        await seat.press("enter")
        assert "Go back to 25 Nov 2026 09:00 (9 lots, " in seat.text()
        assert weigh_ins(path) == before + 1
        await seat.press("y")
        assert "Restored. The file as it was is saved as" in seat.text()
        assert weigh_ins(path) == before
        kept = next(c for c in backup.copies(str(path)) if c.kind == "replaced")
        assert weigh_ins(kept.path) == before + 1
        await seat.press("q")
        await seat.type("1180\r")
        assert weigh_ins(path) == before + 1


async def test_a_copy_that_some_page_could_not_read_is_refused_with_the_way_out(household, sit):
    path = household()
    async with sit(path) as seat:
        await find_and_do(seat, "backup")
        await seat.press("enter")
        made = next(copy for copy in backup.copies(str(path)) if copy.kind == "copy")
        with closing(sqlite3.connect(made.path)) as conn, conn:
            conn.execute("UPDATE lot SET hang_at = 'yesterday' WHERE code = 'C1'")
        before = weigh_ins(path)
        await find_and_do(seat, "restore")
        while seat.app.screen._here().copy.kind != "copy":
            await seat.press("down")
        await seat.press("enter", "y")
        assert "which is not a date and time; nothing was saved." in " ".join(seat.text().split())
        assert weigh_ins(path) == before
        assert not [copy for copy in backup.copies(str(path)) if copy.kind == "replaced"]


async def test_a_lot_that_is_not_in_the_copy_leaves_the_screens(household, sit):
    path = household(drying=3)
    with closing(open_db(str(path))) as conn:
        backup.back_up(conn, str(path), None, NOW - timedelta(hours=1))
    async with sit(path) as seat:
        await seat.press("down", "s")
        await seat.press("escape")
        with closing(open_db(str(path))) as conn, conn:
            conn.execute("UPDATE lot SET code = 'Z9' WHERE code = 'C1'")
        await seat.press("H", "C", "enter", "y")
        assert "Restored" in seat.text()
        await seat.press("q", "q")
        assert "Z9" not in seat.text()
        assert any(" C1 " in line for line in seat.lines())


async def test_the_bench_of_a_dose_gone_wrong_opens_from_the_lot(tmp_path, sit):
    from tests.tui.test_new_batch import EYE, SALTED, fill

    async with sit(tmp_path / "new.db") as seat:
        await seat.press("q", "n")
        await fill(seat, *EYE, *SALTED)
        await seat.press("f10", "q")
        for keys in (("D",), ("enter", "D"), ("f3", "D")):
            await seat.press(*keys)
            assert seat.lines()[0].startswith("WHAT WENT IN  A1")
            await seat.press("escape", "q") if len(keys) > 1 else await seat.press("escape")
        await seat.press("D")
        await seat.type("31")
        await seat.press("f10")
        assert seat.ask("SELECT count(*) FROM event WHERE kind = 'misdose'") == [(1,)]


async def test_a_copy_of_an_older_shape_is_opened_anew(household, sit):
    """The program goes on with the file it restored, brought to the present format as at any"
    " start."""
    path = household()
    old = Path(__file__).parents[1] / "data" / "released" / "v1.db.gz"
    copy = Path(f"{path}.copy-2026-11-20T090000Z")
    copy.write_bytes(gzip.decompress(old.read_bytes()))
    async with sit(path) as seat:
        await seat.press("H", "C")
        while seat.app.screen._here().copy.kind != "copy":
            await seat.press("down")
        await seat.press("enter", "y")
        await seat.pilot.pause(0.2)
        assert seat.app.next_file == str(path)
    with closing(open_db(str(path))) as conn:
        assert conn.execute("PRAGMA user_version").fetchone() == (SCHEMA_VERSION,)
    kept = next(c for c in backup.copies(str(path)) if c.kind == "replaced")
    assert weigh_ins(kept.path) == 36
