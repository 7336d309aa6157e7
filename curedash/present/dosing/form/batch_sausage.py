"""A sausage read from the form of a new batch: its starter, its casing, where it goes then."""

from dataclasses import replace
from datetime import datetime

from curedash.domain.curing.stages import FERMENT_MIN_C, GROUND
from curedash.domain.errors import CuredashError
from curedash.domain.household.styles import Style
from curedash.domain.quantity_text import celsius, phrase
from curedash.domain.typed.meat_and_fat import fat_share_pct
from curedash.present.display_units import retold, typed_weights
from curedash.present.dosing.form.batch_field import YES
from curedash.present.dosing.form.batch_reader import Reader
from curedash.present.dosing.form.batch_texts import text_of
from curedash.present.words import percent
from curedash.services.dosing.add_batch import MAX_NAME, PieceSpec
from curedash.services.dosing.recipe import SausagePlan
from curedash.services.dosing.sausage import Stuffed
from curedash.services.places.places import NewPlace

WHY = "answer:stuffed"  # beside the fields: why it is done against a rule
Extras = tuple[tuple[str, float], ...]


def is_ground(form: Reader) -> bool:
    """Whether the form is of a sausage."""
    return form.values["method"] == GROUND


def with_ferment(form: Reader, style: Style | None) -> Style | None:
    """The style, fermented or not as was chosen for this batch."""
    if style is None or not is_ground(form) or not form.values["ferments"]:
        return style
    return replace(style, fermented=form.values["ferments"] == YES)


def mixed_at(form: Reader) -> datetime | None:
    """Now, for what is in its casing already and has no day of its own."""
    stuffed_now = is_ground(form) and form.text("stuffed") and not form.text("salted")
    return form.now if stuffed_now else None


def with_starter(form: Reader, extras: Extras) -> Extras:
    """Everything beside salt on the sheet; the starter of a sausage first."""
    started = form.read("starter") if is_ground(form) else None
    if started is None:
        return extras
    pct = started.pct
    if started.grams is not None:
        if not form.green_g:
            form.troubles["starter"] = "Type the meat's weight first, or give percent or g/kg."
            return extras
        pct = round(100 * started.grams / form.green_g, 6)
        form.echoes["starter"] = f"{text_of(pct)} %"
    return ((started.name, pct), *extras)


def fat_pct(form: Reader) -> float | None:
    """The fat in the bowl [%], where meat and fat were weighed apart."""
    if not is_ground(form) or form.values["each"] == YES:
        return None
    try:
        found = fat_share_pct(typed_weights(form.text("pieces")))
    except CuredashError:
        return None  # said at the weights
    if found is not None:
        form.echoes["pieces"] = f"{percent(found)} fat"
    return found


def plan(form: Reader) -> tuple[SausagePlan | None, tuple[NewPlace, ...]]:
    """Where it ferments and hangs, how it is smoked; and the places named."""
    if not is_ground(form):
        return None, ()
    ferment = form.read("ferment_in") if form.values["ferments"] == YES else None
    hang = form.read("hang_in")
    if ferment is not None:
        _note_cold(form, ferment)
    found = SausagePlan(
        "" if ferment is None else ferment.name,
        form.text("smoke")[:MAX_NAME],
        "" if hang is None else hang.name,
    )
    return found if found.known else None, tuple(p for p in (ferment, hang) if p is not None)


def _note_cold(form: Reader, place: NewPlace) -> None:
    """Say that a place is too cold for a ferment, beside it."""
    here_c = form.start.temp_c(place.name)
    if here_c is None and place.temp_c is not None:
        here_c = sum(place.temp_c) / 2
    if here_c is not None and here_c < FERMENT_MIN_C:
        said = phrase(
            "a ferment hardly starts below {least}; this place is about {here}",
            least=celsius(FERMENT_MIN_C),
            here=celsius(here_c),
        )
        form.hints["ferment_in"] = retold(said)


def stuffed(form: Reader, pieces: tuple[PieceSpec, ...]) -> Stuffed | None:
    """What it weighs in its casing; None while it is not stuffed."""
    if not is_ground(form):
        return None
    tare_g, what = form.read("casing_g") or (0.0, "")
    ph = form.read("ph") if form.values["ferments"] == YES else None
    weights = form.read("stuffed")
    if weights is None:
        if ph is not None:
            form.wanted["stuffed"] = "what it weighs now"
        if tare_g:
            form.hints["casing_g"] = "saved only with its stuffed weight; you are asked again then"
        return None
    if len(weights) != len(pieces):
        form.troubles["stuffed"] = (
            f"{len(pieces)} mixed, {len(weights)} weighed: one weight for each string."
        )
    elif any(tare_g >= weight for weight in weights):
        form.troubles["casing_g"] = "Casing and string must weigh less than the whole."
    why = form.text(WHY) or None
    return Stuffed(tuple(weights), tare_g, what, ph, why)
