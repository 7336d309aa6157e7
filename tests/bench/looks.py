"""Draws every screen at every size, in every look and with every set of signs, to be looked at.

    python tests/bench/looks.py FOLDER            every screen
    python tests/bench/looks.py FOLDER rack lot   only these screens

Each screen is drawn at all sizes in the first look, and at the usual size in every other look and
with every other set of signs. Writes SVG files, PNG beside them where ``rsvg-convert`` is
installed, and the text of the first look. Lines with an ellipsis are listed: something was cut.
"""

import asyncio
import os
import re
import shutil
import sqlite3
import subprocess
import sys
import tempfile
from contextlib import closing
from datetime import UTC, datetime
from html import escape, unescape
from pathlib import Path
from typing import Any

from rich.cells import cell_len
from textual.pilot import Pilot

from curedash.present import signs
from curedash.services.file.demo import build_demo
from curedash.store.file_trouble import SCHEMA_VERSION
from curedash.tui.app import Dashboard
from curedash.tui.chassis.state import DashboardState

NAMES = {" ": "space", ".": "full_stop", "-": "minus", "+": "plus", "?": "question_mark"}
NOW = datetime(2026, 11, 25, 18, 0, tzinfo=UTC)
USUAL = (80, 24)
SIZES = ((45, 22), (60, 20), USUAL, (120, 36), (160, 45))
CELL_PX = 12.2  # of the picture
TEXT = re.compile(r'(<text [^>]*?\bx="([\d.]+)"[^>]*>)([^<]*)</text>')
LOOKS = ("paper-dark", "paper-light", "contrast", "terminal", "no-color")
#: look, set of signs, size
WAYS = (
    *((LOOKS[0], signs.BRAILLE, size) for size in SIZES),
    *((look, signs.BRAILLE, USUAL) for look in LOOKS[1:]),
    *((LOOKS[0], plainer, size) for plainer in signs.SETS[1:] for size in (USUAL, SIZES[-1])),
)
EYE = (
    "n",
    "=bresaola",
    "@name",
    "=Beef eye",
    "@pieces",
    "=1134 1088 990 1041",
    "@thickness",
    "=80",
    "@curing_salt",
    "=no2",
)
SAUSAGE = (
    *("n", "=thin salami", "@name", "=Garlic string", "@pieces", "=1600 + 400"),
    *("@sausages", "=8", "@casing", "=32", "@curing_salt", "=no2", "@starter", "=0.02"),
    *("@spices", "=pepper 0.3", "@scale", "=0.1", "@rules", "=un"),
    *("@stuffed", "=2060", "@casing_g", "=45 casing", "@ferment_in", "=Cellar"),
)
#: screen → keys pressed on the demo's Rack; "=words" are typed, "@field" is gone to by Tab,
#: "#code" marks the row of this lot on the Rack, "!kind" the first setting of its kind
SCREENS: dict[str, tuple[str, ...]] = {
    "rack": (),
    "rack-green": ("b",),
    "weigh-in": ("#D1", "w", "=704"),
    "weighed": ("#D1", "=775", "enter"),
    "not-a-weight": ("#D1", "=7o5", "enter"),
    "heavier": ("#D1", "w", "=1480", "enter"),
    "doubt": ("#D1", "=70", "enter"),
    "find": ("slash", "=co"),
    "find-nothing": ("slash", "=xyz", "enter"),
    "stage": ("#D1", "s"),
    "tags-asked": ("#D1", "T"),
    "keys": ("question_mark",),
    "keys-lot": ("#D1", "enter", "question_mark"),
    "palette": ("f2", "=we"),
    "palette-nothing": ("f2", "=export no"),
    "round": ("r",),
    "round-typed": ("r", "=900"),
    "round-left-out": ("r", *"zz"),
    "needs": ("a",),
    "snooze": ("a", "down", "z"),
    "snoozed": ("a", "down", "z", "=3 guests on Sunday", "enter"),
    "places": ("p",),
    "reading": ("p", "g"),
    "place-new": ("p", "n", "=Attic 12C 75%"),
    "outage": ("p", "O"),
    "places-more": ("p", "space"),
    "air": ("p", "enter"),
    "air-year": ("p", "enter", "v", "space", "space"),
    "air-below": ("p", "down", "enter"),
    "new-batch": ("n",),
    "new-batch-filled": (*EYE, "@scale", "=0.1", "@rules", "=un"),
    "new-batch-refused": (*EYE, "@cure", "=2.5", "@rules", "=un"),
    "new-batch-wanted": ("n", "f10"),
    "one-by-one": (*EYE[:6], "@each", "right", "tab", "tab", "=90", "tab", "=thick end"),
    "grid-refused": (*EYE[:6], "@each", "right", "tab", "tab", "=6.5", "enter", "enter"),
    "new-batch-all": (*EYE, "@scale", "=0.1", "@rules", "=un", "f6"),
    "new-batch-folded": (*EYE, "tab", "tab"),
    "new-batch-style": ("n", "=co"),
    "new-batch-choice": (*EYE, "@scale", "=0.1", "@rules"),
    "new-batch-sources": (*EYE, "@scale", "=0.1", "@rules", "=un", "tab", "f7"),
    "new-batch-style-asked": ("n", "=biltung", "tab"),
    "sausage": ("n", "=thin salami", "@name", "=Garlic string"),
    "sausage-filled": SAUSAGE,
    "sausage-saved": (*SAUSAGE, "f10"),
    "under-way": ("N",),
    "under-way-typed": ("N", "=bresaola 4", "enter"),
    "under-way-since": ("N", "=bresaola 4", "enter", "enter", "=-4d"),
    "under-way-form": ("n", "=bresaola", "@now", "=i", "@since", "=-4d", "tab", "=4", "tab"),
    "dose-sheet": ("#L1", "f3"),
    "dose-sheet-new": (*EYE, "f10"),
    "dose-sheet-all": ("#C1", "f3"),
    "no-dose-sheet": ("#H1", "f3"),
    "misdose": ("#L1", "D"),
    "misdose-typed": ("#L1", "D", "down", "=7"),
    "lot-raw": ("#L1", "enter"),
    "lot-in-cure": ("#G1", "enter"),
    "lot-overdue": ("#H1", "enter"),
    "lot-ferment": ("#J1", "enter"),
    "lot-drying": ("#D1", "enter"),
    "lot-slow": ("#C1", "enter"),
    "lot-at-target": ("#D2", "enter"),
    "lot-on-hold": ("#E1", "enter"),
    "lot-equalising": ("#D3", "enter"),
    "lot-keeping": ("#B1", "enter"),
    "lot-closed": ("B", "enter"),
    "lot-sheet": ("#D1", "enter", "right"),
    "lot-figures": ("#D1", "enter", "right", "right"),
    "lot-curve": ("#D1", "enter", "v"),
    "lot-list": ("#D1", "enter", "v", "v"),
    "lot-weigh": ("#D1", "enter", "=704"),
    "lot-feel": ("#D2", "enter", "f"),
    "lot-target": ("#D2", "enter", "f", "3", "1", "1"),
    "lot-finish": ("#D2", "enter", "E"),
    "lot-liking": ("#D2", "enter", "E", "=980", "enter"),
    "lot-doubt": ("#D1", "enter", "=70", "enter"),
    "lot-refused": ("#D1", "enter", "=7o5", "enter"),
    "lot-stage": ("#G1", "enter", "s"),
    "lot-hang": ("#G1", "enter", "s", "enter"),
    "lot-cut": ("#D1", "enter", "c"),
    "lot-cut-after": ("#D1", "enter", "c", "1", "1", "=771", "enter", "=742"),
    "lot-divide": ("#D1", "enter", "Y"),
    "lot-divided": ("#D1", "enter", "Y", "=400 371"),
    "lot-pack": ("#B1", "enter", "V"),
    "lot-packed": ("#B1", "enter", "V", "=150 x4"),
    "lot-move": ("#D1", "enter", "m"),
    "lot-opened": ("#D1", "enter", "i"),
    "lot-more": ("#D1", "enter", "space"),
    "lot-what-if": ("#D1", "enter", "W"),
    "lot-mould": ("#D1", "enter", "M"),
    "lot-correct": ("#D1", "enter", "e"),
    "lot-ph": ("#J1", "enter", "g"),
    "lot-discard": ("#D1", "enter", "Z"),
    "lot-sheet-raw": ("#L1", "enter", "right"),
    "diary": ("d",),
    "diary-below": ("d", "pagedown"),
    "month": ("d", "v"),
    "away": ("d", "n", "=1-8 Dec", "enter"),
    "stand-in": ("d", "n", "=1-8 Dec", "enter", "ctrl+s", "R"),
    "ready-asked": ("d", "W"),
    "ready-by": ("d", "W", "=coppa 24 May 65mm", "enter"),
    "book": ("B",),
    "curves": ("B", "space", "down", "space", "v"),
    "curves-alike": ("B", "v"),
    "book-find": ("B", "slash", "=thick"),
    "book-pack": ("B", "V"),
    "book-tags": ("B", "T"),
    "price-asked": ("B", "P"),
    "price-said": ("B", "P", "=38.20 EUR", "enter"),
    "book-again": ("B", "n"),
    "history": ("H",),
    "history-back": ("H", "u"),
    "copies": ("H", "C"),
    "copy-made": ("H", "C", "n", "enter"),
    "restore-asked": ("H", "C", "n", "enter", "enter"),
    "settings": ("S",),
    "settings-middle": ("S", *["pagedown"] * 2),
    "settings-below": ("S", "end"),
    "setting-asked": ("S", "down", "enter"),
    "style-opened": ("S", *["pagedown"] * 3, "enter"),
    "stand-in-page": ("d", "R", "enter", "enter"),
    "undone": ("#D1", "=775", "enter", "u"),
    "undo-nothing": ("u",),
    "jars": ("S", "!new-jar"),
    "jar-asked": ("S", "!new-jar", "enter"),
    "premix-asked": ("S", "!new-premix", "enter"),
    "styles": ("S", "!styles"),
    "style-open": ("S", "!styles", "enter"),
    "style-field": ("S", "!styles", "enter", "down", "down", "enter"),
}
#: on a file with nothing in it
EMPTY: dict[str, tuple[str, ...]] = {
    "first-start": (),
    "first-asked": ("enter",),
    "empty-rack": ("q",),
    "empty-open": ("q", "enter"),
    "empty-round": ("q", "r"),
    "empty-needs": ("q", "a"),
    "empty-places": ("q", "p"),
    "empty-diary": ("q", "d"),
    "empty-month": ("q", "d", "v"),
    "empty-stand-in": ("q", "d", "R"),
    "empty-book": ("q", "B"),
    "empty-history": ("q", "H"),
    "empty-copies": ("q", "H", "C"),
    "empty-sheet": ("q", "f3"),
}

#: on a file that a newer version of the program made
NEWER: dict[str, tuple[str, ...]] = {"newer-file": (), "newer-refused": ("#D1", "=775", "enter")}


def main(folder: Path, only: list[str]) -> None:
    """Draw them all."""
    folder.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as scratch:
        for name in ("XDG_CONFIG_HOME", "XDG_CACHE_HOME"):
            os.environ[name] = scratch
        demo = Path(scratch) / "demo.db"
        build_demo(str(demo), NOW)
        newer = Path(scratch) / "newer.db"
        shutil.copy(demo, newer)
        with closing(sqlite3.connect(newer)) as conn:
            conn.execute(f"PRAGMA user_version = {SCHEMA_VERSION + 1}")
        for way in WAYS:
            asyncio.run(draw(folder, way, demo, SCREENS, only))
            asyncio.run(draw(folder, way, Path(scratch), EMPTY, only))
            asyncio.run(draw(folder, way, newer, NEWER, only))
    to_png(folder)


async def draw(
    folder: Path,
    way: tuple[str, str, tuple[int, int]],
    path: Path,
    screens: dict[str, tuple[str, ...]],
    only: list[str],
) -> None:
    """The screens of one file in one look, with one set of signs, at one size."""
    look, drawn_with, size = way
    signs.use(drawn_with)
    os.environ.pop("NO_COLOR", None)
    if look == "no-color":
        os.environ["NO_COLOR"] = "1"
    for name, keys in screens.items():
        if only and name not in only:
            continue
        with tempfile.TemporaryDirectory() as scratch:
            file = Path(scratch) / "household.db"
            if path.is_file():
                shutil.copy(path, file)
            house = DashboardState(str(file), lambda: NOW, theme=look)
            app = Dashboard(house)
            app.scanner.gap_s = 0.0  # no two keys come so fast: all are typed
            async with app.run_test(size=size) as pilot:
                for key in keys:
                    await press(app, pilot, key)
                await pilot.pause(0.05)
                stem = f"{name}-{size[0]}x{size[1]}-{look}-{drawn_with}"
                svg = app.export_screenshot().replace("<text ", '<text xml:space="preserve" ')
                svg = TEXT.sub(each_word_in_its_cell, svg)
                (folder / f"{stem}.svg").write_text(svg, encoding="utf-8")
                if (look, drawn_with) == WAYS[0][:2]:
                    (folder / f"{stem}.txt").write_text("\n".join(lines(app)), encoding="utf-8")
                    for line in lines(app):
                        if "…" in line or cell_len(line) > size[0]:
                            print(f"{stem}: {line.strip()}")
            house.close()


def each_word_in_its_cell(found: re.Match[str]) -> str:
    """A stretch of text with every word at its own cell, as a converter's letters may be wider."""
    head, x, text = found.groups()
    if "textLength" not in head:
        return found[0]
    words = re.finditer(r"[^\xa0\s]+", unescape(text))
    placed = (
        f'<tspan x="{float(x) + CELL_PX * cell_len(unescape(text)[: word.start()]):.1f}">'
        f"{escape(word[0])}</tspan>"
        for word in words
    )
    return f"{head}{''.join(placed)}</text>"


async def press(app: Dashboard, pilot: Pilot[Any], key: str) -> None:
    """A key, words, a field of the form, or the row of a lot."""
    page: Any = app.screen
    if key.startswith("="):
        await pilot.press(*(NAMES.get(char, char) for char in key[1:]))
    elif key.startswith("@"):
        form = page.form
        if not any(key[1:] in row for row in form.rows):
            await pilot.press("f6")  # the rest of the fields, folded until then
        every = form.order
        by = every.index(key[1:]) - every.index(form.at)
        await pilot.press(*["tab" if by > 0 else "shift+tab"] * abs(by))
    elif key.startswith("!"):
        page.list.move_to(next(each for each in page.list.keys if each[0] == key[1:]))
        page.draw()
    elif key.startswith("#"):
        with closing(sqlite3.connect(app.house.db_path)) as conn:
            (lot_id,) = conn.execute("SELECT id FROM lot WHERE code = ?", (key[1:],)).fetchone()
        page.list.move_to(lot_id)
    else:
        await pilot.press(key)
    await pilot.pause()
    for _ in range(100):
        if not getattr(app.screen, "_writing", 0):
            break
        await pilot.pause(0.01)


def lines(app: Dashboard) -> list[str]:
    """The screen as text."""
    strips = app.screen._compositor.render_strips()
    return ["".join(segment.text for segment in strip) for strip in strips]


def to_png(folder: Path) -> None:
    """PNG beside each SVG, if the converter is there."""
    if shutil.which("rsvg-convert") is None:
        return
    for svg in sorted(folder.glob("*.svg")):
        subprocess.run(
            ["rsvg-convert", "--height", "600", str(svg), "-o", str(svg.with_suffix(".png"))],
            check=True,
        )


if __name__ == "__main__":
    main(Path(sys.argv[1]), sys.argv[2:])
