"""The lines of single pieces and of roasts in the form of a new batch: their cells, what repeats.

An empty cell repeats the one above it where that makes sense. What was typed for all pieces at
once becomes cells when they are gone through one by one, and the other way round.
"""

from collections.abc import Mapping

from curedash.domain.errors import CuredashError
from curedash.domain.typed.prices import price
from curedash.domain.typed.weights import MAX_PIECES
from curedash.present.display_units import in_pounds
from curedash.present.dosing.form.batch_texts import weight_g, weight_text, weights_g

Values = Mapping[str, str]
MOST_ROWS = MAX_PIECES
BAGGED = ("equilibrium", "equilibrium-brine")  # a bag is dosed by what is in it
PIECE_CELLS = ("green", "thick", "piece", "from", "count", "together")
SOURCE_CELLS = ("price", "bought", "shop", "packed", "condition")
RARE = ("now", "count", "together", "packed", "condition")  # Enter passes them by, Tab does not
REPEATS = ("thick", "from", "shop", "packed", "price")  # empty: as the one above


def rare(field_id: str) -> bool:
    """Whether Enter passes by a field on its way along a line."""
    return field_id.partition(":")[0] in RARE


def ends_pieces(field_id: str, values: Values) -> bool:
    """Whether Enter on this field says that there are no more pieces."""
    return field_id.startswith("green:") and not values.get(field_id, "").strip()


def roast_name(text: str) -> str:
    """What a roast is called: a bare number is its name in short.

    Example
    -------
    >>> roast_name("2"), roast_name("collar end")
    ('roast 2', 'collar end')
    """
    text = text.strip()
    return f"roast {text}" if text.isascii() and text.isdecimal() and len(text) < 3 else text


def piece_cells(values: Values) -> tuple[str, ...]:
    """What a line of a piece asks; a bag only where a bag is dosed."""
    return PIECE_CELLS if values["method"] in BAGGED else PIECE_CELLS[:-1]


def piece_rows(values: Values) -> int:
    """How many lines of pieces there are up to the last one with a weight."""
    ends = (field_id.partition(":") for field_id, text in values.items() if text.strip())
    filled = [int(n) for cell, _, n in ends if cell == "green" and n.isdecimal()]
    return min(MOST_ROWS, max(filled, default=-1) + 1)


def above(field_id: str, values: Values) -> str:
    """What an empty cell repeats: the nearest one above it that says something."""
    cell, _, row = field_id.partition(":")
    if cell not in (*REPEATS, "condition") or not row.isdecimal():
        return ""
    texts = (values.get(f"{cell}:{n}", "").strip() for n in range(int(row) - 1, -1, -1))
    return next((text for text in texts if text and (cell != "price" or _for_a_weight(text))), "")


def _for_a_weight(text: str) -> bool:
    """Whether a price is so much a pound; what a whole roast cost is not repeated."""
    try:
        return price(text).per_g is not None
    except CuredashError:
        return False


def as_cells(values: Values) -> dict[str, str]:
    """What was said of all pieces in one field each, in the line of each piece."""
    cells = {"thick:0": values["thickness"], "from:0": values["source"]}
    try:
        weights = weights_g(values["pieces"]) if values["pieces"].strip() else []
    except CuredashError:
        weights, cells["green:0"] = [], values["pieces"]
    cells |= {f"green:{n}": weight_text(grams) for n, grams in enumerate(weights)}
    thick = values["thickness"].replace(";", " ").split()
    unit = " " + thick.pop() if thick and thick[-1].isalpha() else ""
    if len(thick) == len(weights) > 1:
        cells |= {f"thick:{n}": text + unit for n, text in enumerate(thick)}
    for bag, together in enumerate(values["bags"].replace(",", " ").split(), 1):
        numbers = range(1, len(weights) + 1) if together == "all" else together.split("+")
        cells |= {f"together:{int(n) - 1}": str(bag) for n in numbers if str(n).isdecimal()}
    return cells


def joined(values: Values) -> str:
    """The green weights of single lines as one field, each with its unit."""
    texts = (values.get(f"green:{n}", "").strip() for n in range(piece_rows(values)))
    found = []
    for text in texts:
        try:
            found += [weight_text(weight_g(text))] if text else []
        except CuredashError:
            found.append(text)
    return (", " if in_pounds() else " ").join(found)
