"""The Book in words: a line a finished lot, and what lots like it did before."""

from datetime import tzinfo

from curedash.domain.household.book import Before, FinishedLot, Spread
from curedash.domain.record import as_dict, record, replace
from curedash.domain.times import local_day
from curedash.present.display_units import cost, cost_unit, roast_without_cost
from curedash.present.numbers import number
from curedash.present.words import (
    ABOUT,
    NOTHING,
    Line,
    cells,
    count,
    cut,
    day,
    filled,
    fitting,
    left,
    percent,
    plain,
    right,
    wrapped,
)
from curedash.services.drying.past_windows import Score


@record
class Layout:
    """Widths in cells of the columns at one breakpoint; 0 leaves a column out."""

    columns: int
    lot: int
    name: int
    style: int
    place: int
    date: int
    loss: int
    days: int
    yield_pct: int
    cost: int
    liked: int
    face: int


PHONE = Layout(40, 4, 16, 0, 0, 9, 6, 0, 0, 0, 0, 0)
NARROW = Layout(60, 5, 21, 0, 0, 9, 6, 4, 0, 0, 8, 0)
MIDDLE = Layout(80, 5, 25, 0, 0, 9, 6, 4, 5, 9, 8, 0)
WIDE = Layout(120, 6, 22, 14, 12, 9, 6, 5, 6, 9, 7, 12)
MIDDLE_FREE = Layout(80, 5, 35, 0, 0, 9, 6, 4, 5, 0, 8, 0)
WIDE_FREE = Layout(120, 6, 32, 14, 12, 9, 6, 5, 6, 0, 7, 12)
WHOLE_NAME, WHOLE_PLACE = 44, 20
ORDER_WORDS = {
    "date": "newest first",
    "liked": "best liked first",
    "loss": "most lost first",
    "days": "fastest first",
    "yield": "highest yield first",
    "cost": "cheapest first",
    "name": "by name",
}


def layout_for(columns: int, *, with_cost: bool = True, longest_place: int = WHOLE_PLACE) -> Layout:
    """The widest layout that fits; where no lot has a cost its room goes to the names.

    On a phone the names have what the other columns leave.

    Parameters
    ----------
    longest_place : cells of the longest name of a place; what it leaves goes to the names
    """
    wide = (WIDE, MIDDLE, NARROW) if with_cost else (WIDE_FREE, MIDDLE_FREE, NARROW)
    spare = max(0, columns - PHONE.columns)
    phone = replace(PHONE, columns=PHONE.columns + spare, name=PHONE.name + spare)
    found = next((one for one in wide if columns >= one.columns), phone)
    spare = max(0, found.place - max(longest_place, len("Place")))
    found = replace(found, place=found.place - spare, name=found.name + spare)
    more = columns - found.columns
    if found.columns != wide[0].columns or not more:
        return found
    # a wall screen shows names and places whole, and keeps its columns together
    place = min(more, max(0, min(longest_place, WHOLE_PLACE) - found.place))
    name = min(more - place, max(0, WHOLE_NAME - found.name))
    grown = found.columns + place + name
    return replace(found, columns=grown, place=found.place + place, name=found.name + name)


def heads_line(layout: Layout) -> str:
    """The heads of the columns."""
    before = ("Lot", "Piece", "Style", "Place", "Finished", "Lost", "Days", "Yield")
    return "  " + _row(layout, *before, f"Cost/{cost_unit()}", "Liked", "Cut face")


def book_row(row: FinishedLot, marked: bool, layout: Layout, zone: tzinfo) -> Line:
    """One finished lot; ``*`` marks those whose curves are laid over each other."""
    on = local_day(row.at, zone)
    liked = NOTHING if row.liked is None else f"{row.liked} of 5"
    piece = ", ".join(filter(None, (plain(row.piece), plain(row.batch_name))))
    names = row.code, piece, plain(row.style_name), plain(row.place or NOTHING)
    figures = _loss(row), _or_nothing(row.drying_days), _or_nothing(row.yield_pct, "%"), _cost(row)
    ended = f"{day(on)} {on.year % 100:02}"
    text = _row(layout, *names, ended, *figures, liked, row.cut_face or NOTHING)
    return filled([("* " if marked else "  ", "key"), (text, "")], layout.columns)


def _row(layout: Layout, *texts: str) -> str:
    *before, face = texts
    sizes = [(name, size) for name, size in as_dict(layout).items() if name != "columns"]
    cells = [
        left(text, size) if name in _NAMES else right(text, size)
        for text, (name, size) in zip((*before, f" {face}"), sizes, strict=True)
        if size
    ]
    return " ".join(cells)


_NAMES = (
    "lot",
    "name",
    "style",
    "place",
    "face",
)  # words begin at the left, figures end at the right


def _loss(row: FinishedLot) -> str:
    if row.loss_pct is None:
        return NOTHING
    about = ABOUT if row.approx and row.base == "hang" else ""
    return f"{about}{number(row.loss_pct, 1)}%"


def _or_nothing(value: float | None, unit: str = "") -> str:
    return NOTHING if value is None else number(value) + unit


def _cost(row: FinishedLot) -> str:
    price = row.cost_per_kg
    return NOTHING if price is None else cost(price, plain(row.currency or ""))


def about_lines(row: FinishedLot, width: int, *, price_key: str = "") -> tuple[Line, ...]:
    """What was thought of the lot under the cursor, its note for next time first.

    A note that is longer than a line takes two.

    Parameters
    ----------
    price_key : adds what its roast cost
    """
    parts = []
    if row.note:
        parts.append(f"next time: {plain(row.note)}")
    if row.heard:
        parts.append(plain(row.heard))
    if row.cost_in is None and row.roast_price is not None:
        currency = plain(row.roast_currency or "")
        parts.append(", ".join(roast_without_cost(row.roast_price, currency, row.green_g)))
    elif row.cost_in is None:
        parts.append(f"no price given, {price_key} adds it" if price_key else "no price given")
    if row.cut_face:
        parts.append(f"cut face {row.cut_face}")
    if row.liked is not None:
        at = "" if row.liked_at_pct is None else f" at {percent(row.liked_at_pct, 0)}"
        parts.append(f"liked {row.liked} of 5{at}")
    if row.total_salt_pct is not None:
        parts.append(f"salt {number(row.total_salt_pct, 2)} %")
    if row.base != "hang" and row.loss_pct is not None:
        parts.append(f"loss from {row.base}")
    head, *rest = parts or ["nothing was recorded"]
    first, *more = wrapped(f"{row.code}: {head}", width)
    if more:
        return ((first, ""),), ((more[0], ""),)
    return (((fitting([first, *rest], width), ""),),)


def before_line(name: str, found: Before, score: Score | None, width: int) -> Line:
    """``bresaola in Cellar, 5 lots: 41 d (38–47), 12 of 15 windows held, 4 d off, 0.84 %/d``.

    Where that is too long the spread of the days goes before what the windows did.
    """
    if not found.n:
        return ((cut(f"{name}: nothing similar has been finished yet", width), "quiet"),)
    whose = f"{plain(name)}, {count(found.n, 'lot')}"
    dried = _spread(found.drying_days, "d drying", 0)
    parts = [f"{whose}: {dried}" if dried else whose]
    if score is not None:
        windows = (
            f"{score.held} of {count(score.windows, 'window')} right, {score.off_days:.0f} d off"
        )
        if cells(f"{parts[0]}, {windows}") > width:
            parts[0] = parts[0].partition(" (")[0]
        if cells(f"{parts[0]}, {windows}") > width:
            parts[0] = whose if cells(f"{whose}, {windows}") <= width else plain(name)
        parts.append(windows)
    parts.append(_spread(found.rate_pct_per_day, "%/d", 2))
    parts.append(_spread(found.loss_pct, "% lost", 1))
    parts.append(_spread(found.liked, "of 5 liked", 0))
    return ((fitting(parts, width, ", "), "quiet"),)


def _spread(found: Spread | None, unit: str, decimals: int) -> str:
    if found is None:
        return ""
    lo, middle, hi = (number(v, decimals) for v in (found.lo, found.median, found.hi))
    return f"{middle} {unit}" + ("" if lo == hi else f" ({lo}–{hi})")


def title_words(shown: int, of: int, order: str, text: str) -> str:
    """``12 finished lots · newest first · “collar”``."""
    words = count(of, "finished lot") if shown == of else f"{shown} of {count(of, 'finished lot')}"
    words += f" · {ORDER_WORDS.get(order, order)}"
    return words + (f" · “{plain(text)}”" if text else "")
