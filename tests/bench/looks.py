"""Draws every screen at four sizes in every look, to be looked at.

    python tests/bench/looks.py FOLDER            every screen, size and look
    python tests/bench/looks.py FOLDER rack lot   only these screens

Writes SVG files, and PNG beside them where ``rsvg-convert`` is installed. Lines that end in the
middle of a word are listed: something was cut there.
"""

import asyncio
import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

from curedash.services.demo import build_demo
from curedash.tui.app import Dashboard
from curedash.tui.house import House

NOW = datetime(2026, 11, 25, 18, 0, tzinfo=UTC)
SIZES = ((60, 20), (80, 24), (120, 36), (200, 60))
LOOKS = ("paper-dark", "paper-light", "terminal", "no-color")
#: screen → keys pressed on the demo's Rack; words of several letters that are no key are typed
SCREENS: dict[str, tuple[str, ...]] = {
    "rack": (),
    "weigh-in": ("down", "w", "7", "0", "4"),
    "doubt": ("down", "down", "down", "7", "0", "enter"),
    "find": ("f", "c", "o"),
    "stage": ("down", "down", "s"),
    "keys": ("question_mark",),
    "palette": ("f2", "w", "e"),
    "round": ("r",),
    "needs": ("a",),
    "places": ("p",),
    "air": ("p", "enter"),
    "new-batch": ("n",),
    "dose-sheet": ("c",),
    "lot": ("down", "down", "down", "enter"),
    "diary": ("d",),
    "book": ("e",),
    "history": ("h",),
    "settings": ("m",),
    "settings-below": ("m", "end"),
}
#: on a file with nothing in it
EMPTY: dict[str, tuple[str, ...]] = {
    "first-start": (),
    "empty-rack": ("q",),
    "empty-open": ("q", "enter"),
    "empty-round": ("q", "r"),
    "empty-needs": ("q", "a"),
    "empty-places": ("q", "p"),
    "empty-diary": ("q", "d"),
    "empty-book": ("q", "e"),
    "empty-history": ("q", "h"),
    "empty-sheet": ("q", "c"),
}


def main(folder: Path, only: list[str]) -> None:
    """Draw them all."""
    folder.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as scratch:
        for name in ("XDG_CONFIG_HOME", "XDG_CACHE_HOME"):
            os.environ[name] = scratch
        demo = Path(scratch) / "demo.db"
        build_demo(str(demo), NOW)
        for look in LOOKS:
            for size in SIZES:
                asyncio.run(draw(folder, look, size, demo, SCREENS, only))
                asyncio.run(draw(folder, look, size, Path(scratch), EMPTY, only))
    to_png(folder)


async def draw(
    folder: Path, look: str, size: tuple[int, int], path: Path,
    screens: dict[str, tuple[str, ...]], only: list[str],
) -> None:  # fmt: skip
    """The screens of one file at one size in one look."""
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
            house = House(str(file), lambda: NOW, theme=look)
            app = Dashboard(house)
            async with app.run_test(size=size) as pilot:
                for key in keys:
                    await pilot.press(key)
                await pilot.pause(0.05)
                stem = f"{name}-{size[0]}x{size[1]}-{look}"
                svg = app.export_screenshot().replace("<text ", '<text xml:space="preserve" ')
                (folder / f"{stem}.svg").write_text(svg, encoding="utf-8")
                if look == LOOKS[0]:
                    for line in cut_lines(app):
                        print(f"{stem}: {line}")
            house.close()


def cut_lines(app: Dashboard) -> Iterator[str]:
    """Lines of the screen that end in an ellipsis or run into the edge."""
    for strip in app.screen._compositor.render_strips():
        text = "".join(segment.text for segment in strip)
        if "…" in text or strip.cell_length > app.size.width:
            yield text.strip()


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
