"""Copies from the shell: restored by number, and what undo says after a restore."""

LATER = ("--now", "2026-11-25T19:00:00Z")


def test_a_copy_is_restored_by_its_number(hanging, tmp_path) -> None:
    assert hanging("weigh", "A1", "1071").code == 0
    assert hanging("backup").code == 0
    assert hanging("weigh", "A1", "1065", "--yes").code == 0
    listed = hanging("restore").out.splitlines()
    assert listed[0].startswith(" 1  ")
    done = hanging(*LATER, "restore", "1")
    assert done.code == 0, done.err
    assert "is restored from " in done.out
    assert ".copy-2026-11-25T" in done.out
    assert "1071" in hanging("history", "A1", "--limit", "1").out
    assert hanging("restore", "9").code == 66
    assert hanging("restore").out.splitlines()[1].startswith(" 2  ")


def test_undo_does_not_go_back_behind_a_restore_unasked(hanging) -> None:
    assert hanging("weigh", "A1", "1071").code == 0
    assert hanging("backup").code == 0
    assert hanging("weigh", "A1", "1065", "--yes").code == 0
    assert hanging(*LATER, "restore", "1").code == 0
    done = hanging("--now", "2026-11-25T19:01:00Z", "undo")
    assert done.code == 65
    assert "A copy was restored after “weigh A1" in done.err
    assert ".replaced-2026-11-25T190000Z" in done.err
    number = done.err.rstrip(".\n").rpartition(" ")[2]
    assert hanging("undo", number).code == 0
    assert hanging("--now", "2026-11-25T19:02:00Z", "weigh", "A1", "1060", "--yes").code == 0
    assert hanging("--now", "2026-11-25T19:03:00Z", "undo").code == 0
