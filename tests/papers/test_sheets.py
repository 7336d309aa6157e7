"""Dose sheet, record and stand-in page in every form; nothing typed becomes markup."""

import json
import re
import sqlite3
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from html.parser import HTMLParser
from pathlib import Path
from xml.etree import ElementTree

import pytest

from curedash.domain.drying.lot_figures import figures
from curedash.domain.facts.cautions import cautions_for
from curedash.domain.needs.days_away import Away
from curedash.papers.blocks import Block, Figure, Items, Table, as_html, as_markdown, as_text
from curedash.papers.blocks_pdf import as_pdf
from curedash.papers.curve_svg import Curve, scale_of, svg
from curedash.papers.dose_sheet import dose_sheet
from curedash.papers.handover import handover
from curedash.papers.lot_facts import LotFacts
from curedash.papers.record import record_of
from curedash.present.display_units import show_in
from curedash.present.needs.diary import ready_lines
from curedash.present.words import weekday
from curedash.services.drying.lot_curve import curve_of
from curedash.services.find import require_lot
from curedash.services.household.book import laid_over
from curedash.services.household.household import zone
from curedash.services.household.note import add_note
from curedash.services.needs import away
from curedash.services.needs.diary import lots_ready, read_diary
from curedash.services.weighing.correct import void_weigh_in
from curedash.services.weighing.weigh import preview, weigh
from curedash.store import rack, weigh_ins
from curedash.store.work import By
from tests.papers.conftest import text_of_pdf

Facts = Callable[[str], LotFacts]
EVIL = "<script>alert(1)</script> | **b** `c` [x](javascript:1) &amp; \x1b[31m\n# h"
STATUS_WORDS = re.compile(r"\b(safe|done|expired|ready)\b", re.IGNORECASE)


class Tags(HTMLParser):
    """What tags and scripts a browser would see."""

    def __init__(self) -> None:
        super().__init__()
        self.seen: list[str] = []
        self.loaded: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.seen.append(tag)
        self.loaded += [value or "" for name, value in attrs if name in ("src", "href")]


def papers(conn: sqlite3.Connection, now: datetime) -> dict[str, list[Block]]:
    lots = rack.all_lots(conn)
    return {
        "record": record_of(conn, lots, now),
        "dose sheet": dose_sheet(conn, lots, now),
        "stand-in": handover(conn, now, ask="Mara 0123 456"),
    }


def test_every_paper_of_every_lot_comes_in_every_form(
    house: sqlite3.Connection, at: datetime
) -> None:
    for name, blocks in papers(house, at).items():
        text = as_text(blocks)
        assert all(len(line) <= 80 for line in text.splitlines()), name
        for made in (text, as_markdown(blocks), as_html(blocks)):
            assert not STATUS_WORDS.search(re.sub(r"base64,\S+", "", made)), name
        assert as_pdf(blocks, at)[:5] == b"%PDF-"


def test_what_is_typed_becomes_markup_nowhere(
    house: sqlite3.Connection, at: datetime, by: By
) -> None:
    harmless = Tags()
    for blocks in papers(house, at).values():
        harmless.feed(as_html(blocks))
    house.execute("UPDATE lot SET piece = ?, tare_what = ?, style_name = ?", (EVIL,) * 3)
    house.execute("UPDATE batch SET name = ?, note = ?, species = ?", (EVIL,) * 3)
    house.execute("UPDATE place SET name = ? || id", (EVIL,))
    house.execute("UPDATE dose_line SET name = ? || seq", (EVIL,))
    lot = require_lot(house, "D1")
    add_note(house, by, lot.id, "D1", "<img src=x onerror=alert(1)>")
    hostile = Tags()
    for blocks in papers(house, at).values():
        page = as_html(blocks)
        hostile.feed(page)
        markdown = as_markdown(blocks)
        assert "<script" not in page
        assert "<script" not in markdown
        assert "<img" not in markdown
        assert "\n# h" not in markdown
        assert not re.search(r"(?<!\\)\[x\]\(javascript", markdown)
        assert "\x1b" not in page + markdown + as_text(blocks)
    assert set(hostile.seen) <= set(harmless.seen)
    assert hostile.loaded == []


def test_the_curve_is_a_drawing_any_parser_reads(house: sqlite3.Connection, at: datetime) -> None:
    blocks = record_of(house, [require_lot(house, "D1")], at)
    figure = next(block for block in blocks if isinstance(block, Figure))
    root = ElementTree.fromstring(svg(figure.curve))
    circles = root.findall("{http://www.w3.org/2000/svg}circle")
    assert len(circles) == 7
    # by hand: hung at 1098 g net, the last weigh-in 784 - 28 = 756 g net, so 31.1 % lost
    assert figure.curve.points[-1][1] == pytest.approx(100 * (1098 - 756) / 1098)
    assert "31.1 % lost from hang weight after 42 days" in figure.caption


@pytest.mark.parametrize(
    "points",
    [
        ((0.0, 0.0), (1.0, 0.5)),
        ((0.0, 0.0), (300.0, 48.0)),
        ((0.0, 0.0), (3.0, -4.0)),
        ((0.0, 0.0), (0.0, 0.0)),
    ],
)
def test_any_curve_stays_inside_its_frame(points: tuple[tuple[float, float], ...]) -> None:
    curve = Curve(points, (35, 40), (10, 1e6), "hang", 'a "label" <b>')
    scale = scale_of(curve)
    for number in re.findall(r'c[xy]="([^"]+)"', svg(curve)):
        assert 0 <= float(number) <= 640
    ElementTree.fromstring(svg(curve))
    assert scale.most_pct >= 40


def test_the_record_says_base_sources_corrections_and_what_is_in_it(
    house: sqlite3.Connection, at: datetime, by: By
) -> None:
    lot = require_lot(house, "D1")
    last = weigh_ins.of_lot(house, lot.id)[-1]
    void_weigh_in(house, by, last.id)
    text = as_text(record_of(house, [lot], at))
    assert "lost from hang" in text
    assert "does not count" in text
    assert "Contains: beef, salt, nitrite (E 250)" in text
    assert "625 mg/kg" in text  # the limit, with where it stands
    assert "FSIS" in text
    assert re.search(r"Corrections\n-+\n- .*void", text)
    assert "roast 1, Saturday market, fresh" in text


def test_the_record_gives_the_air_of_each_stay(house: sqlite3.Connection, at: datetime) -> None:
    from curedash.services.places.air_by_stage import stays_of
    from curedash.store import lots

    lot = require_lot(house, "G1")
    (stay,) = [s for s in stays_of(house, lots.stages(house, lot.id), at) if s.stage == "in-cure"]
    rows = [
        r[0]
        for r in house.execute(
            "SELECT temp_c FROM reading WHERE place_id = ? AND at BETWEEN ? AND ?",
            (lot.place_id, int(stay.start.timestamp()), int(stay.end.timestamp())),
        )
    ]
    assert stay.temp is not None
    # readings come every half hour, so their plain mean is near the mean over time
    assert stay.temp.mean == pytest.approx(sum(rows) / len(rows), abs=0.05)
    assert (stay.temp.low, stay.temp.high) == (min(rows), max(rows))


# ── the person who stands in ──────────────────────────────────────────────────────────────


def test_the_page_says_grams_on_the_scale_for_every_day(
    house: sqlite3.Connection, at: datetime
) -> None:
    text = " ".join(as_text(handover(house, at, days=8, ask="Mara 0123 456")).split())
    assert "For questions: Mara 0123 456" in text
    assert "Pull at 742 g or less on the scale, weighed with hook and net (28 g)" in text
    assert "above 7 °C for six hours" in text
    assert "The weight decides, not the date." in text
    for n in range(8):
        assert f"{(at + timedelta(days=n)).day} " in text


GONE = Away(date(2026, 11, 26), date(2026, 12, 1))


def asked(blocks: list[Block]) -> list[str]:
    """What the page asks for with a box to tick, thermometers left out."""
    return [
        text
        for block in blocks
        if isinstance(block, Items) and block.ticks
        for text in block.texts
        if not text.startswith("thermometers")
    ]


def test_the_page_asks_nothing_that_the_days_away_moved(
    house: sqlite3.Connection, at: datetime, by: By
) -> None:
    before = asked(handover(house, at, days=6, first=GONE.first))
    assert any(": weigh" in text for text in before)
    kept = away.add_away(house, by, GONE, at)
    blocks = handover(house, at, days=6, first=GONE.first)
    assert [text for text in asked(blocks) if "weigh" in text or "turn" in text] == []
    assert any("look and smell" in text for text in asked(blocks)), "a ferment cannot wait"
    page = as_text(blocks, 200)
    plan = {row.lot.code: row for row in away.report(house, GONE, at)}
    waiting = page[page.index("Waits until they are back") : page.index("What is where")]
    for code in re.findall(r"- [^:]+: (\w+): weigh", waiting):
        after = plan[code].weigh_after
        assert after is not None
        assert f"{weekday(after)}: {code}: weigh" in waiting
    assert asked(handover(house, at, days=6, first=GONE.first, weighs_too=True)) == before
    away.remove_away(house, by, kept.id)
    looked = handover(house, at, days=6, first=GONE.first, looked_at=GONE)
    assert as_text(looked) == as_text(blocks), "days only looked at count like kept ones"


def test_what_is_due_before_the_first_day_is_for_the_household(
    house: sqlite3.Connection, at: datetime
) -> None:
    later = at.date() + timedelta(days=40)
    ahead = read_diary(house, at, days=40).items
    due = [item.lot.code for item in ahead if item.lot and item.kind == "cure-out"]
    assert due
    page = as_text(handover(house, at, days=6, first=later), 200)
    before = page[page.index("Due before these days") : page.index("Day by day")]
    assert "The household does this before it leaves." in before
    assert re.findall(r": (\w+): usual day out of the cure", before) == due
    assert not re.search(r": weigh\b|turn the bag", before)
    assert "Due before these days" not in as_text(handover(house, at, days=6), 200)


def test_where_nothing_is_weighed_the_page_does_not_say_how(
    house: sqlite3.Connection, at: datetime, by: By
) -> None:
    weighs = as_text(handover(house, at, days=6, first=GONE.first), 200)
    away.add_away(house, by, GONE, at)
    page = as_text(handover(house, at, days=6, first=GONE.first), 200)
    for words in (
        "How to weigh",
        "pull it",
        "take down at this weight or less",
        "on the scale with it",
    ):
        assert words in weighs
        assert words not in page
    assert "Nothing is weighed or pulled on these days" in page
    assert "so leave it" in page
    one_more = as_text(handover(house, at, days=9, first=GONE.first), 200)
    assert "How to weigh" in one_more, "the days at home again have weigh-ins"


def test_the_away_screen_and_the_diary_name_the_same_weigh_days(
    house: sqlite3.Connection, at: datetime, by: By
) -> None:
    plan = away.report(house, GONE, at)
    away.add_away(house, by, GONE, at)
    days: dict[str, list[date]] = {}
    for item in read_diary(house, at, days=40).items:
        if item.kind == "weigh" and item.lot is not None:
            days.setdefault(item.lot.code, []).append(item.first)
    told = [row for row in plan if row.weigh_after is not None]
    assert len(told) > 3
    for row in told:
        assert row.weigh_after in days[row.lot.code]
        assert row.weigh_before is None or row.weigh_before in days[row.lot.code]
        assert not [day for day in days[row.lot.code] if GONE.first <= day <= GONE.last]


@pytest.mark.external("pdftotext")
def test_the_printed_page_is_the_text(
    house: sqlite3.Connection, at: datetime, tmp_path: Path
) -> None:
    house.execute("UPDATE lot SET piece = 'świeża 牛 ö é ł' WHERE code = 'D1'")
    for name, blocks in papers(house, at).items():
        (tmp_path / name).mkdir()
        found = set(text_of_pdf(as_pdf(blocks, at), tmp_path / name).split())
        for word in set(as_text(blocks).split()):
            if not set(word) <= set("-=_[]x"):
                assert word in found or word.rstrip(".,:;") in "".join(found), (name, word)


def test_letter_pages_are_letter(house: sqlite3.Connection, at: datetime) -> None:
    data = as_pdf(handover(house, at), at, "letter")
    found = re.search(rb"/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]", data)
    assert found is not None
    # 8.5 x 11 inches of 72 points
    assert [round(float(side)) for side in found.groups()] == [612, 792]


def test_every_dose_sheet_ends_with_its_three_cautions(
    house: sqlite3.Connection, at: datetime
) -> None:
    """One with no line on it too: what goes in is weighed by hand all the more."""
    for lot in rack.all_lots(house):
        text = " ".join(as_text(dose_sheet(house, [lot], at)).split())
        for caution in (*cautions_for("curing-salt"), *cautions_for("in-cure")):
            assert caution in text, lot.code


def test_a_dose_sheet_without_curing_salt_has_no_word_about_it(
    house: sqlite3.Connection, at: datetime
) -> None:
    lot = require_lot(house, "D1")
    assert "never spoon it" in as_text(dose_sheet(house, [lot], at))
    request = json.loads(house.execute("SELECT recipe FROM batch WHERE code = 'D'").fetchone()[0])
    request["curing_salt"] = request["cure_pct"] = None
    house.execute("UPDATE batch SET recipe = ? WHERE code = 'D'", (json.dumps(request),))
    house.execute("DELETE FROM dose_line WHERE lot_id = ? AND kind = 'curing-salt'", (lot.id,))
    without = as_text(dose_sheet(house, [lot], at)).partition("Mind")[2]
    assert "botulinum" in without
    assert "curing salt" not in without


def test_weights_down_a_dose_sheet_have_the_decimals_of_the_scale(
    house: sqlite3.Connection, at: datetime
) -> None:
    lot = require_lot(house, "D1")
    table = next(block for block in dose_sheet(house, [lot], at) if isinstance(block, Table))
    for column in (2, 3):
        decimals = {len(row[column].partition(".")[2]) for row in table.rows if row[column]}
        assert len(decimals) == 1
    house.execute("UPDATE dose_line SET planned_g = 28.0 WHERE seq = 0 AND lot_id = ?", (lot.id,))
    table = next(block for block in dose_sheet(house, [lot], at) if isinstance(block, Table))
    assert table.rows[0][2] == "28.0"


def test_corrections_are_worded_as_in_the_history_in_the_units_shown(
    house: sqlite3.Connection, at: datetime, by: By
) -> None:
    lot = require_lot(house, "D1")
    last = weigh_ins.of_lot(house, lot.id)[-1]
    gross = f"{last.gross_g:g}"
    void_weigh_in(house, by, last.id)
    assert f": void D1 {gross} g" in as_text(record_of(house, [lot], at), 200)
    show_in("lb", "F", "in")
    try:
        text = as_text(record_of(house, [lot], at), 200)
    finally:
        show_in()
    # one pound is 453.59237 g and sixteen ounces (international pound, 1959)
    lb, ounces = divmod(last.gross_g / 453.59237, 1)
    assert f": void D1 {lb:g} lb {ounces * 16:.1f}".removesuffix(".0") in text
    corrections = text[text.index("Corrections") : text.index("Mind")]
    assert not re.search(r"\d g\b|\d{4}-\d\d-\d\d", corrections)


@pytest.mark.external("pdftotext")
def test_the_foot_of_each_page_names_the_lot_on_it(
    house: sqlite3.Connection, at: datetime, tmp_path: Path
) -> None:
    lots = [require_lot(house, code) for code in ("D1", "L1", "H1")]
    pages = text_of_pdf(as_pdf(dose_sheet(house, lots, at), at), tmp_path).split("\f")[:-1]
    for page in pages:
        lines = [line.strip() for line in page.splitlines() if line.strip()]
        assert lines[-1].startswith(lines[0].removesuffix(",").split(",")[0]), lines[-1]
    assert {page.split()[2] for page in pages} == {"D1", "L1", "H1"}


def test_a_salt_box_with_nothing_weighed_still_says_its_day(
    house: sqlite3.Connection, at: datetime
) -> None:
    text = as_text(dose_sheet(house, [require_lot(house, "H1")], at))
    assert "No ingredient is recorded." in text
    assert "OUT on 24 Nov 2026" in text


def test_the_curve_of_a_record_ends_with_the_drying_as_the_books_does(
    house: sqlite3.Connection, at: datetime, by: By
) -> None:
    lot = require_lot(house, "B1")  # keeping
    seen = preview(lot, "420 g", at, UTC)
    weigh(house, by, lot.id, seen, keep_doubtful=True)
    figure = next(b for b in record_of(house, [lot], at) if isinstance(b, Figure))
    assert figure.curve.points == laid_over(house, [lot.id], at)["B1"]
    assert len(figure.curve.points) == len(curve_of(house, lot.id, at).points) - 1


def test_no_line_of_the_grid_crosses_the_word_target() -> None:
    drawn = svg(Curve(((0.0, 0.0), (30.0, 34.0)), (33, 38), (10, 40), "hang", "a label"))
    assert drawn.index(">target<") > drawn.rindex("<line ")
    before = drawn[: drawn.index(">target<")]
    assert before.rindex("<rect ") > before.rindex("<line "), "a ground of its own"


def test_what_hangs_and_may_be_there_by_a_day_comes_by_its_window(
    house: sqlite3.Connection, at: datetime
) -> None:
    found = lots_ready(house, at)
    assert {lot.code for lot, _ in found} == {lot.code for lot in rack.open_lots(house)}
    windows = {
        lot.code: figures(lot, at, zone(house)).window
        for lot in rack.open_lots(house)
        if lot.stage == "drying"
    }
    assert {lot.code: window for lot, window in found if lot.stage == "drying"} == windows
    for by in (date(2026, 11, 26), date(2026, 12, 8), date(2027, 6, 1)):
        lines = dict(line.split(": ", 1) for line in ready_lines(found, by, at.date()))
        for group, over in (("likely", True), ("perhaps", False)):
            line = lines.get(f"hanging now, {group} at the target by then", "")
            opened = {code: w for code, w in windows.items() if w is not None and w[0] <= by}
            assert set(re.findall(r"[A-Z]\d+[a-z]?", line)) == {
                code for code, window in opened.items() if (window[1] <= by) is over
            }
        later = set(re.findall(r"[A-Z]\d+[a-z]?", lines.get("not by then", "")))
        assert {c for c, w in windows.items() if w is not None and w[0] > by} <= later
    assert ready_lines([], by, at.date()) == []


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ("rim none, soft, smell clean", "felt soft"),
        ("rim none, firm, smell clean", None),
        ("rim hard, soft, smell clean, goes on", "felt soft"),
    ],
)
def test_who_stands_in_is_not_told_to_pull_what_was_felt_soft(words, told):
    from curedash.domain.drying.inspections import found_soft
    from curedash.domain.needs.diary import DiaryItem
    from curedash.domain.records import Look
    from curedash.papers.handover import _task
    from tests.build import NOW, weighed

    lot = weighed((30, 1000), (1, 750), looks=(Look("target", NOW.isoformat(), words),))
    assert found_soft(lot) == told
    item = DiaryItem(NOW.date(), NOW.date(), "weigh", "weigh-1", lot)
    assert ("Do not pull it" in _task(item)) == (told is not None)
    assert ("Pull at" in _task(item)) == (told is None)


def test_a_siblings_soft_middle_keeps_a_lot_from_being_pulled_until_it_was_felt():
    from curedash.domain.drying.inspections import found_soft
    from curedash.domain.records import Look
    from tests.build import NOW, weighed

    heard = Look("sibling", NOW.isoformat(), "C3 opened at 29 %: soft middle")
    firm = Look("target", NOW.isoformat(), "rim none, firm, smell clean")
    assert found_soft(weighed((30, 1000), (1, 750), looks=(heard,))) == heard.text
    assert found_soft(weighed((30, 1000), (1, 750), looks=(firm, heard))) is None
