"""Paper to print tags on: sheets that hold several, and rolls that hold one label a page."""

from curedash.domain.errors import Refused
from curedash.domain.record import record
from curedash.domain.wording import no_such

INCH_MM = 25.4


@record
class SheetSize:
    """One size of paper; lengths in mm."""

    id: str
    words: str
    page_width_mm: float
    page_height_mm: float
    columns: int = 1
    rows: int = 1
    margin_mm: float = 0.0  # round the whole page
    inset_mm: float = 2.0  # white inside each tag: printers and scissors are never exact

    @property
    def tag_width_mm(self) -> float:
        """Width of one tag with its white border."""
        return (self.page_width_mm - 2 * self.margin_mm) / self.columns

    @property
    def tag_height_mm(self) -> float:
        """Height of one tag with its white border."""
        return (self.page_height_mm - 2 * self.margin_mm) / self.rows

    @property
    def is_sheet(self) -> bool:
        """Several tags on a page, to be cut apart."""
        return self.columns * self.rows > 1


_A4, _LETTER = (210, 297), (8.5 * INCH_MM, 11 * INCH_MM)
SIZES = (
    SheetSize("a4", "A4, 8 tags of 97 × 69 mm", *_A4, 2, 4, margin_mm=8, inset_mm=3),
    SheetSize("a4-small", "A4, 14 tags of 97 × 40 mm", *_A4, 2, 7, margin_mm=8, inset_mm=2),
    SheetSize("letter", "Letter, 8 tags of 100 × 66 mm", *_LETTER, 2, 4, margin_mm=8, inset_mm=3),
    SheetSize(
        "letter-small", "Letter, 14 tags of 100 × 38 mm", *_LETTER, 2, 7, margin_mm=8, inset_mm=2
    ),
    SheetSize("62x100", "roll, 62 mm wide, 100 mm long", 62, 100, inset_mm=2.5),
    SheetSize("100x62", "roll, 100 mm wide, 62 mm long", 100, 62, inset_mm=2.5),
    SheetSize("102x152", "roll, 4 × 6 inches", 101.6, 152.4, inset_mm=4),
    SheetSize("100x50", "roll, 100 × 50 mm", 100, 50, inset_mm=2.5),
    SheetSize("57x40", "roll, 57 × 40 mm", 57, 40, inset_mm=2),
)


def size_of(text: str) -> SheetSize:
    """The size with this id, or a label of its own given as WIDTHxHEIGHT in mm.

    Raises
    ------
    Refused: neither, or too small to be read (under 40 × 25 mm)

    Example
    -------
    >>> size_of("A4").rows, size_of("70x50").page_width_mm
    (4, 70.0)
    """
    typed = text.strip().casefold().replace("×", "x").replace("mm", "").replace(" ", "")
    for size in SIZES:
        if size.id == typed:
            return size
    try:
        width_mm, height_mm = (float(part) for part in typed.split("x"))
    except ValueError:
        known = (*(size.id for size in SIZES), "WIDTHxHEIGHT in mm")
        raise Refused(no_such("paper", text[:20], known)) from None
    if not (40 <= width_mm <= 300 and 25 <= height_mm <= 430):
        raise Refused("A label is 40–300 mm wide and 25–430 mm high, e.g. 62x100.")
    return SheetSize(typed, f"label, {typed} mm", width_mm, height_mm, inset_mm=2)
