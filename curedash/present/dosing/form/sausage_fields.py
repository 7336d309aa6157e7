"""The fields of a sausage: casing, starter, what it weighs stuffed, its ferment, smoke and hang.

A sausage is mixed, stuffed, fermented and hung; it has no thickness of a cut, no skin, no bag.
"""

from curedash.domain.dosing.asked import STARTER_WORDS
from curedash.domain.errors import Refused
from curedash.domain.typed.instruments import parse_ph
from curedash.domain.typed.units import parse_pct
from curedash.present.display_units import in_pounds, length_unit
from curedash.present.dosing.form.batch_cells import Values
from curedash.present.dosing.form.batch_field import ALWAYS, NO, YES, Context, Field, Option, Shape
from curedash.present.dosing.form.batch_texts import (
    pieces_together,
    spices,
    text_of,
    thickness_mm,
    typed_new_place,
    weights_g,
)
from curedash.present.weighing.tare_typed import weight_and_words
from curedash.services.dosing.batch_start import Start

STARTER = "starter"


def _ground(shape: Shape) -> bool:
    return shape.ground


def _one_bowl(shape: Shape) -> bool:
    return shape.ground and not shape.one_by_one


def _ferments(shape: Shape) -> bool:
    return shape.ground and shape.values["ferments"] == YES


def _grams(_values: Values) -> str:
    return "" if in_pounds() else "g"


def _length(_values: Values) -> str:
    return length_unit()


def _places(_values: Values, start: Start | None) -> list[Option]:
    return [] if start is None else [(place, place) for place, _warm in start.places]


def _place(text: str, _context: Context) -> object:
    return typed_new_place(text)


def starter(text: str) -> tuple[str, float]:
    """A starter culture and its share [%]: ``0.02``, or its name before it.

    Raises
    ------
    Refused: no percentage
    """
    if text[:1].isdecimal():
        return STARTER, parse_pct(text)
    if not any(char.isdecimal() for char in text):
        raise Refused(f"How much {text[:30]}? Type the percent behind it: {text[:30]} 0.02.")
    name, pct = spices(text)[-1]
    return name if is_starter(name) else f"{STARTER} {name}", pct


def is_starter(name: str) -> bool:
    """Whether something on the sheet is a starter culture."""
    return any(word in name.casefold() for word in STARTER_WORDS)


def starter_text(name: str, pct: float) -> str:
    """A starter as it would be typed."""
    return text_of(pct) if name == STARTER else f"{name} {text_of(pct)}"


MIXED = (
    Field(
        "sausages",
        "sausages",
        "how many hang on the string, weighed together; empty: 1",
        visible=_one_bowl,
        read=lambda text, _context: pieces_together(text),
        when=ALWAYS,
    ),
    Field(
        "casing",
        "casing",
        "how wide it is filled, e.g. {casing}; empty: not measured",
        visible=_one_bowl,
        read=lambda text, _context: thickness_mm(text),
        unit=_length,
        when=ALWAYS,
    ),
)

STARTED = Field(
    "starter",
    "starter",
    "percent of meat and fat: 0.02, or behind its name: culture 0.02; empty: none",
    visible=_ground,
    read=lambda text, _context: starter(text),
    unit=lambda _values: "% of meat",
)

STUFFING = (
    Field(
        "stuffed",
        "weight stuffed",
        "on the scale, with its casing; empty: not stuffed yet, you weigh it then",
        visible=_ground,
        read=lambda text, _context: weights_g(text),
        unit=_grams,
    ),
    Field(
        "casing_g",
        "casing, string",
        "its weight, and what it is: {casing_g}; empty: nothing",
        visible=_ground,
        read=lambda text, _context: weight_and_words(text),
        unit=_grams,
    ),
    Field(
        "ferments",
        "ferments",
        "warm first, until it is sour; or it hangs at once",
        "choice",
        visible=_ground,
        options=lambda _values, _start: [(YES, "yes"), (NO, "no")],
    ),
    Field(
        "ferment_in",
        "ferments in",
        "where; → takes one, or a new one: {warm}",
        "combo",
        visible=_ferments,
        options=_places,
        read=_place,
    ),
    Field(
        "ph",
        "pH now",
        "as measured, e.g. 5.8; empty: not measured",
        visible=_ferments,
        read=lambda text, _context: parse_ph(text),
    ),
    Field("smoke", "smoke", "how it will be smoked, e.g. 4 h beech; empty: not", visible=_ground),
    Field(
        "hang_in",
        "hangs in",
        "where; → takes one, or a new one: {cool}",
        "combo",
        visible=_ground,
        options=_places,
        read=_place,
    ),
)
