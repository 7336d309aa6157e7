"""Tags: what stands on them, what other programs read from them, and that nothing is lost."""

import dataclasses
import re
import sqlite3
import subprocess
from collections.abc import Callable
from datetime import datetime
from pathlib import Path

import pytest

from curedash.domain.errors import Refused
from curedash.domain.facts.curing_salts import CURING_SALTS
from curedash.domain.record import replace
from curedash.papers.ingredients import contains, marked, strength_words
from curedash.papers.lot_facts import LotFacts
from curedash.papers.paper_files import write_tags
from curedash.papers.pdf import Canvas, drawable
from curedash.papers.sheet_sizes import SIZES, size_of
from curedash.papers.tag_pages import tag_pages
from curedash.papers.tags import Row, Tag, cure_tag, tag_lines, tags_of
from curedash.present.display_units import show_in
from curedash.services.find import require_lot
from curedash.services.household.packs import NewPack, Share, add_packs, mix_pack, names_for
from curedash.store import lots
from curedash.store.work import By, change
from tests.hostile import HOSTILE
from tests.papers.conftest import text_of_pdf

Facts = Callable[[str], LotFacts]


def test_hang_tag_gives_the_target_as_the_scale_shows_it_with_what_is_on_it(facts: Facts) -> None:
    # by hand: hung 1126 g with 28 g of hook and net, so 1098 g meat; pulled at 35 to 40 % loss:
    # 1098 * .60 + 28 = 686.8 and 1098 * .65 + 28 = 741.7
    lines = tag_lines(tags_of(facts("D1"))[0])
    assert lines[0] == "D1"
    assert "PULL when the scale shows 687–742 g" in lines
    assert "weighed with hook and net (28 g)" in lines
    assert "The weight decides, not the date. 35–40 % loss from hang weight" in lines
    assert "hung 9 Oct 2026, 1126 g on the scale: 1098 meat + 28 hook and net" in lines
    assert lines.count("__________  ______ g") == 6


def test_cure_tag_ticks_what_went_in_and_lists_turns(facts: Facts) -> None:
    lines = tag_lines(tags_of(facts("L1"))[0])
    assert "[x] 18.7 g salt" in lines
    assert "[ ] 3.7 g sugar" in lines
    assert any("6.25 % nitrite, 4 % nitrate" in line for line in lines)
    turned = next(line for line in tag_lines(tags_of(facts("G1"))[0]) if line.startswith("turned"))
    assert turned.count("[ ]") == 7  # every other day of two weeks, the last day it comes out


def test_a_salt_box_says_when_it_must_come_out_and_a_weighed_dose_can_wait(facts: Facts) -> None:
    box, bag = (" ".join(tag_lines(tags_of(facts(code))[0])) for code in ("H1", "G1"))
    assert "not later" in box
    assert "can wait" not in box
    assert "then it can wait" in bag
    found = facts("G1")
    unfinished = dataclasses.replace(found, lot=replace(found.lot, dose_open=1))
    assert "can wait" not in " ".join(tag_lines(tags_of(unfinished)[0]))


def test_each_tag_of_a_mixed_pack_names_the_other_lots(
    house: sqlite3.Connection, facts: Facts, at: datetime
) -> None:
    done = [code for (code,) in house.execute("SELECT code FROM lot WHERE stage = 'closed'")][:2]
    first, second = (require_lot(house, code).id for code in done)
    by = By("2026-11-25T18:00:00Z", "anna", "shell", "here")
    mix_pack(house, by, [Share(first, 120.0), Share(second, 80.0)], NewPack(200.0, at), sure=True)
    for code, own, other in (
        (done[0], "120 g", f"{done[1]} 80 g"),
        (done[1], "80 g", f"{done[0]} 120 g"),
    ):
        tag = tag_lines(tags_of(facts(code), "pack")[-1])
        assert any(line.startswith("packed 25 Nov 2026") and own in line for line in tag)
        assert f"mixed with {other}; the tag of each says what it contains" in tag


def test_a_pack_says_whom_it_is_for(house: sqlite3.Connection, facts: Facts, at: datetime) -> None:
    code = house.execute("SELECT code FROM lot WHERE stage = 'closed'").fetchone()[0]
    by = By("2026-11-25T18:00:00Z", "anna", "shell", "here")
    packs = [NewPack(90.0, at, None, name) for name in (*names_for("Ilse, Jon", 2), None)]
    add_packs(house, by, require_lot(house, code).id, packs, sure=True)
    tags = [tag_lines(tag) for tag in tags_of(facts(code), "pack")[-3:]]
    assert [[line for line in tag if line.startswith("for ")] for tag in tags] == [
        ["for Ilse"],
        ["for Jon"],
        [],
    ]


def test_what_is_not_salted_yet_says_so(facts: Facts) -> None:
    made = facts("G1")
    raw = dataclasses.replace(made, lot=replace(made.lot, salted_at=None))
    assert f"{made.lot.green_g:g} g green · not salted yet" in tag_lines(cure_tag(raw))
    assert any(" green · in " in line for line in tag_lines(cure_tag(made)))


def test_both_ends_of_a_pull_weight_in_pounds_stand_whole(facts: Facts) -> None:
    made = facts("C1")
    show_in("lb")
    try:
        pull = next(line for line in tag_lines(tags_of(made, "hang")[0]) if "PULL" in line)
    finally:
        show_in()
    assert re.fullmatch(r"PULL when the scale shows (\d+ lb )?[\d.]+ oz to \d+ lb [\d.]+ oz", pull)


def test_pack_tag_says_what_is_in_it_and_that_it_is_raw(facts: Facts) -> None:
    lines = tag_lines(tags_of(facts("A1"))[0])
    assert "Raw, cured, not cooked." in lines
    assert "Keep cold: 5 °C or colder." in lines
    assert any(line.startswith("Contains: beef, salt, nitrite (E 250), nitrate") for line in lines)


def test_an_ingredient_with_an_allergen_is_printed_large() -> None:
    assert marked("wholegrain mustard") == "WHOLEGRAIN MUSTARD"
    assert marked("bay") == "bay"


def test_a_curing_salt_of_unknown_strength_is_said_to_be_unknown(facts: Facts) -> None:
    from dataclasses import replace

    from curedash.domain.dosing import CuringSalt

    assert strength_words(CuringSalt("x", "pink pack", None, None, None)) == "strength unknown"
    known = facts("D1")
    assert known.request is not None
    unknown = replace(known.request, curing_salt=CuringSalt("x", "pink pack", None, None, None))
    assert "nitrite and nitrate: amount unknown" in contains(replace(known, request=unknown))
    assert len(CURING_SALTS) > 3


def test_a_lot_that_never_hung_has_no_hang_tag(facts: Facts) -> None:
    with pytest.raises(Refused, match="not been hung yet"):
        tags_of(facts("G1"), "hang")


def test_an_unknown_size_names_the_known_ones() -> None:
    with pytest.raises(Refused, match="62x100"):
        size_of("a5")
    with pytest.raises(Refused, match="40–300"):
        size_of("10x10")


@pytest.mark.parametrize("size", SIZES, ids=lambda size: size.id)
def test_nothing_is_drawn_outside_its_tag(
    size: object, facts: Facts, at: datetime, monkeypatch: pytest.MonkeyPatch
) -> None:
    drawn: list[tuple[float, float, float, float]] = []
    write, box = Canvas.write, Canvas.box

    def watched(self: Canvas, x: float, y: float, text: str, size_pt: float, **more: object):  # type: ignore[no-untyped-def]
        bold = bool(more.get("bold"))
        drawn.append((x, y, self.width(text, size_pt, bold), size_pt * 25.4 / 72))
        write(self, x, y, text, size_pt, **more)  # type: ignore[arg-type]

    def watched_box(self: Canvas, x: float, y: float, w: float, h: float, line_mm: float = 0.25):  # type: ignore[no-untyped-def]
        drawn.append((x, y, w, h))
        box(self, x, y, w, h, line_mm)

    monkeypatch.setattr(Canvas, "write", watched)
    monkeypatch.setattr(Canvas, "box", watched_box)
    sheet = size_of(size.id)  # type: ignore[attr-defined]
    for code in ("D1", "F2", "C1", "H1", "B1"):
        drawn.clear()
        tag_pages(tags_of(facts(code)), sheet, at)
        for x, y, wide, high in drawn:
            assert x >= sheet.margin_mm - 0.01
            assert y >= sheet.margin_mm - 0.01
            assert x + wide <= sheet.margin_mm + sheet.tag_width_mm + 0.01, code
            assert y + high <= sheet.margin_mm + sheet.tag_height_mm + 0.01, code


@pytest.mark.external("pdftotext")
def test_a_huge_name_still_fits_and_keeps_the_pull_weight(
    house: sqlite3.Connection, facts: Facts, at: datetime, by: By, tmp_path: Path
) -> None:
    with change(house, by, "rename", subject="D1") as work:
        lots.update(work, facts("D1").lot.id, piece="W" * 200)
    data = tag_pages(tags_of(facts("D1")), size_of("a4"), at)
    assert "687–742 g" in text_of_pdf(data, tmp_path)


@pytest.mark.parametrize("text", HOSTILE)
def test_any_name_is_printed_on_any_size(
    text: str, house: sqlite3.Connection, facts: Facts, at: datetime
) -> None:
    house.execute("UPDATE lot SET piece = ?, tare_what = ?, style_name = ?", (text,) * 3)
    house.execute("UPDATE batch SET name = ?, species = ?", (text,) * 2)
    tags = [tag for code in ("D1", "L1", "A1") for tag in tags_of(facts(code))]
    for size in ("57x40", "a4"):
        assert tag_pages(tags, size_of(size), at)[:5] == b"%PDF-"
    for tag in tags:
        assert all(line == line.replace("\n", " ") for line in tag_lines(tag))
        assert "\x1b" not in "".join(tag_lines(tag))


def test_a_target_that_rests_on_an_estimate_says_so(
    house: sqlite3.Connection, facts: Facts
) -> None:
    house.execute("UPDATE lot SET hang_pm_g = 30 WHERE code = 'D1'")
    lines = tag_lines(tags_of(facts("D1"))[0])
    assert "PULL when the scale shows ≈ 687–742 g" in lines


def test_tags_are_written_by_the_name_of_the_file(
    facts: Facts, at: datetime, tmp_path: Path
) -> None:
    for name in ("tags.pdf", "tags.txt"):
        write_tags(str(tmp_path / name), tags_of(facts("D1")), at, never="")
    assert (tmp_path / "tags.pdf").read_bytes()[:5] == b"%PDF-"
    assert (tmp_path / "tags.txt").read_text().startswith("D1\nSilverside")


# ── read by other programs ────────────────────────────────────────────────────────────────


@pytest.mark.external("pdftotext")
def test_text_extracted_from_the_sheet_is_the_data(
    facts: Facts, at: datetime, tmp_path: Path
) -> None:
    tags = [tag for code in ("D1", "H1", "J1", "B1") for tag in tags_of(facts(code))]
    found = _bare(text_of_pdf(tag_pages(tags, size_of("102x152"), at), tmp_path))
    for tag in tags:
        for row in tag.rows:
            words = set(row.text.split())
            assert words <= set(found.split()), row.text


@pytest.mark.external("pdftotext")
def test_letters_of_the_household_are_drawn_and_the_rest_is_shown_as_code(
    at: datetime, tmp_path: Path
) -> None:
    text = "Öl pâté Łódź ćevap Ñora Hús 牛すじ λάδι мясо"
    tag = Tag("C2", "hang", (Row(f"{text} \U0001f404 한", worth=3), Row(text, bold=True, worth=3)))
    found = text_of_pdf(tag_pages([tag], size_of("102x152"), at), tmp_path)
    assert found.split().count("牛すじ") == 2
    for word in text.split():
        assert word in found.split(), word
    assert "[U+1F404]" in found
    assert "[U+D55C]" in found


def test_bold_and_upright_draw_the_same_letters() -> None:
    from fontTools.ttLib import TTFont

    from curedash.papers.pdf import FONTS

    upright, bold = (TTFont(f"{FONTS}/{name}.ttf").getBestCmap() for name in ("sans", "sans-bold"))
    assert set(upright) == set(bold)
    assert drawable("e\u0301") == "é"


@pytest.mark.external("zbarimg", "pdftotext")
@pytest.mark.parametrize("size", ["a4", "62x100", "57x40"])
def test_the_code_read_by_another_decoder_is_the_lot(
    size: str, facts: Facts, at: datetime, tmp_path: Path
) -> None:
    codes = ["D1", "F2", "H1", "B1"]
    data = tag_pages([tag for c in codes for tag in tags_of(facts(c))], size_of(size), at)
    (tmp_path / "tags.pdf").write_bytes(data)
    subprocess.run(
        ["pdftoppm", "-r", "200", "-gray", "-png", str(tmp_path / "tags.pdf"), str(tmp_path / "p")],
        check=True,
    )
    pages = sorted(str(page) for page in tmp_path.glob("p*.png"))
    read = subprocess.run(
        ["zbarimg", "-q", "--raw", "-Sdisable", "-Sqrcode.enable", *pages],
        capture_output=True,
        check=True,
    )
    assert sorted(read.stdout.decode().split()) == sorted(codes)


def _bare(text: str) -> str:
    return text.replace("\u00a0", " ")
