"""Copies, restoring and the doctor: whole, private, and nothing thrown away."""

import os
import sqlite3
import stat
from contextlib import closing
from datetime import UTC, datetime, timedelta

import pytest

from curedash.domain.errors import Busy, FileTrouble, NotFound, Refused
from curedash.services.file import backup
from curedash.services.file.doctor import examine
from curedash.services.file.drafts import keep, set_aside, waiting
from curedash.services.file.restore import restore
from curedash.services.find import require_lot
from curedash.services.weighing.weigh import preview, weigh
from curedash.store.copying import copy_to
from curedash.store.file_trouble import SCHEMA_VERSION
from curedash.store.inspect import contents
from curedash.store.open import open_db
from tests.endurance.household import NOW, build, by

COUNT = "SELECT count(*) FROM weigh_in"


def add_weight(conn: sqlite3.Connection, gross_g: float, at: datetime = NOW) -> None:
    lot = require_lot(conn, "A1")
    seen = preview(lot, f"{gross_g} g", at, UTC)
    weigh(conn, by(at), lot.id, seen, keep_doubtful=True)


def count(path: str) -> int:
    with closing(sqlite3.connect(path)) as conn:
        return conn.execute(COUNT).fetchone()[0]


def test_a_copy_is_whole_private_and_leaves_nothing_beside_it(hanging: str, household) -> None:
    household.execute("BEGIN IMMEDIATE")  # somebody is in the middle of writing
    household.execute("INSERT INTO setting VALUES ('half', 'written')")
    with closing(open_db(hanging)) as other:
        made = backup.back_up(other, hanging, None, NOW)
    household.execute("ROLLBACK")
    assert stat.S_IMODE(os.stat(made).st_mode) == 0o600
    beside = {name for name in os.listdir(os.path.dirname(hanging)) if ".copy-" in name}
    assert beside == {os.path.basename(made)}
    with closing(open_db(made)) as copy:
        assert copy.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        assert copy.execute("SELECT count(*) FROM setting").fetchone() == (0,)


def test_copies_of_one_second_each_have_their_name(hanging: str, household, monkeypatch) -> None:
    """Two in turn, and one that finds its free name taken while it was being written."""
    made = [backup.back_up(household, hanging, None, NOW) for _ in range(2)]
    free = backup.free_name
    stale = iter([made[0]])
    monkeypatch.setattr(backup, "free_name", lambda name: next(stale, None) or free(name))
    add_weight(household, 900)
    made.append(backup.back_up(household, hanging, None, NOW))
    assert len(set(made)) == 3
    assert [count(path) for path in made] == [1, 1, 2]
    assert {copy.kind for copy in backup.copies(hanging)} == {"copy"}


def test_copies_made_by_hand_stay_when_daily_ones_go(hanging: str, household) -> None:
    backup.keep(household, by(), 1)
    made = backup.back_up(household, hanging, None, NOW)
    for day in range(3):
        backup.daily(household, hanging, NOW + timedelta(days=day))
    kinds = [copy.kind for copy in backup.copies(hanging)]
    assert kinds == ["daily", "copy"]
    assert count(made) == 1


def test_the_shell_lists_copies_by_the_clock_on_the_wall(
    hanging: str, household, capsys, monkeypatch
) -> None:
    """19:00 in Vienna is 18:00 UTC in winter."""
    from curedash.__main__ import main

    monkeypatch.setenv("TZ", "Europe/Vienna")
    backup.back_up(household, hanging, None, NOW)
    backup.daily(household, hanging, NOW)
    assert main(["--db", hanging, "--now", "2026-11-25T18:00Z", "restore"]) == 0
    by_hand, daily = capsys.readouterr().out.splitlines()
    assert by_hand.startswith(" 1  25 Nov 2026 19:00  made by hand")
    assert daily.startswith(" 2  25 Nov 2026        daily copy")
    assert "Z," not in by_hand + daily


def test_a_copy_never_overwrites(hanging: str, household, tmp_path) -> None:
    taken = f"{tmp_path}/taken"
    with open(taken, "w") as other:
        other.write("mine")
    with pytest.raises(Refused, match="is there already"):
        backup.back_up(household, hanging, taken, NOW)
    os.symlink(f"{tmp_path}/nowhere", f"{tmp_path}/link")
    with pytest.raises(Refused):
        backup.back_up(household, hanging, f"{tmp_path}/link", NOW)
    with open(taken) as other:
        assert other.read() == "mine"


def test_a_copy_that_cannot_be_finished_leaves_the_old_one(household, tmp_path) -> None:
    target = f"{tmp_path}/copy.db"
    copy_to(household, target)
    with open(target, "rb") as file:
        before = file.read()
    add_weight(household, 900)
    household.execute("PRAGMA writable_schema = 1")
    household.execute("UPDATE sqlite_master SET sql = 'CREATE TABLE lot (' WHERE name = 'lot'")
    with pytest.raises(FileTrouble, match="no copy was made"):
        copy_to(household, target)
    with open(target, "rb") as file:
        assert file.read() == before
    assert [name for name in os.listdir(tmp_path) if ".part-" in name] == []


def test_one_copy_a_day_and_the_oldest_go(hanging: str, household) -> None:
    backup.keep(household, by(), 3)
    for day in range(6):
        now = NOW + timedelta(days=day)
        made = backup.daily(household, hanging, now)
        assert made is not None
        assert backup.daily(household, hanging, now) is None
    days = sorted(copy.path[-10:] for copy in backup.copies(hanging))
    assert days == ["2026-11-28", "2026-11-29", "2026-11-30"]
    for wrong in (0, -1, 1001):
        with pytest.raises(Refused, match="1 to 1000"):
            backup.keep(household, by(), wrong)


def test_a_damaged_file_is_said_and_pushes_no_good_copy_out(hanging: str) -> None:
    from tests.store.test_refusals import break_table

    assert backup.look_after(hanging, NOW).sentence is None
    break_table(hanging, "lot")
    care = backup.look_after(hanging, NOW + timedelta(days=1))
    assert care.damage
    assert "curedash restore" in (care.sentence or "")
    assert len(backup.copies(hanging)) == 1


def test_lots_and_weigh_ins_that_were_taken_back_are_not_counted(hanging: str) -> None:
    before = contents(hanging)
    assert (before.lots, before.weigh_ins) == (1, 1)
    with closing(sqlite3.connect(hanging)) as conn, conn:
        conn.execute("UPDATE lot SET voided_at = '2026-11-25T18:00:00Z'")
        conn.execute("UPDATE weigh_in SET voided_at = '2026-11-25T18:00:00Z'")
    after = contents(hanging)
    assert (after.lots, after.weigh_ins) == (0, 0)


def test_a_file_that_is_gone_is_told_with_its_copies(hanging: str, household) -> None:
    backup.back_up(household, hanging, None, NOW)
    household.close()
    os.unlink(hanging)
    with pytest.raises(NotFound, match="copies of it lie beside it; 'curedash restore'"):
        open_db(hanging)


def test_restoring_keeps_what_was_there(hanging: str, household) -> None:
    made = backup.back_up(household, hanging, None, NOW)
    add_weight(household, 900)
    assert count(hanging) == 2
    done = restore(hanging, made, NOW)
    assert done.contents.weigh_ins == count(hanging) == 1
    assert done.kept is not None
    assert count(done.kept) == 2
    assert stat.S_IMODE(os.stat(done.kept).st_mode) == 0o600
    again = restore(hanging, done.kept, NOW)
    assert count(hanging) == 2
    assert again.kept not in (None, done.kept)


def test_an_open_dashboard_sees_what_was_restored_and_writes_on(hanging: str, household) -> None:
    made = backup.back_up(household, hanging, None, NOW)
    add_weight(household, 900)
    before = household.execute("PRAGMA data_version").fetchone()
    restore(hanging, made, NOW)
    assert household.execute("PRAGMA data_version").fetchone() != before
    assert household.execute(COUNT).fetchone() == (1,)
    add_weight(household, 890)
    assert count(hanging) == 2


@pytest.mark.parametrize("damage", ["noise", "cut", "not a database"])
def test_a_broken_file_is_set_aside_byte_by_byte(hanging: str, tmp_path, damage: str) -> None:
    with closing(open_db(hanging)) as conn:
        made = backup.back_up(conn, hanging, None, NOW)
    with open(hanging, "r+b") as file:
        if damage == "cut":
            file.truncate(5000)
        else:
            file.seek(0 if damage == "not a database" else 3000)
            file.write(os.urandom(9000))
    with open(hanging, "rb") as file:
        broken = file.read()
    done = restore(hanging, made, NOW)
    assert count(hanging) == 1
    with open(done.kept, "rb") as file:
        assert file.read() == broken


def test_what_cannot_be_restored(hanging: str, tmp_path) -> None:
    with pytest.raises(NotFound):
        restore(hanging, f"{tmp_path}/nothing", NOW)
    with pytest.raises(Refused, match="is the file itself"):
        restore(hanging, hanging, NOW)
    other = f"{tmp_path}/other.db"
    build(other)
    with closing(sqlite3.connect(other)) as raw:
        raw.execute(f"PRAGMA user_version = {SCHEMA_VERSION + 1}")
    with pytest.raises(Refused, match="newer version"):
        restore(hanging, other, NOW)
    from tests.store.test_refusals import break_table

    broken = f"{tmp_path}/broken.db"
    build(broken)
    break_table(broken, "weigh_in")
    with pytest.raises(Refused, match="damaged itself"):
        restore(hanging, broken, NOW)
    assert backup.copies(hanging) == []


def test_a_copy_comes_back_where_there_is_no_file(hanging: str, household, tmp_path) -> None:
    made = backup.back_up(household, hanging, None, NOW)
    done = restore(f"{tmp_path}/new/place.db", made, NOW)
    assert done.kept is None
    assert count(f"{tmp_path}/new/place.db") == 1


def test_the_doctor_reads_only_and_finds_what_is_wrong(hanging: str, household) -> None:
    add_weight(household, 900)
    household.close()
    with open(hanging, "rb") as file:
        before = file.read()
    levels = {f.what: f.level for f in examine(hanging, NOW, thorough=True)}
    assert levels.pop("copies") == "look"
    names = (
        "file",
        "disk",
        "inside",
        "shape",
        "weights",
        "log",
        "unchecked",
        "clock",
        "half-typed",
    )
    assert levels == dict.fromkeys(names, "no-finding")
    with open(hanging, "rb") as file:
        assert file.read() == before
    os.chmod(hanging, 0o644)
    assert {f.what: f.level for f in examine(hanging, NOW)}["file"] == "look"
    early = {f.what: f for f in examine(hanging, NOW - timedelta(days=400))}
    assert early["clock"].level == "bad"


def test_the_doctor_notices_a_bent_weight(hanging: str, household) -> None:
    add_weight(household, 900)
    household.execute("DROP TRIGGER weigh_in_is_never_overwritten")
    household.execute("UPDATE weigh_in SET gross_g = 800, net_g = 800 WHERE gross_g = 900")
    found = {f.what: f for f in examine(hanging, NOW, thorough=True)}
    assert found["weights"].level == "bad"
    assert "the row says 800 g, the log 900 g" in found["weights"].found


@pytest.mark.parametrize("path", ["/dev/null", "/", "/nowhere/at/all.db"])
def test_the_doctor_says_what_cannot_be_looked_at(path: str) -> None:
    assert examine(path, NOW)[0].level == "bad"


def test_a_draft_waits_and_goes(household) -> None:
    keep(household, "batch", {"name": "Beef eye", "green": "1134 1088"}, NOW)
    keep(household, "batch", {"name": "Beef eye", "green": "1134 1088 990"}, NOW)
    assert [(d.name, d.body["green"]) for d in waiting(household)] == [("batch", "1134 1088 990")]


def test_what_was_set_aside_is_a_command_that_enters_it(hanging: str, tmp_path, capsys) -> None:
    import shlex

    from curedash.__main__ import main

    full = f"{tmp_path}/full"
    open(full, "w").close()
    words = ["weigh", "A1", "900 g", "--at", "2026-11-25T12:00:00Z", "--yes", "--note", "$(x) 'y'"]
    path = set_aside(words, hanging, NOW, [full, f"{tmp_path}/free"])
    assert stat.S_IMODE(os.stat(path).st_mode) == 0o600
    with open(path) as file:
        line = shlex.split(file.read())
    assert line == ["curedash", *words, "--db", hanging]
    assert main(["--now", "2026-11-25T18:00Z", *line[1:]]) == 0, capsys
    assert count(hanging) == 2


def test_watch_makes_the_copy_of_the_day_once(hanging: str, capsys) -> None:
    from curedash.__main__ import main

    run = ["--db", hanging, "--now", "2026-11-25T18:00Z", "watch", "--once"]
    assert main(run) == 0
    (first,) = backup.copies(hanging)
    assert first.path.endswith(".backup-2026-11-25")
    assert main(run) == 0
    assert backup.copies(hanging) == [first]


@pytest.mark.parametrize(
    ("name", "kind", "made_at"),
    [
        ("backup-2026-11-25", "daily", "2026-11-25T00:00:00Z"),
        ("backup-2026-11-25T180312-2", "copy", "2026-11-25T18:03:12Z"),
        ("copy-2026-11-25T180312Z-3", "copy", "2026-11-25T18:03:12Z"),
        ("before-v2-20261125T180000Z", "before", "2026-11-25T18:00:00Z"),
        ("replaced-2026-11-25T180000", "replaced", "2026-11-25T18:00:00Z"),
        *(
            (other, None, None)
            for other in (
                "backup-mine",
                "backup-2026-13-45",
                "backup-2026-11-25.part-77",
                "wal",
                "replaced-2026-11-25T180000-wal",
                "backup-",
                "backup-2026-11-25T180000x",
            )
        ),
    ],
)
def test_a_copy_is_known_by_its_name(hanging: str, name: str, kind, made_at) -> None:
    open(f"{hanging}.{name}", "w").close()
    found = [(copy.kind, copy.made_at) for copy in backup.copies(hanging)]
    assert found == ([] if kind is None else [(kind, made_at)])
    assert examine(hanging, NOW)


def test_litter_is_listed_and_swept_on_wish(hanging: str, capsys) -> None:
    from curedash.__main__ import main

    gone, runs = 2**22 + 1, os.getpid()  # beyond the largest number of a process; this one
    folder = os.path.dirname(hanging)
    litter = {
        f"household.db.part-{gone}-0123456789ab",
        f"household.db.part-{gone}-0123456789ab-wal",
        f"export.json.part-{gone}-0123456789ab",
        f"household.db.import-{gone}",
        f"household.db.backup-2026-11-25.part-{gone}",
    }
    others = {f"household.db.part-{runs}-0123456789ab", "letter.part-1", "notes.import-7"}
    for name in litter | others:
        open(os.path.join(folder, name), "w").close()
    assert {os.path.basename(piece) for piece in backup.litter(hanging)} == litter
    assert main(["--db", hanging, "--now", "2026-11-25T18:00Z", "doctor", "--sweep"]) == 1
    assert capsys.readouterr().err.count("removed ") == len(litter)
    assert others <= set(os.listdir(folder))
    assert not litter & set(os.listdir(folder))


def test_a_restore_that_fails_leaves_nothing_behind(hanging: str, household) -> None:
    """Another program writes all the while: what was there is not kept a second time."""
    from curedash.store import copying as copies

    made = backup.back_up(household, hanging, None, NOW)
    wait_s, copies.WAIT_S = copies.WAIT_S, 0.3
    household.execute("BEGIN IMMEDIATE")
    try:
        with pytest.raises(Busy):
            restore(hanging, made, NOW)
    finally:
        copies.WAIT_S = wait_s
        household.execute("ROLLBACK")
    assert [copy.path for copy in backup.copies(hanging)] == [made]
    assert backup.litter(hanging) == []
    assert not [name for name in os.listdir(os.path.dirname(hanging)) if ".part-" in name]
