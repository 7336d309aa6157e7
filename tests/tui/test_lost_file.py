"""The file of an open dashboard is removed, replaced or filled with another household."""

import os
import shutil
import sqlite3
from contextlib import closing

from curedash.services.file import backup
from curedash.services.file.restore import restore
from curedash.store.open import open_db

NEWEST = "SELECT gross_g FROM weigh_in ORDER BY id DESC LIMIT 1"


def newest_g(path: str) -> float:
    with closing(sqlite3.connect(path)) as conn:
        return float(conn.execute(NEWEST).fetchone()[0])


def words(seat) -> str:
    return " ".join(seat.text().split())


async def said_within(seat, sentence: str, seconds: float) -> bool:
    for _ in range(int(seconds / 0.05)):
        await seat.pilot.pause(0.05)
        if sentence in words(seat):
            return True
    return False


async def test_a_weight_typed_after_the_file_was_removed_is_in_a_rescue_file(household, sit):
    path = str(household())
    async with sit(path) as seat:
        await seat.settle()
        os.remove(path)
        await seat.type("1181\r")
        await seat.settle()
        (rescued,) = (copy for copy in backup.copies(path) if copy.kind == "rescued")
        assert newest_g(rescued.path) == 1181
        assert "Saved" not in words(seat)
        assert f"{os.path.basename(rescued.path)} beside it" in words(seat)
        assert "Not saved" not in words(seat)
        assert await said_within(seat, "What you save goes to", 2.0)
        await seat.type("1180\r")
        await seat.settle()
        await seat.press("k")
        await seat.settle()
        assert newest_g(rescued.path) == 1180
        assert len([copy for copy in backup.copies(path) if copy.kind == "rescued"]) == 1


async def test_a_removed_file_is_said_within_two_seconds(household, sit):
    path = str(household())
    async with sit(path) as seat:
        os.rename(path, path + ".elsewhere")
        assert await said_within(seat, "was removed", 3.0)


async def test_a_question_keeps_its_words_while_the_file_is_gone(household, sit):
    path = str(household())
    async with sit(path) as seat:
        await seat.settle()
        await seat.type("2400\r")
        asked = seat.lines()[-3:]
        assert any("k keep" in line for line in asked)
        os.remove(path)
        await seat.pilot.pause(2.5)
        assert seat.lines()[-3:] == asked
        await seat.press("escape", "escape")
        assert await said_within(seat, "What you save goes to", 3.0)


async def test_a_file_of_the_same_household_in_its_place_is_gone_on_with(household, sit):
    path = str(household())
    async with sit(path) as seat:
        await seat.settle()
        with closing(open_db(path)) as conn:
            copy = backup.back_up(conn, path, f"{path}.moved", seat.app.house.now())
        os.replace(copy, path)
        for ending in ("-wal", "-shm"):
            if os.path.exists(path + ending):
                os.remove(path + ending)
        await seat.type("1181\r")
        await seat.settle()
        assert newest_g(path) == 1181
        assert not [copy for copy in backup.copies(path) if copy.kind == "rescued"]
        await seat.pilot.pause(1.2)
        assert seat.app.house.reader.is_at_its_path()


async def test_a_damaged_file_restored_by_another_program_is_gone_on_with(household, sit):
    from tests.store.test_refusals import break_table

    path = str(household())
    async with sit(path) as seat:
        await seat.settle()
        with closing(open_db(path)) as conn:
            copy = backup.back_up(conn, path, f"{path}.good", seat.app.house.now())
            conn.execute("PRAGMA wal_checkpoint (TRUNCATE)")
        break_table(path, "reading_day")
        done = restore(path, copy, seat.app.house.now())
        assert done.kept is not None
        await seat.type("1181\r")
        await seat.settle()
        assert newest_g(path) == 1181


async def test_another_household_in_the_file_takes_nothing(household, sit, tmp_path):
    from tests.endurance.household import build

    path, other = str(household()), str(tmp_path / "other.db")
    build(other)
    async with sit(path) as seat:
        await seat.settle()
        restore(path, other, seat.app.house.now())
        await seat.type("1181\r")
        await seat.settle()
        assert newest_g(path) == 1000
        assert await said_within(seat, "Another household", 2.0)


async def test_the_rescue_file_goes_with_the_copies_that_can_come_back(household, sit):
    path = str(household())
    async with sit(path) as seat:
        await seat.settle()
        os.remove(path)
        await seat.type("1181\r")
        await seat.settle()
    (rescued,) = (copy for copy in backup.copies(path) if copy.kind == "rescued")
    restore(path, rescued.path, seat.app.house.now())
    assert newest_g(path) == 1181
    shutil.rmtree(os.path.dirname(path), ignore_errors=True)
