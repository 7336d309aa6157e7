"""A PDF canvas in millimetres with fonts of its own, so that every machine prints the same.

fpdf2 is an extra and loaded only here. The three font files beside this module cover Latin,
Greek and Cyrillic and the usual East Asian characters; what they cannot draw is printed as its
code, never left out.
"""

from __future__ import annotations

import os
from datetime import datetime
from functools import cache
from io import BytesIO
from typing import TYPE_CHECKING, Any

from curedash.domain.errors import CuredashError
from curedash.present.words import plain

if TYPE_CHECKING:
    from fpdf import FPDF

FONT = "sans"
FONTS = os.path.join(os.path.dirname(os.path.abspath(__file__)), "fonts")
MM_PER_POINT = 25.4 / 72
LEADING = 1.22  # line height in font sizes
MEASURED_PT = 100.0
QUIET_MODULES = 4  # white border of a QR code (ISO/IEC 18004)
UNITS = frozenset(("g", "kg", "%", "°C", "mm", "mg/kg", "d", "h", "lb", "oz", "°F", "in"))
WANTED = "PDF needs an extra: pip install 'curedash[pdf]'; the text form works without it."


class NoPdf(CuredashError):
    """fpdf2 is not installed; the sentence says how to get it."""


class Canvas:
    """Pages of one size; text is fitted, wrapped and made drawable here."""

    def __init__(self, width_mm: float, height_mm: float, title: str, made_at: datetime) -> None:
        self.width_mm, self.height_mm = width_mm, height_mm
        self.pdf = _document(width_mm, height_mm)
        self.pdf.set_title(drawable(title))
        self.pdf.set_creator("curedash")
        self.pdf.set_creation_date(made_at)
        self._widths: dict[tuple[str, bool], float] = {}

    def page(self) -> None:
        """Begin a new page."""
        self.pdf.add_page()

    def font(self, size_pt: float, bold: bool = False) -> None:
        """Choose the size for what is written next."""
        self.pdf.set_font(FONT, "B" if bold else "", size_pt)

    def width(self, text: str, size_pt: float, bold: bool = False) -> float:
        """How wide drawable text is [mm]; measured once, since fitting asks again and again."""
        known = self._widths.get((text, bold))
        if known is None:
            self.font(MEASURED_PT, bold)
            known = self._widths[text, bold] = float(self.pdf.get_string_width(text))
        return known * size_pt / MEASURED_PT

    def write(
        self,
        x: float,
        y: float,
        text: str,
        size_pt: float,
        *,
        bold: bool = False,
        align: str = "L",
        width: float | None = None,
    ) -> None:
        """One line with its top left corner at x, y [mm]; ``text`` is drawable already."""
        room = self.width(text, size_pt, bold) + 0.1 if width is None else width
        self.font(size_pt, bold)
        self.pdf.set_xy(x, y)
        self.pdf.cell(room, size_pt * MM_PER_POINT * LEADING, text, align=align)

    def wrapped(self, text: str, size_pt: float, width: float, bold: bool = False) -> list[str]:
        """The text broken between words, and inside words that are too long for a line."""
        lines: list[str] = []
        line = ""
        for word in _words(drawable(text)):
            longer = f"{line} {word}" if line else word
            if self.width(longer, size_pt, bold) <= width:
                line = longer
                continue
            if line:
                lines.append(line)
            *full, line = self._broken(word, size_pt, width, bold)
            lines += full
        return [*lines, line]

    def _broken(self, word: str, size_pt: float, width: float, bold: bool) -> list[str]:
        parts, part = [], ""
        for char in word:
            if part and self.width(part + char, size_pt, bold) > width:
                parts.append(part.strip())
                part = ""
            part += char
        return [*parts, part.strip()]

    def box(self, x: float, y: float, width: float, height: float, line_mm: float = 0.25) -> None:
        """An empty box to tick or write in."""
        self.pdf.set_line_width(line_mm)
        self.pdf.rect(x, y, width, height)

    def line(self, x1: float, y1: float, x2: float, y2: float, line_mm: float = 0.15) -> None:
        """A straight line."""
        self.pdf.set_line_width(line_mm)
        self.pdf.line(x1, y1, x2, y2)

    def tick(self, x: float, y: float, side: float, ticked: bool) -> None:
        """A box before a line of words, crossed where it is done."""
        top = y + 0.12 * side
        self.box(x, top, side, side)
        if ticked:
            self.line(x, top, x + side, top + side, 0.3)
            self.line(x + side, top, x, top + side, 0.3)

    def picture(self, svg: str, x: float, y: float, width: float) -> None:
        """An SVG picture with its top left corner at x, y, so wide [mm]."""
        self.pdf.image(BytesIO(svg.encode()), x=x, y=y, w=width)

    def code(self, x: float, y: float, side: float, text: str) -> None:
        """A QR code drawn as vectors, its white border inside the side [mm]."""
        modules = code_modules(text)
        step = side / (len(modules) + 2 * QUIET_MODULES)
        for row, line in enumerate(modules):
            for start, length in _runs(line):
                self.pdf.rect(
                    x + (QUIET_MODULES + start) * step,
                    y + (QUIET_MODULES + row) * step,
                    length * step,
                    step * 1.02,
                    style="F",
                )

    def bytes(self) -> bytes:
        """The finished file."""
        return bytes(self.pdf.output())


def _words(text: str) -> list[str]:
    """The words of a line, a number never parted from its unit, nor pounds from their ounces."""
    words: list[str] = []
    for word in text.split(" "):
        ounces = words and words[-1].endswith(" lb") and word[:1].isdigit()
        if words and (ounces or word.strip("().,;:").partition("–")[0] in UNITS):
            words[-1] += f" {word}"
        else:
            words.append(word)
    return words


def _document(width_mm: float, height_mm: float) -> FPDF:
    try:
        from fpdf import FPDF
    except ImportError:
        raise NoPdf(WANTED) from None
    pdf = FPDF(unit="mm", format=(width_mm, height_mm))
    pdf.set_auto_page_break(False)
    pdf.set_margin(0)
    pdf.c_margin = 0
    faces = (FONT, "", "sans"), (FONT, "B", "sans-bold"), ("east", "", "east-asian")
    for family, style, name in faces:
        pdf.add_font(family, style, os.path.join(FONTS, f"{name}.ttf"))
    pdf.set_fallback_fonts(["east"], exact_match=False)
    return pdf


def code_modules(text: str) -> list[list[bool]]:
    """The dark modules of a QR code, row by row, without its white border."""
    import segno

    made = segno.make(text, error="m", micro=False)
    return [[bool(cell) for cell in row] for row in made.matrix]


def _runs(line: list[bool]) -> list[tuple[int, int]]:
    """Start and length of each stretch of dark modules."""
    found: list[tuple[int, int]] = []
    for at, dark in enumerate(line):
        if dark and found and sum(found[-1]) == at:
            found[-1] = (found[-1][0], found[-1][1] + 1)
        elif dark:
            found.append((at, 1))
    return found


def drawable(text: str) -> str:
    """The text in composed form, each character that no font here draws as its code.

    Example
    -------
    >>> drawable("Rind 牛 \\U0001f404")
    'Rind 牛 [U+1F404]'
    """
    from unicodedata import normalize

    known = _characters()
    return "".join(
        char if char in known else f"[U+{ord(char):04X}]" for char in normalize("NFC", plain(text))
    )


@cache
def _characters() -> frozenset[str]:
    try:
        from fontTools.ttLib import TTFont
    except ImportError:
        raise NoPdf(WANTED) from None
    found: set[int] = set()
    for name in ("sans", "east-asian"):
        with TTFont(os.path.join(FONTS, f"{name}.ttf"), lazy=True) as font:
            cmap: dict[int, Any] = font.getBestCmap()
            found |= cmap.keys()
    return frozenset(chr(number) for number in found)
