"""The commands that print, export, import and plan: forms, files, codes and one sentence."""

import builtins
import json
import os
import re
import stat
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tests.cli.conftest import Done

Shell = Callable[..., Done]


@pytest.mark.parametrize(
    "words",
    [
        ("label", "A1"),
        ("dose-sheet", "A"),
        ("record", "A1"),
        ("calendar",),
        ("handover",),
        ("away", "look", "12–19 Dec"),
        ("plan", "bresaola", "--ready-by", "24 Dec"),
    ],
)
def test_every_paper_prints_text(words: tuple[str, ...], hanging: Shell) -> None:
    done = hanging(*words)
    assert done.code == 0, done.err
    assert "A1" in done.out or words[0] == "plan"


@pytest.mark.parametrize(
    "words", [("label", "A1"), ("dose-sheet", "A1"), ("record", "A"), ("handover",)]
)
@pytest.mark.parametrize("ending", ["pdf", "txt", "md", "html"])
def test_papers_are_written_for_their_owner_only(
    words: tuple[str, ...], ending: str, hanging: Shell, tmp_path: Path
) -> None:
    path = tmp_path / f"paper.{ending}"
    done = hanging(*words, "--output", str(path))
    if words[0] == "label" and ending in ("md", "html"):
        assert done.code == 64
        return
    assert done.code == 0, done.err
    assert stat.S_IMODE(os.stat(path).st_mode) == 0o600
    assert path.read_bytes().startswith(b"%PDF-") == (ending == "pdf")


def test_without_the_extra_the_text_form_and_one_sentence(
    hanging: Shell, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = builtins.__import__

    def without(name: str, *rest: Any, **more: Any) -> Any:
        if name.split(".")[0] in ("fpdf", "fontTools"):
            raise ImportError(name)
        return real(name, *rest, **more)

    monkeypatch.setattr(builtins, "__import__", without)
    done = hanging("label", "A1", "--output", str(tmp_path / "tag.pdf"))
    assert done.code == 65
    assert "curedash[pdf]" in done.err
    assert done.err.count("\n") == 1
    assert "PULL when the scale shows" in done.out
    assert not (tmp_path / "tag.pdf").exists()


def page_points(path: Path) -> list[int]:
    """Width and height of the first page [1/72 inch]."""
    found = re.search(rb"/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]", path.read_bytes())
    assert found is not None
    return [round(float(side)) for side in found.groups()]


# ISO 216: A4 is 210 x 297 mm; ANSI/ASME Y14.1: letter is 8.5 x 11 inches; 72 points an inch
A4, LETTER = [595, 842], [612, 792]


def test_who_sees_pounds_prints_on_letter_unless_told_otherwise(
    hanging: Shell, tmp_path: Path
) -> None:
    def sizes(*more: str) -> list[list[int]]:
        found = []
        for words in (("record", "A1"), ("label", "A1"), ("handover",)):
            path = tmp_path / f"{words[0]}.pdf"
            named = ("--size" if words[0] == "label" else "--page", *more) if more else ()
            assert hanging(*words, *named, "--output", str(path)).code == 0
            found.append(page_points(path))
        return found

    assert sizes() == [A4] * 3
    hanging("settings", "set", "weights", "lb")
    assert sizes() == [LETTER] * 3
    assert sizes("a4") == [A4] * 3
    hanging("settings", "set", "paper", "a4")
    assert sizes() == [A4] * 3


def test_packs_of_one_lot_and_one_mixed_of_two(hanging: Shell) -> None:
    for code in ("A1", "A2"):
        hanging("stage", code, "drying", "--weight", "1000 g", "--tare", "0")
        assert hanging("finish", code, "650 g", "--yes").code == 0
    made = hanging("pack", "A1", "180", "180", "--given-to", "Ilse")
    assert made.code == 0, made.err
    assert made.out.count("A1 180 g") == 2
    assert "for Ilse" in made.out
    mixed = hanging("pack", "A1", "120", "A2", "80 g", "--json").json
    assert [(pack["lot"], pack["weight_g"]) for pack in mixed] == [("A1", 120), ("A2", 80)]
    assert mixed[1]["mixed_with"] == mixed[0]["pack"]
    assert "A1 120 g + A2 80 g = 200 g" in hanging("pack").out
    assert len(hanging("pack", "--json").json) == 4
    odd = hanging("pack", "A2", "900")
    assert odd.code == 65
    assert "its packs weigh 980 g together" in odd.err
    assert hanging("pack", "A2", "900", "--yes").code == 0


def test_a_lot_that_still_hangs_is_not_packed(hanging: Shell) -> None:
    done = hanging("pack", "A1", "180")
    assert done.code == 65
    assert "finish it, then pack it" in done.err
    assert hanging("pack").out == ""


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (("label", "Q9"), 66),
        (("label", "A1", "--size", "a5"), 65),
        (("label", "--copies", "0"), 64),
        (("label", "A2", "--kind", "hang"), 65),
        (("record",), 64),
        (("handover", "--days", "0"), 64),
        (("label", "A1", "--format", "pdf"), 64),
        (("label", "A1", "-o", "tag.docx"), 64),
        (("calendar", "--hour", "24"), 64),
        (("away", "add"), 64),
        (("away", "remove", "x"), 64),
        (("away", "remove", "7"), 66),
        (("away", "add", "19 Dec to 12 Dec"), 65),
        (("export", "-o", "a", "--csv", "b"), 64),
        (("export", "a.json", "--csv", "b"), 64),
        (("pack", "A1"), 65),
        (("pack", "Q9", "100"), 66),
        (("import", "nowhere.json"), 66),
        (("plan", "bresaola"), 64),
        (("plan", "bresaola", "--ready-by", "soon"), 65),
        (("record", "A1", "-o", "/nowhere/at/all.md"), 74),
    ],
)
def test_what_does_not_fit_is_one_sentence(
    words: tuple[str, ...], code: int, hanging: Shell
) -> None:
    done = hanging(*words)
    assert done.code == code, done.err
    assert done.err.strip().count("\n") == 0
    assert done.out == ""


def test_the_household_file_is_never_overwritten_by_a_paper(hanging: Shell, db_path: str) -> None:
    done = hanging("record", "A1", "--format", "text", "--output", db_path)
    assert done.code == 65
    assert hanging("lots").code == 0


# ── out and in ────────────────────────────────────────────────────────────────────────────


def test_out_and_in_again_is_the_same(hanging: Shell, tmp_path: Path) -> None:
    first, again = (str(tmp_path / name) for name in ("first.json", "again.json"))
    assert hanging("export", "--output", first).code == 0
    done = hanging("--db", str(tmp_path / "new.db"), "import", first, "--json")
    assert done.code == 0, done.err
    assert done.json["saved"] is True
    hanging("--db", str(tmp_path / "new.db"), "export", "-o", again)
    assert Path(first).read_bytes() == Path(again).read_bytes()
    assert hanging("export").out == Path(first).read_text()
    refused = hanging("import", first)
    assert refused.code == 65
    assert "holds a household already" in refused.err


def test_tables_out_and_in(hanging: Shell, tmp_path: Path) -> None:
    folder = tmp_path / "tables"
    assert hanging("export", "--csv", str(folder)).code == 0
    assert hanging("--db", str(tmp_path / "new.db"), "import", str(folder)).code == 0
    assert hanging("--db", str(tmp_path / "new.db"), "export").out == hanging("export").out


def test_a_sheet_of_weigh_ins(hanging: Shell, tmp_path: Path) -> None:
    sheet = tmp_path / "weights.csv"
    sheet.write_text("date,lot,weight\n2026-11-20,A1,1043 g\n2026-11-23,A1,1021 g\n")
    looked = hanging("import", str(sheet), "--dry-run")
    assert looked.code == 0
    assert "line 2  A1  2026-11-20  1015 g net (1043 − 28 tare)" in looked.out
    assert "2 weigh-ins would be saved" in looked.err
    kept = hanging("import", str(sheet), "--json")
    assert kept.code == 0
    assert [line["net_g"] for line in kept.json["weigh_ins"]] == [1015.0, 993.0]
    lots = {lot["code"]: lot for lot in hanging("lots", "--json").json}
    assert lots["A1"]["last_net_g"] == 993.0
    sheet.write_text("date,lot,weight\n2026-11-24,A1,10 g\n2026-11-24,Q9,900 g\n")
    broken = hanging("import", str(sheet))
    assert broken.code == 65
    assert "line 3: There is no lot" in broken.err
    assert "Nothing saved" in broken.err


# ── calendar and days away ────────────────────────────────────────────────────────────────


def test_the_calendar_as_file_and_as_json(hanging: Shell, tmp_path: Path) -> None:
    path = tmp_path / "curing.ics"
    assert hanging("calendar", "--output", str(path)).code == 0
    first = path.read_bytes()
    assert first.startswith(b"BEGIN:VCALENDAR\r\n")
    hanging("calendar", "--output", str(path))
    assert path.read_bytes() == first
    listed = hanging("calendar", "--json").json
    assert {"weigh", "pull"} & {item["kind"] for item in listed}
    assert all(item["lot"] for item in listed)


def test_days_away_are_kept_listed_and_taken_back(hanging: Shell) -> None:
    added = hanging("away", "add", "12–19 Dec", "--note", "skiing", "--json")
    assert added.code == 0, added.err
    assert (added.json["first"], added.json["last"]) == ("2026-12-12", "2026-12-19")
    assert {row["lot"] for row in added.json["lots"]} == {"A1", "A2"}
    listed = hanging("away", "--json").json
    assert [(b["first"], b["note"]) for b in listed] == [("2026-12-12", "skiing")]
    assert "nobody at home" in hanging("calendar", "--days", "30").out
    assert hanging("away", "remove", str(listed[0]["id"])).code == 0
    assert hanging("away", "--json").json == []
    assert hanging("undo").code == 0
    assert len(hanging("away", "--json").json) == 1


def test_the_hand_over_takes_the_days_away_that_are_saved_next(hanging: Shell) -> None:
    """Saved in the shell, read by the page: its days, and what waits until somebody is back."""
    plain = hanging("handover").out
    assert "25 Nov 2026 to 2 Dec 2026" in " ".join(plain.split())
    assert hanging("away", "add", "2026-12-12", "2026-12-19").code == 0
    assert hanging("away", "add", "2027-01-02", "2027-01-04").code == 0
    text = " ".join(hanging("handover").out.split())
    assert "12 Dec 2026 to 19 Dec 2026" in text
    assert "Sat 12 Dec" in text
    days, _, waits = text.partition("Waits until they are back")
    assert "Sun 20 Dec" not in days
    assert "Sun 20 Dec: A1: weigh" in waits
    named = " ".join(hanging("handover", "--from", "2026-11-26", "--days", "3").out.split())
    assert "26 Nov 2026 to 28 Nov 2026" in named


def test_the_hand_over_asks_no_reading_of_an_empty_place(hanging: Shell) -> None:
    assert hanging("place", "add", "Cellar", "--temp", "2..12C").code == 0
    empty = " ".join(hanging("handover").out.split())
    assert "Fridge 2 ______" in empty
    assert "Cellar ______" not in empty
    assert hanging("move", "A1", "Cellar").code == 0
    assert "Cellar ______" in " ".join(hanging("handover").out.split())


def test_planning_back_works_without_a_file(shell: Shell) -> None:
    done = shell("plan", "coppa", "--ready-by", "24 Dec", "--json")
    assert done.code == 0, done.err
    assert done.json["standing"] == "too-late"
    assert done.json["own_lots"] == 0
    assert json.dumps(done.json)


def test_export_is_json_whether_or_not_it_is_asked_for(hanging: Shell, tmp_path: Path) -> None:
    plain = hanging("export").json["tables"]
    assert hanging("export", "--json").json["tables"] == plain
    path = tmp_path / "household.json"
    assert hanging("export", str(path)).code == 0
    assert json.loads(path.read_text())["tables"] == plain
