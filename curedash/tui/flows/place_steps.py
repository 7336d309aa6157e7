"""What is written down of a place: a reading, a failure, a decision, an offset."""

from collections.abc import Sequence
from datetime import UTC, datetime

from curedash.domain.errors import Refused
from curedash.domain.records import LotState, Place, Reading
from curedash.domain.typed.instruments import parse_difference_c, parse_points
from curedash.domain.wording import by_number
from curedash.present import display_units as units
from curedash.present.lines import air_words
from curedash.present.places.air import sensor_line, spared_words, touched_line
from curedash.present.words import plain
from curedash.services.curing.change_stage import codes_of
from curedash.services.places import outage, places
from curedash.services.places.move import move_to_new, require_cool
from curedash.services.places.places import NewPlace
from curedash.tui.chassis.commands import key_of
from curedash.tui.chassis.page import Page
from curedash.tui.prompts import typed_air
from curedash.tui.prompts.converse import converse
from curedash.tui.prompts.lot_typed import words
from curedash.tui.prompts.questions import Choice, Steps, Text, or_none, save, save_or_doubt
from curedash.tui.prompts.typed_air import Pieces

MOST_SPARED = 3  # lots named that bear a failure


# ── a reading by hand ─────────────────────────────────────────────────────────────────────


def reading(page: Page, place: Place) -> None:
    """Ask what its thermometer and hygrometer show, or showed at a time."""
    converse(page, lambda: _reading_steps(page, place))


def _reading_steps(page: Page, place: Place) -> Steps:
    house, now = page.house, page.house.now()

    def read_words(read: Reading) -> str:
        """The reading, and its time where one was typed."""
        at = datetime.fromtimestamp(read.at, UTC)
        when = "" if read.at == int(now.timestamp()) else f" of {_when(page, at)}"
        return f"{air_words(read.temp_c, read.rh_pct)}{when}"

    read = yield Text(
        f"{plain(place.name)} now",
        lambda text: typed_air.typed_reading(text, now, house.zone),
        _reading_help(),
        read_words,
        doubt=lambda read: house.read(places.unlikely, place, read),
        what="the reading",
    )
    after = yield save_or_doubt(places.log_by_hand, place, read)
    recorded(page, after, read_words(read), house.read(places.judged, after, read))


def recorded(page: Page, place: Place, what: str, out: Sequence[str] = ()) -> None:
    """Say what was written down, and at once where it lies out of bounds (``out``)."""
    judged = "".join(f" {plain(units.retold(words))}." for words in out)
    page.show_message(
        f"{plain(place.name)}: {what} recorded.{judged} {page.undo_key} undoes it.",
        "today" if out else "good",
    )


def _reading_help() -> str:
    bare, other = ("38 78", "3.5C") if units.in_fahrenheit() else ("3.5 78", "38F")
    return f"{units.temp_unit()} and % RH, e.g. {bare}; {other} works; or {bare} yesterday 14:00"


# ── off or warm ───────────────────────────────────────────────────────────────────────────


def was_off(page: Page, place: Place) -> Steps:
    """From when, until when, how warm: in one line, or what is missing asked for."""
    house, now, name = page.house, page.house.now(), plain(place.name)
    since, until, highest_c = yield Text(
        f"{name} was off or warm",
        lambda text: typed_air.outage_pieces(text, now, house.zone),
        f"from, to, highest: {units.outage_example()}; or from alone",
        lambda pieces: _pieces_words(page, pieces),
    )
    if until is None:
        until = yield Text(
            f"{name} off or warm from {_when(page, since)}, until",
            lambda text: typed_air.outage_end(text, since, now, house.zone),
            "e.g. 07:30, yesterday 18:00; now: up to this moment",
            lambda at: _when(page, at),
        )
    if highest_c is None:
        highest_c = yield Text(
            "how warm did it get",
            typed_air.highest_of,
            f"in {units.temp_unit()}; as read, or your best guess",
            units.temp,
        )
    given = {"since": since, "until": until, "highest_c": highest_c}
    touched = yield save(outage.record, place, **given)
    spared = house.read(outage.spared, place, **given)
    page.show_message(_kept(touched, spared, highest_c), "good")


def _when(page: Page, at: datetime) -> str:
    return page.house.moment_words(at)


def _pieces_words(page: Page, pieces: Pieces) -> str:
    since, until, highest_c = pieces
    end = "until?" if until is None else f"to {_when(page, until)}"
    warm = "how warm?" if highest_c is None else f"up to {units.temp(highest_c)}"
    return f"{_when(page, since)} {end}, {warm}"


def _kept(touched: list[outage.Touched], spared: list[outage.Spared], highest_c: float) -> str:
    """Which lots it is written into, the first in full, and which bear so much."""
    back = key_of("places.undo")
    left_out = "; ".join(map(spared_words, spared[:MOST_SPARED]))
    if spared[MOST_SPARED:]:
        left_out += f"; + {len(spared) - MOST_SPARED}"
    more = f" Left out: {left_out}." if spared else ""
    if not touched:
        return (
            f"Recorded, up to {units.temp(highest_c)}; no lot was affected.{more} {back} undoes it."
        )
    most = ", ".join(item.lot.code for item in touched)
    lots = by_number(
        len(touched),
        f"Recorded in 1 lot: {most}.",
        f"Recorded in {len(touched)} lots, most at risk first: {most}.",
    )
    return (
        f"{lots} {touched_line(touched[0])}."
        f"{more} {key_of('places.decide')} records what you decide; {back} undoes it."
    )


def deciding(page: Page, place: Place, codes: str) -> Steps:
    """What a person decided after a failure, kept in every lot that waits for it."""
    said = yield Text(
        f"{codes}: what do you decide",
        words,
        "in your own words, saved with each lot; this stays open until then",
    )
    lots = yield save(outage.decide, place, said, page.house.now())
    page.done(f"Recorded in {codes_of(lots)}: {plain(said)}.")


# ── a sensor that is off ──────────────────────────────────────────────────────────────────


def offsetting(page: Page, place: Place) -> Steps:
    """What is added to what a sensor sends from now on.

    Raises
    ------
    Refused: no sensor there
    """
    from curedash.services.places.sensors import sensors_of, set_offset

    found = [s for s in page.house.read(sensors_of, place) if not s.retired_at]
    if not found:
        raise Refused(f"{plain(place.name)} has no sensor; readings by hand are saved as typed.")
    sensor = found[0]
    if len(found) > 1:
        sensor = yield Choice(
            f"{plain(place.name)}: which sensor", tuple((s, plain(s.name)) for s in found)
        )
    name = plain(sensor.name)
    temp_c = yield Text(
        f"{name}: correct its temperature by [{units.temp_unit()}]",
        or_none(lambda text: parse_difference_c(text, default_unit=units.temp_letter())),
        f"e.g. −0.4; Enter: stays ({sensor_line(place, sensor)})",
    )
    rh_pct = yield Text(
        f"{name}: correct its humidity by [%]", or_none(parse_points), "e.g. +2; Enter: stays"
    )
    if temp_c is None and rh_pct is None:
        page.show_message("Nothing was changed.")
        return
    kept = yield save(set_offset, sensor, temp_c=temp_c, rh_pct=rh_pct)
    page.show_message(f"{sensor_line(place, kept)}. It counts from now on.", "good")


# ── too warm to dry in ────────────────────────────────────────────────────────────────────


def cooler_place(page: Page, place: Place) -> Steps:
    """Add a cooler place, and move there what dries where it is too warm."""
    new: NewPlace = yield Text(
        "a cooler place to dry in",
        _new_place,
        f"its name and band: Cellar {units.band_example()}; what dries in {plain(place.name)}"
        " moves",
    )
    moved: tuple[LotState, ...] = yield save(move_to_new, place, new, page.house.now())
    codes, name = codes_of(moved), plain(new.name)
    page.done(by_number(len(moved), f"{codes} is in {name} now.", f"{codes} are in {name} now."))


def _new_place(text: str) -> NewPlace:
    name, temp_c, rh_pct = typed_air.typed_place(text)
    if not name:
        raise Refused(f"Type its name first, e.g. Cellar {units.band_example()}.")
    new = NewPlace(name, temp_c, rh_pct)
    require_cool(new)
    return new
