"""Places: made, changed, and their readings logged by hand or by a feed."""

from collections import Counter
from collections.abc import Callable, Sequence
from datetime import UTC, datetime
from sqlite3 import Connection

from curedash.domain.curing.stages import DRIES_MOST_C, DRYING, FERMENT, FERMENT_MIN_C, SEALED_MAX_C
from curedash.domain.errors import Doubtful, NotFound, Refused
from curedash.domain.fast_json import loads
from curedash.domain.places.bad_readings import bad_reason
from curedash.domain.quantity_text import Quantity, QuantityText, celsius, phrase
from curedash.domain.record import record
from curedash.domain.records import LotState, Place, Reading
from curedash.domain.times import utc_text, zone_of
from curedash.domain.typed.words import on_one_line
from curedash.domain.wording import listed, no_such
from curedash.services.future_check import require_past
from curedash.services.household import household
from curedash.store import lots, places, rack, roll_ups
from curedash.store.work import By, Work, at_once, change

Band = tuple[float, float] | None
WATCHES = ("sensor", "hand-log", "not-watched")
HANGS = (DRYING, FERMENT)
FERMENTS_MOST_C = 30.0  # design value: a warmer place is not proposed to ferment in
MAX_NAME = 60
READ_LATELY_S = 2 * 86_400  # a reading longer ago says nothing of today (design value)
READING = "reading"  # kind of the event that a reading by hand leaves in the log


@at_once
def add_place(
    conn: Connection,
    by: By,
    name: str,
    *,
    temp_c: Band = None,
    rh_pct: Band = None,
    watch: str = "hand-log",
) -> Place:
    """Add a fridge, chamber or cellar.

    Parameters
    ----------
    temp_c, rh_pct : the band it is meant to keep [°C], [% relative humidity]
    watch : ``sensor``, ``hand-log`` or ``not-watched``: decides what silence means

    Raises
    ------
    Refused: no name, a name in use
    """
    with change(conn, by, "add place", subject=_clean(name)) as work:
        place_id = _insert(work, name, temp_c, rh_pct, watch)
    return _by_id(conn, place_id)


@record
class NewPlace:
    """A place as typed: its name, and the band it is meant to keep, if one was typed."""

    name: str
    temp_c: Band = None
    rh_pct: Band = None


@at_once
def add_places(conn: Connection, by: By, new: Sequence[NewPlace]) -> tuple[Place, ...]:
    """Make several places known in one change.

    Raises
    ------
    Refused: as for :func:`add_place`
    """
    with change(conn, by, "add place", subject=listed([_clean(one.name) for one in new])) as work:
        made = [_insert(work, one.name, one.temp_c, one.rh_pct, "hand-log") for one in new]
    return tuple(_by_id(conn, place_id) for place_id in made)


def place_for(work: Work, name: str, new: NewPlace | None = None) -> tuple[Place, bool]:
    """The place with this name, made inside a running change if it is not there yet.

    Parameters
    ----------
    new : the band it is made with

    Returns
    -------
    the place, and True if it was made just now
    """
    found = places.by_name(work.conn, _clean(name))
    if found is not None:
        return found, False
    temp_c, rh_pct = (None, None) if new is None else (new.temp_c, new.rh_pct)
    watch = "hand-log" if temp_c or rh_pct else "not-watched"
    return _by_id(work.conn, _insert(work, name, temp_c, rh_pct, watch)), True


def find_place(conn: Connection, name: str) -> Place | None:
    """The place with this name, None if it is not there yet."""
    return places.by_name(conn, _clean(name))


def middle_temp_c(place: Place) -> float | None:
    """Middle of the place's temperature band [°C], None without a band."""
    if place.temp_lo_c is None or place.temp_hi_c is None:
        return None
    return (place.temp_lo_c + place.temp_hi_c) / 2


def temp_of(
    conn: Connection, place: Place | None, at: datetime
) -> tuple[float | None, tuple[float, float] | None]:
    """The mean of what was read in a place over the day before [°C], and its band [°C]."""
    if place is None:
        return None, None
    lo_c, hi_c = place.temp_lo_c, place.temp_hi_c
    band_c = None if lo_c is None or hi_c is None else (lo_c, hi_c)
    until = int(at.timestamp())
    found = places.good_readings(conn, place.id, until - READ_LATELY_S, until)
    temps = [(float(r.at), r.temp_c) for r in found if r.temp_c is not None]
    if not temps:
        return None, band_c
    from curedash.domain.places.air import max_gap_s, window_stats

    day = window_stats(temps, until, 24.0, max_gap_s(place.watch))
    return temps[-1][1] if day is None else day.mean, band_c


def cold_place(conn: Connection, lot: LotState, at: datetime) -> Place | None:
    """Where a sealed bag of this lot goes usually, if where it is now is too warm for it.

    Returns
    -------
    the first place known to be cold; None where the present one will do, or nothing cold is known
    """
    known = places.all_places(conn)
    here = next((place for place in known if place.id == lot.place_id), None)
    if here is None or is_cold(conn, here, at) is not False:
        return None
    return next((place for place in known if is_cold(conn, place, at)), None)


def hanging_place(
    conn: Connection, lot: LotState, at: datetime, stage: str = DRYING
) -> Place | None:
    """Where a lot that is hung goes usually: see :func:`where_to_hang`."""
    return where_to_hang(conn, lot, at, stage)[0]


def where_to_hang(
    conn: Connection, lot: LotState, at: datetime, stage: str = DRYING
) -> tuple[Place | None, str]:
    """Where a lot goes usually to dry, or to ferment, and why.

    Returns
    -------
    the place where it did before; else the planned one; else where most of its batch do now; else
    where its style does or did last; else where most of the others do, or a lot did last; else, to
    dry, the first known to be neither cold nor warm, and to ferment, the warmest up to 30 °C; None
    without such a place
    """
    verb, did = ("ferments", "fermented") if stage == FERMENT else ("hangs", "hung")
    hung = [other for other in rack.open_lots(conn) if other.stage == stage and other.place_id]
    others, known = verb.removesuffix("s"), places.all_places(conn)
    ways = (
        (f"where it {did} before", lots.hung_last_in(conn, stage, lot_id=lot.id)),
        ("as planned", _planned_place(conn, lot, stage, known)),
        (f"where its batch {verb}", _most([o for o in hung if o.batch_id == lot.batch_id])),
        (f"where {lot.style_name} {verb}", _most([o for o in hung if o.style == lot.style])),
        (f"where {lot.style_name} {did} last", lots.hung_last_in(conn, stage, style=lot.style)),
        (f"where the others {others}", _most(hung)),
        (f"where a lot {did} last", lots.hung_last_in(conn, stage)),
    )
    for why, place_id in ways:
        found = next((place for place in known if place.id == place_id), None)
        if found is not None:
            return found, why
    return _by_warmth(conn, known, at, stage)


def _planned_place(
    conn: Connection, lot: LotState, stage: str, known: Sequence[Place]
) -> int | None:
    """Where its batch was planned to ferment, or to hang."""
    from curedash.services.dosing.recipe import plan_from
    from curedash.store import batches

    batch = batches.one(conn, lot.batch_id)
    plan = plan_from("{}" if batch is None else batch.recipe)
    wanted = (plan.ferment_in if stage == FERMENT else plan.hang_in).casefold()
    return next((place.id for place in known if wanted and place.name.casefold() == wanted), None)


def _by_warmth(
    conn: Connection, known: Sequence[Place], at: datetime, stage: str
) -> tuple[Place | None, str]:
    """Where nothing hung before: by how warm each place is, as read or by its band."""
    warmth = [(place, _warmth_c(conn, place, at)) for place in known]
    known_c = [(temp_c, place) for place, temp_c in warmth if temp_c is not None]
    if stage == FERMENT:
        warm = [pair for pair in known_c if FERMENT_MIN_C <= pair[0] <= FERMENTS_MOST_C]
        best = max(warm, key=lambda pair: pair[0], default=(None, None))
        return best[1], "the warmest"
    cool = (place for temp_c, place in known_c if SEALED_MAX_C < temp_c <= DRIES_MOST_C)
    return next(cool, None), "which is neither cold nor warm"


def _most(hung: Sequence[LotState]) -> int | None:
    """The place in which most of these lots are."""
    counted = Counter(lot.place_id for lot in hung).most_common(1)
    return counted[0][0] if counted else None


def _warmth_c(conn: Connection, place: Place, at: datetime) -> float | None:
    """How warm a place is, as read or by the middle of its band [°C]; None: nothing is known."""
    read_c, band_c = temp_of(conn, place, at)
    if read_c is not None:
        return read_c
    return None if band_c is None else sum(band_c) / 2


def too_warm_to_dry(conn: Connection, lot: LotState, at: datetime) -> Place | None:
    """Where a lot is now, if that is too warm to dry in and no cooler place is known."""
    known = places.all_places(conn)
    here = next((place for place in known if place.id == lot.place_id), None)
    if here is None or (_warmth_c(conn, here, at) or 0.0) <= DRIES_MOST_C:
        return None
    found = where_to_hang(conn, lot, at, DRYING)[0]
    return here if found is None or found.id == here.id else None


def is_cold(conn: Connection, place: Place, at: datetime) -> bool | None:
    """Whether a sealed bag may lie there; None where nothing is known."""
    temp_c = _warmth_c(conn, place, at)
    return None if temp_c is None else temp_c <= SEALED_MAX_C


def require_place(conn: Connection, name: str) -> Place:
    """The place with this name.

    Raises
    ------
    NotFound: names the places there are
    """
    found = places.by_name(conn, name)
    if found is None:
        raise NotFound(no_such("place", name, (place.name for place in places.all_places(conn))))
    return found


@at_once
def change_place(
    conn: Connection,
    by: By,
    place: Place,
    *,
    temp_c: Band = None,
    rh_pct: Band = None,
    watch: str | None = None,
    name: str | None = None,
    then: Callable[[Work], None] | None = None,
) -> None:
    """Change a place's band, name or how it is watched; what is None stays.

    Parameters
    ----------
    then : what follows from a new temperature band, in the same change

    Raises
    ------
    Refused: a name in use, an unknown way of watching
    """
    values = _band_columns(temp_c, rh_pct)
    if watch is not None:
        values["watch"] = _known_watch(watch)
    if name is not None:
        values["name"] = _clean(name)
        other = places.by_name(conn, _clean(name))
        if other is not None and other.id != place.id:
            raise Refused(f"There is a place “{other.name}” already.")
    with change(conn, by, "change place", subject=place.name) as work:
        places.update(work, place.id, **values)
        if temp_c is not None and then is not None:
            then(work)


def log_air(conn: Connection, place: Place, readings: Sequence[Reading]) -> int:
    """Save readings of a place; how many. They are measured, so they bypass the log."""
    return places.add_readings(conn, place.id, readings)


@at_once
def log_by_hand(
    conn: Connection, by: By, place: Place, typed: Reading, *, keep_doubtful: bool = False
) -> Place:
    """Store one typed reading; a place that nobody watched is read by hand from then on.

    Raises
    ------
    Doubtful: a time that has not come yet, a temperature that was hardly read there
    """
    at = datetime.fromtimestamp(typed.at, UTC)
    require_past(by, at, place.name, keep_doubtful=keep_doubtful)
    asked = None if keep_doubtful else unlikely(conn, place, typed)
    if asked is not None:
        raise Doubtful(asked)
    was = places.reading_at(conn, place.id, typed.at)
    said = reading_text(typed)
    when = utc_text(at)
    data = {"at": typed.at, "now": _values(typed), "was": was and _values(was)}
    with change(conn, by, "reading", subject=f"{place.name} {said}", at=when) as work:
        lots.add_event(work, when, READING, "read by hand", place_id=place.id, data=data)
        _put_reading(conn, place, typed.at, typed)
        if place.watch == "not-watched":
            places.update(work, place.id, watch="hand-log")
    return _by_id(conn, place.id)


def unlikely(conn: Connection, place: Place, typed: Reading) -> QuantityText | None:
    """A question about a temperature that was hardly read at this place.

    One that is marked as no weather is not asked about.
    """
    from curedash.domain.needs.place_needs import unlikely_reading

    others = [other for other in places.all_places(conn) if other.id != place.id]
    return None if typed.bad is not None else unlikely_reading(place, others, typed.temp_c)


def judged(conn: Connection, place: Place, typed: Reading) -> tuple[str, ...]:
    """Where a reading lies outside its place's band, or the limits of what is inside, at once.

    One that is marked as no weather is not judged.
    """
    if typed.bad is not None:
        return ()
    from curedash.domain.needs.place_needs import judge_reading
    from curedash.services.needs.alert_rules import rules_of

    inside = [lot for lot in rack.open_lots(conn) if lot.place_id == place.id]
    return judge_reading(place, inside, typed.temp_c, typed.rh_pct, rules_of(conn)[1])


def follow_reading(conn: Connection, event_id: int) -> None:
    """Put a reading by hand back, or take it out, as its line in the log stands now.

    Call inside a transaction.
    """
    event = lots.event(conn, event_id)
    if event is None or event.place_id is None or event.kind != READING:
        return
    told = loads(event.data or "{}")
    values = told["now"] if event.voided_at is None else told["was"]
    kept = None if values is None else Reading(told["at"], values[0], values[1], bad=values[2])
    _put_reading(conn, _by_id(conn, event.place_id), told["at"], kept)


def reading_text(typed: Reading) -> QuantityText:
    """``3.5 °C, 78 %``, with its temperature kept."""
    temp_c, rh_pct = typed.temp_c, typed.rh_pct
    parts: dict[str, str | Quantity] = {}
    if temp_c is not None:
        parts["temp"] = celsius(temp_c, f"{temp_c:.1f} °C")
    if rh_pct is not None:
        parts["rh"] = f"{rh_pct:.0f} %"
    return phrase(", ".join(f"{{{name}}}" for name in parts), **parts)


def _values(kept: Reading) -> list[object]:
    return [kept.temp_c, kept.rh_pct, kept.bad]


def _put_reading(conn: Connection, place: Place, at: int, kept: Reading | None) -> None:
    """One reading by hand stands as given, or is gone; its day is boiled down anew."""
    places.take_out(conn, place.id, at)
    if kept is not None:
        places.insert_readings(conn, place.id, [kept])
    zone = zone_of(place.zone or household.zone_name(conn))
    roll_ups.forget_days(conn, place.id, [datetime.fromtimestamp(at, zone).date().toordinal()])


def reading(at: datetime, temp_c: float | None, rh_pct: float | None) -> Reading:
    """One reading at a moment.

    Raises
    ------
    Refused: neither temperature nor humidity
    """
    if temp_c is None and rh_pct is None:
        raise Refused("A reading needs a temperature or a humidity, e.g. 3.5C 78%.")
    return Reading(int(at.timestamp()), temp_c, rh_pct, bad=bad_reason(temp_c, rh_pct))


def _insert(work: Work, name: str, temp_c: Band, rh_pct: Band, watch: str) -> int:
    clean = _clean(name)
    if places.by_name(work.conn, clean) is not None:
        raise Refused(f"There is a place “{clean}” already.")
    band = _band_columns(temp_c, rh_pct)
    known = _known_watch(watch)
    return places.add(work, name=clean, watch=known, created_at=work.by.now, **band)


def _band_columns(temp_c: Band, rh_pct: Band) -> dict[str, object]:
    """The columns of the bands that are given."""
    columns: dict[str, object] = {}
    if temp_c is not None:
        columns |= {"temp_lo_c": temp_c[0], "temp_hi_c": temp_c[1]}
    if rh_pct is not None:
        columns |= {"rh_lo_pct": rh_pct[0], "rh_hi_pct": rh_pct[1]}
    return columns


def _known_watch(watch: str) -> str:
    if watch not in WATCHES:
        raise Refused(f"Say how the place is watched: {listed(WATCHES, 'or')}.")
    return watch


def _clean(name: str) -> str:
    """A name without line breaks or control characters, of a length that fits a label."""
    clean = on_one_line(name)
    if not clean:
        raise Refused("A place needs a name, e.g. Fridge 2.")
    if len(clean) > MAX_NAME:
        raise Refused(f"A place's name has at most {MAX_NAME} characters.")
    return clean


def _by_id(conn: Connection, place_id: int) -> Place:
    return next(place for place in places.all_places(conn) if place.id == place_id)


def all_of(conn: Connection) -> list[Place]:
    """Every place."""
    return places.all_places(conn)
