"""``lots --plain``: what a screen reader says, one lot a paragraph, nothing cut."""

from collections.abc import Callable

from tests.cli.conftest import Done

Shell = Callable[..., Done]
DRAWN = set("▁▂▃▄▅▆▇█░│┊─…•≈~")


def test_each_lot_is_a_paragraph_of_whole_sentences(hanging: Shell) -> None:
    hanging("weigh", "A1", "1000", "--at", "2026-11-23T18:00:00Z")
    done = hanging("lots", "--plain")
    assert done.code == 0
    paragraphs = done.out.rstrip("\n").split("\n\n")
    listed = hanging("lots", "--json").json
    assert [one.split(":")[0] for one in paragraphs] == [f"Lot {lot['code']}" for lot in listed]
    lines = next(one for one in paragraphs if one.startswith("Lot A1")).splitlines()
    assert "Stage: drying, day 9." in lines
    # 1108 − 28 = 1080 g hung, 1000 − 28 = 972 g now: 10.0 % lost
    assert "Lost: 10.0 percent of hang weight 1080 grams." in lines
    assert "Weighed: 2 days ago." in lines
    assert all(line.endswith(".") for line in done.out.split("\n") if line)
    assert not set(done.out) & DRAWN


def test_a_long_name_is_whole_and_every_need_is_said(hanging: Shell, db_path: str) -> None:
    from curedash.store.open import open_db

    conn = open_db(db_path)
    conn.execute("UPDATE lot SET piece = ? WHERE code = 'A1'", ("thick end " * 12,))
    conn.close()
    done = hanging("lots", "--plain")
    assert ("thick end " * 12).strip() in done.out
    needs = sum(len(lot["needs"]) for lot in hanging("lots", "--json").json)
    assert done.out.count("Needs, ") == needs


def test_an_empty_household_says_how_to_begin(shell: Shell, db_path: str) -> None:
    from curedash.store.open import open_db

    open_db(db_path, create=True).close()
    assert "batch add" in shell("lots", "--plain").out
