"""How cold the place of a new batch is: typed behind its name, or answered for it before."""

import re

from curedash.domain.dosing.answers import TEMPERATURE, read_answer
from curedash.domain.errors import CuredashError
from curedash.domain.typed.bands import typed_band, typed_place
from curedash.present.display_units import by_temperature, temp_letter, temp_tidy
from curedash.present.dosing.form.batch_cells import Values
from curedash.present.dosing.form.batch_field import is_under_way
from curedash.present.words import plain
from curedash.services.dosing.add_batch import FRIDGE_C
from curedash.services.dosing.batch_start import Start
from curedash.services.places.places import NewPlace

ANSWERED = f"answer:{TEMPERATURE}/"  # before the name of a place: how cold it is
BAND = "place-band/"  # before the name of a new place: the band it gets
_ONE = re.compile(r"(?P<name>.*[^\s,\d-])[\s,]+(?P<warm>-?\d+(?:[.,]\d+)?\s*°?\s*[cf])", re.I)


def cold_typed(touched: Values) -> dict[str, str]:
    """What ``Fridge 4C`` says of a place and its temperature; nothing where it says none."""
    text = touched.get("place", "").strip()
    if is_under_way(touched):
        return {}
    one = _ONE.fullmatch(text)
    if one is not None:
        return {"place": one["name"], ANSWERED + one["name"]: one["warm"]}
    try:
        name, temp_c, _rh_pct = typed_place(text, default_unit=temp_letter())
    except CuredashError:
        return {}
    if not name or temp_c is None:
        return {}
    band = text.removeprefix(name).strip(" ,")
    return {"place": name, ANSWERED + name: temp_tidy(sum(temp_c) / 2), BAND + name: band}


def cold_words(found: Values) -> str:
    """How it was understood: ``Fridge: the days are for 4 °C.``"""
    name = found["place"]
    warm = read_answer(TEMPERATURE, found[ANSWERED + name]).value
    shown = temp_tidy(warm) if isinstance(warm, float) else found[ANSWERED + name]
    return f"{plain(name)}: the days are for {shown}."


def cold_asked(place: str | None) -> str:
    """What is asked of a place without a temperature, with the way to answer it."""
    example = f"{plain(place or 'Fridge')} {by_temperature('4C', '39F')}"
    usual = temp_tidy(FRIDGE_C)
    return f"No temperature known: the days are for {usual}. Type it after the name: {example}."


def answered_before(values: Values, start: Start) -> dict[str, str]:
    """The temperature that was answered for the same place, where it has no band."""
    place = values["place"].strip()
    told = dict(start.answered).get(place.casefold())
    key = ANSWERED + place
    return {key: told} if told and key not in values and start.temp_c(place) is None else {}


def new_places(place: str | None, values: Values) -> tuple[NewPlace, ...]:
    """The place with the band that was typed behind it."""
    band = values.get(f"{BAND}{place}", "")
    if place is None or not band:
        return ()
    return (NewPlace(place, *typed_band(band, default_unit=temp_letter())),)
