"""What is asked of a form before it goes on: a number for a name, a dose no scale can weigh."""

import re
from collections.abc import Iterable, Mapping, Sequence

from curedash.domain.dosing.rounding import COARSE_ERROR_PCT
from curedash.domain.record import record
from curedash.domain.wording import listed
from curedash.present.dosing.form.batch_cells import roast_name
from curedash.present.words import plain
from curedash.services.dosing.add_batch import PlannedLot
from curedash.services.dosing.batch_start import Start

CALLED = "called-"  # before a field, beside the fields: the number that is meant as a name there
_QUANTITY = re.compile(
    r"\d+(?:[.,]\d+)?\s*(?:g|kg|oz|lbs?|mm|cm|in|[\"″]|%|°?\s*[cf])?", re.IGNORECASE
)
_PLACES = ("place", "ferment_in", "hang_in")
_ROASTS = ("from", "source")
#: what a field of words names; a number there is asked about
_NAMES = {
    "name": "batch",
    "piece": "piece",
    **dict.fromkeys(_ROASTS, "roast"),
    "shop": "shop",
    **dict.fromkeys(_PLACES, "place"),
}


@record
class NumberAsName:
    """A number that was typed for a name."""

    field_id: str
    text: str
    question: str
    way_out: str

    @property
    def meant(self) -> dict[str, str]:
        """What says in the form that it is the name."""
        return {CALLED + self.field_id: self.text}


def number_as_name(
    field_ids: Iterable[str], touched: Mapping[str, str], start: Start
) -> NumberAsName | None:
    """The first of these fields whose name is a number and not yet said to be meant.

    A single digit is a name in short: piece 1, roast 2. So is a name there is already.
    """
    return next((d for each in field_ids if (d := _doubt(each, touched, start))), None)


def _doubt(field_id: str, touched: Mapping[str, str], start: Start) -> NumberAsName | None:
    cell = field_id.partition(":")[0]
    text = touched.get(field_id, "").strip()
    names = _NAMES.get(cell)
    if not names or len(text) < 2 or not _QUANTITY.fullmatch(text):
        return None
    if cell in _PLACES and any(text.casefold() == name.casefold() for name, _ in start.places):
        return None
    if text in _meant(cell, touched):
        return None
    called = plain(roast_name(text) if cell in _ROASTS else text)
    return NumberAsName(field_id, text, f"Is the {names} called “{called}”?", _way_out(cell))


def _meant(cell: str, touched: Mapping[str, str]) -> set[str]:
    """The numbers said to be names in this column; of all places alike."""
    alike = _PLACES if cell in _PLACES else (cell,)
    return {
        text
        for key, text in touched.items()
        if key.startswith(CALLED) and key.removeprefix(CALLED).partition(":")[0] in alike
    }


def _way_out(cell: str) -> str:
    if cell in _PLACES:
        return "To give a temperature range, type the place's name first: Box 20-24C."
    if cell in ("piece", "from"):
        return "A weight or a thickness goes into the columns before it."
    if cell == "shop":
        return "A price goes into the first column."
    return "A weight or a thickness has its own field."


COARSE = "called-coarse"  # beside the fields: the doses that were kept as a coarse scale has them


@record
class CoarseDose:
    """Curing salt that the scale moves by more than a tenth: it is said before it is saved."""

    doses: str  # what the scale makes of it; the same doses are asked about once
    question: str
    assumed: bool  # nobody named a scale


def coarse_dose(
    planned: Sequence[PlannedLot], touched: Mapping[str, str], start: Start
) -> CoarseDose | None:
    """The doubt about a scale too coarse for the curing salt; None where it weighs well enough."""
    lines = [
        (lot, item)
        for lot in planned
        for item in lot.dose.ingredients
        if item.kind == "curing-salt" and item.exact_g > 0
    ]
    moved = [100 * abs(item.weigh_g / item.exact_g - 1) for _lot, item in lines]
    if not lines or max(moved) <= COARSE_ERROR_PCT + 1e-9:
        return None
    doses = listed(f"{item.weigh_g:g}" for _lot, item in lines)
    nitrite = [lot.dose.contents.nitrite_mg_per_kg or 0.0 for lot, _item in lines]
    low, high = (f"{end:.0f}" for end in (min(nitrite), max(nitrite)))
    span = low if low == high else f"{low}–{high}"
    division_g = lines[moved.index(max(moved))][1].division_g
    question = (
        f"On a scale of {division_g:g} g the curing salt is {max(moved):.0f} % off:"
        f" {span} mg/kg nitrite. Which scale weighs it?"
    )
    named = bool(touched.get("scale", "").strip() or start.defaults.scales or start.last)
    return CoarseDose(doses, question, not named)
