"""The fields of a sausage: casing, starter, what it weighs stuffed, its ferment, smoke and hang.

A sausage is mixed, stuffed, fermented and hung; it has no thickness of a cut, no skin, no bag.
"""

from curedash.domain.dosing.asked import STARTER_WORDS
from curedash.domain.errors import Refused
from curedash.domain.record import record
from curedash.domain.typed.instruments import parse_ph
from curedash.domain.typed.units import parse_pct
from curedash.domain.typed.weights import parse_weight_g
from curedash.present.display_units import length_unit
from curedash.present.dosing.form import batch_texts as texts
from curedash.present.dosing.form.batch_field import (
    ALWAYS,
    NO,
    YES,
    Shape,
    choice,
    entry,
    grams,
    places,
)
from curedash.present.weighing.tare_typed import weight_and_words

STARTER = "starter"


def _ground(shape: Shape) -> bool:
    return shape.ground


def _one_bowl(shape: Shape) -> bool:
    return shape.ground and not shape.one_by_one


def _ferments(shape: Shape) -> bool:
    return shape.ground and shape.values["ferments"] == YES


@record
class Starter:
    """A starter culture as typed: its share of meat and fat [%], or its weight [g]."""

    name: str
    pct: float = 0.0
    grams: float | None = None


def starter(text: str) -> Starter:
    """A starter culture: ``0.02``, ``0.2 g/kg`` or ``0.5 g``, or its name before it.

    Raises
    ------
    Refused: no amount
    """
    if not any(char.isdecimal() for char in text):
        raise Refused(f"How much {text[:30]}? Type the percent after it: {text[:30]} 0.02.")
    name, much = _name_and_amount(text)
    name = name if not name or is_starter(name) else f"{STARTER} {name}"
    if much[-1:].isalpha() and "/" not in much:
        return Starter(name or STARTER, grams=parse_weight_g(much, marks_are_decimal=True))
    return Starter(name or STARTER, parse_pct(much))


def _name_and_amount(text: str) -> tuple[str, str]:
    """``culture B``, ``0.5 g``: the amount is the last number, with what follows it."""
    words = text.split()
    at = max((n for n, word in enumerate(words) if word[0].isdecimal()), default=0)
    return " ".join(words[:at]).strip(" ,;:="), " ".join(words[at:])


def is_starter(name: str) -> bool:
    """Whether something on the sheet is a starter culture."""
    return any(word in name.casefold() for word in STARTER_WORDS)


def starter_text(name: str, pct: float) -> str:
    """A starter as it would be typed."""
    return texts.text_of(pct) if name == STARTER else f"{name} {texts.text_of(pct)}"


MIXED = (
    entry(
        "sausages",
        "how many hang on the string, weighed together; empty: 1",
        visible=_one_bowl,
        read=texts.pieces_together,
        when=ALWAYS,
    ),
    entry(
        "casing",
        "how wide it is filled, e.g. {casing}; empty: not measured",
        visible=_one_bowl,
        read=texts.thickness_mm,
        unit=lambda _values: length_unit(),
        when=ALWAYS,
    ),
)

STARTED = entry(
    "starter",
    "percent of meat and fat: 0.02, or 0.2 g/kg, or grams: 0.5 g; its name before it; empty: none",
    visible=_ground,
    read=starter,
    unit="% of meat",
)

STUFFING = (
    entry(
        "stuffed",
        "on the scale, with its casing; empty: not stuffed yet, you weigh it then",
        label="weight stuffed",
        visible=_ground,
        read=texts.weights_g,
        unit=grams,
    ),
    entry(
        "casing_g",
        "its weight, and what it is: {casing_g}; empty: nothing",
        label="casing, string",
        visible=_ground,
        read=weight_and_words,
        unit=grams,
    ),
    choice(
        "ferments",
        "warm first, until it is sour; or it hangs at once",
        ((YES, "yes"), (NO, "no")),
        visible=_ground,
    ),
    entry(
        "ferment_in",
        "where; → takes one, or a new one: {warm}",
        label="ferments in",
        kind="combo",
        visible=_ferments,
        options=places,
        read=texts.typed_new_place,
    ),
    entry(
        "ph",
        "as measured, e.g. 5.8; empty: not measured",
        label="pH now",
        visible=_ferments,
        read=parse_ph,
    ),
    entry("smoke", "how it is smoked, e.g. 4 h beech; empty: not smoked", visible=_ground),
    entry(
        "hang_in",
        "where; → takes one, or a new one: {cool}",
        label="hangs in",
        kind="combo",
        visible=_ground,
        options=places,
        read=texts.typed_new_place,
    ),
)
