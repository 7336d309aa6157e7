"""A sheet of pieces under way: previewed, taken in whole or not at all, wrong lines by number."""

import os
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest

EXAMPLE = Path(__file__).resolve().parents[2] / "docs" / "guide" / "pieces.csv"
HEAD = "name,style,stage,since,weight,thickness,bag,place,planned\n"
GOOD = HEAD + (
    "front,bresaola,in cure,21 Nov,,62 mm,,Fridge 2,\n"
    "back,bresaola,in-cure,-4d,,,,Fridge 2,20 Dec\n"
    "thin end,lonzino,drying,9.11.,640 g,,yes,Cellar,\n"
)


def lots(shell):
    return {lot["code"]: lot for lot in shell("lots", "--json").json}


@pytest.fixture
def sheet(tmp_path):
    """A sheet on the disk; its path."""

    def write(text: str) -> str:
        path = tmp_path / "pieces.csv"
        path.write_text(text, encoding="utf-8")
        return str(path)

    return write


def test_one_line_a_piece_becomes_lots_in_their_stage(shell, sheet, db_path) -> None:
    done = shell("batch", "add", "--from", sheet(GOOD))
    assert done.code == 0, done.err
    assert "3 pieces added" in done.err
    assert "line 2  A1  front  air-dried beef  in cure since 21 Nov" in done.out
    known = lots(shell)
    # one style and one day are one batch; the loin is another
    assert set(known) == {"A1", "A2", "B1"}
    assert [known[code]["piece"] for code in ("A1", "A2")] == ["front", "back"]
    assert known["A1"]["cure_usual_days"] > known["A1"]["stage_day"]
    assert known["A2"]["planned_on"] == "2026-12-20"
    loin = known["B1"]
    assert (loin["style"], loin["stage"], loin["place"]) == ("lonza", "drying", "Cellar")
    assert loin["stage_since"][:10] == "2026-11-09"
    assert loin["last_net_g"] == 640
    with sqlite3.connect(db_path) as conn:
        assert conn.execute("SELECT code FROM lot WHERE in_bag").fetchall() == [("B1",)]


def test_a_sheet_comes_from_a_pipe_with_the_mark_that_spreadsheets_write(db_path) -> None:
    """A program of its own, since the standard input of this one belongs to the test."""
    environment = {**os.environ, "CUREDASH_DB": db_path, "CUREDASH_NOW": "2026-11-25T18:00:00Z"}
    done = subprocess.run(
        [sys.executable, "-m", "curedash", "batch", "add", "--from", "-", "--dry-run"],
        input=b"\xef\xbb\xbf" + GOOD.encode(),
        env=environment,
        capture_output=True,
    )
    assert done.returncode == 0, done.stderr
    assert b"3 pieces would be added" in done.stderr


def test_looking_first_stores_nothing_and_one_undo_takes_all_back(shell, sheet) -> None:
    path = sheet(GOOD)
    seen = shell("batch", "add", "--from", path, "--dry-run")
    assert seen.code == 0
    assert "A1  front" in seen.out
    assert "3 pieces would be added; nothing saved." in seen.err
    assert shell("lots", "--json").json == []
    assert shell("import", path).code == 0
    assert len(lots(shell)) == 3
    assert shell("undo").code == 0
    assert shell("lots", "--json").json == []


def test_pieces_of_one_batch_may_be_in_different_places_and_stages(shell, sheet) -> None:
    text = "batch,style,stage,since,place\nSow,coppa,drying,1 Nov,Cellar\nSow,coppa,cure,-2d,Box\n"
    done = shell("batch", "add", "--from", sheet(text))
    assert done.code == 0, done.err
    known = lots(shell)
    assert {code: (lot["stage"], lot["place"]) for code, lot in known.items()} == {
        "A1": ("drying", "Cellar"),
        "A2": ("in-cure", "Box"),
    }


def test_the_example_of_the_guide_is_taken_in(shell) -> None:
    done = shell("batch", "add", "--from", str(EXAMPLE), "--json")
    assert done.code == 0, done.err
    assert [piece["lot"] for piece in done.json["pieces"]] == ["A1", "A2", "B1", "B2", "C1"]
    assert lots(shell)["B1"]["last_net_g"] == 612  # 640 on the scale less 28 of tare


#: each line has one fault; the words are what its sentence must say
FAULTS = [
    ("x,bresola,drying,9 Nov,,,,,", "the closest is air-dried beef"),
    ("x,salami,drying,9 Nov,,,,,", "thin salami or thick salami"),
    ("x,,drying,9 Nov,,,,,", "style is missing"),
    ("x,coppa,,9 Nov,,,,,", "stage is missing"),
    ("x,coppa,drying,,,,,,", "since is missing"),
    ("x,coppa,sleeping,9 Nov,,,,,", "No such stage"),
    ("x,coppa,raw,9 Nov,,,,,", "as a new batch"),
    ("x,coppa,drying,someday,,,,,", "not a date"),
    ("x,coppa,drying,2027-03-01,,,,,", "ahead"),
    ("x,coppa,drying,9 Nov,heavy,,,,", "heavy"),
    ("x,coppa,drying,9 Nov,,wide,,,", "wide"),
    ("x,coppa,drying,9 Nov,,,maybe,,", "yes or no"),
    ("x,coppa,drying,9 Nov,,,,,whenever", "not a date"),
    ("x,coppa,drying", "3 cells where the headings name 9"),
    (f"{'n' * 400},coppa,drying,9 Nov,,,,,", "at most"),
]


def test_every_wrong_line_is_named_and_nothing_is_stored(shell, sheet) -> None:
    text = GOOD + "".join(f"{line}\n" for line, _ in FAULTS)
    done = shell("batch", "add", "--from", sheet(text))
    assert done.code == 65
    for number, (line, words) in enumerate(FAULTS, 5):
        (said,) = [one for one in done.err.splitlines() if one.startswith(f"line {number}: ")]
        assert words in said, line
    assert f"Nothing saved: correct {len(FAULTS)} lines" in done.err
    assert shell("lots", "--json").json == []


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("name,style,stage,since,colour\nx,coppa,drying,9 Nov,red\n", "no column “colour”"),
        ("name,style,since\nx,coppa,9 Nov\n", "stage is missing"),
        ("style,stage,since,style\na,b,c,d\n", "Two columns"),
        ("style,stage,since\n", "no line below"),
        ("", "style, stage and since"),
    ],
)
def test_a_sheet_whose_headings_do_not_fit_is_refused(shell, sheet, text, says) -> None:
    done = shell("batch", "add", "--from", sheet(text))
    assert done.code == 65
    assert says in done.err


def test_flags_that_the_sheet_has_a_column_for_are_refused(shell, sheet) -> None:
    done = shell("batch", "add", "--from", sheet(GOOD), "--place", "Cellar")
    assert done.code != 0
    assert "--place cannot be used with --from" in done.err
    assert "There is no file" in shell("batch", "add", "--from", "nowhere.csv").err
    assert "--name" in shell("batch", "add", "--green", "1 kg").err


def test_a_new_style_of_pieces_under_way_is_on_the_shelf_afterwards(shell, sheet) -> None:
    text = "style,stage,since\nGoose leg,drying,9 Nov\n"
    assert "There is no style" in shell("batch", "add", "--from", sheet(text)).err
    assert shell("batch", "add", "--from", sheet(text), "--new-style").code == 0
    assert shell("style", "show", "goose-leg").code == 0
    words = ("batch", "add", "--name", "Hare", "--stage", "drying", "--since", "-9d")
    assert shell(*words, "--style", "Hare leg", "--new-style").code == 0
    assert shell("style", "show", "hare-leg").code == 0


def rows(path: str, sql: str) -> list[tuple]:
    """What the file holds."""
    with sqlite3.connect(path) as conn:
        return conn.execute(sql).fetchall()


ROASTS = """batch,name,style,stage,since,green,roast,shop,price,bought,packed,use-by,planned
Eye halves,front,bresaola,in cure,21 Nov,1120 g,eye,market,17.90 EUR/kg,2.3 kg,18 Nov,28 Nov,20 Jan
Eye halves,back,bresaola,in cure,21 Nov,1080 g,eye,,,,,,20 Jan
Neck,,coppa,drying,8 Nov,,,butcher,"38,20 EUR",,,,
"""


def test_shop_price_and_days_of_the_roast_come_from_the_sheet(shell, tmp_path, db_path) -> None:
    """17.90 EUR a kilogram for 2.3 kg is 41.17 EUR."""
    sheet = tmp_path / "roasts.csv"
    sheet.write_text(ROASTS, encoding="utf-8")
    done = shell("batch", "add", "--from", str(sheet))
    assert done.code == 0, done.err
    assert "of eye; market; 41.17 EUR; packed 18 Nov; use by 28 Nov" in done.out
    kept = rows(
        db_path, "SELECT name, shop, price, currency, bought_g, pack_date, use_by FROM source"
    )
    assert kept == [
        ("eye", "market", 41.17, "EUR", 2300.0, "2026-11-18", "2026-11-28"),
        ("Neck", "butcher", 38.2, "EUR", None, None, None),
    ]
    assert rows(db_path, "SELECT planned_on FROM lot ORDER BY id") == [
        ("2027-01-20",),
        ("2027-01-20",),
        (None,),
    ]
    assert rows(db_path, "SELECT count(DISTINCT source_id) FROM lot WHERE code < 'B'") == [(1,)]


def test_two_answers_about_one_roast_are_named_by_line(shell, tmp_path) -> None:
    sheet = tmp_path / "roasts.csv"
    sheet.write_text(ROASTS.replace("eye,,,,,,", "eye,mall,,,,,"), encoding="utf-8")
    done = shell("batch", "add", "--from", str(sheet))
    assert done.code == 65
    assert "line 3: eye has one shop: market above, mall here." in done.err
    assert shell("lots", "--json").json == []


@pytest.mark.parametrize("words", [("batch", "add", "--from"), ("import",)])
def test_the_same_sheet_given_twice_is_asked_about(shell, tmp_path, words) -> None:
    sheet = tmp_path / "roasts.csv"
    sheet.write_text(ROASTS, encoding="utf-8")
    assert shell(*words, str(sheet)).code == 0
    again = shell(*words, str(sheet))
    assert again.code == 65
    assert "3 lines are lots already, A1, A2 and B1. Give --yes" in again.err
    assert len(shell("lots", "--json").json) == 3
    listed = shell(*words, str(sheet), "--json").json
    assert listed["already"] == [
        {"line": 2, "lot": "A1"},
        {"line": 3, "lot": "A2"},
        {"line": 4, "lot": "B1"},
    ]
    done = shell(*words, str(sheet), "--yes")
    assert done.code == 0, done.err
    assert len(shell("lots", "--json").json) == 6


def test_other_pieces_of_the_same_day_are_no_repetition(shell, tmp_path) -> None:
    sheet = tmp_path / "roasts.csv"
    sheet.write_text(ROASTS, encoding="utf-8")
    assert shell("batch", "add", "--from", str(sheet)).code == 0
    sheet.write_text(ROASTS.replace("front", "left").replace("back", "right"), encoding="utf-8")
    again = shell("batch", "add", "--from", str(sheet))
    assert "1 line is a lot already, B1" in again.err
    sheet.write_text(ROASTS.replace("1120 g", "1121 g").replace("8 Nov", "9 Nov"), encoding="utf-8")
    assert "1 line is a lot already, A2" in shell("batch", "add", "--from", str(sheet)).err
