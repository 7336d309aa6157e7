"""``curedash air``: readings typed, from a pipe, from a broker; failures; long histories."""

from typing import TYPE_CHECKING, cast

from curedash.cli.air_listen import LISTEN
from curedash.cli.command import JSON_BARE, PLACE, YES, Chosen, Command, Group, Word
from curedash.cli.context import Context
from curedash.cli.field_flags import FIELDS, fields_of
from curedash.domain.errors import Refused, UsageError
from curedash.domain.times import utc_text, zone_of
from curedash.domain.wording import by_number

if TYPE_CHECKING:
    from collections.abc import Callable

    from curedash.domain.records import Place
    from curedash.feeds.pipe import Source


def _add(chosen: Chosen, context: Context) -> None:
    from curedash.present.display_units import retold
    from curedash.present.lines import air_words
    from curedash.services.places import places

    conn = context.open()
    place = context.place(chosen.place)
    temp_c, rh_pct = _values(chosen.values)
    at = context.at(chosen.at)
    reading = places.reading(at, temp_c, rh_pct)
    after = places.log_by_hand(conn, context.by(), place, reading, keep_doubtful=chosen.yes)
    if after.watch != place.watch:
        context.err(
            f"{place.name} is read by hand from now on: two days without one raise an alert."
        )
    if reading.bad is not None:
        context.err(f"{place.name}: saved, but marked as a sensor fault ({reading.bad}).")
    out = places.judged(conn, after, reading)
    read = {"at": utc_text(at), "temp_c": temp_c, "rh_pct": rh_pct}
    document = {"place": place.name, **read, "out_of_bounds": list(out), "saved": True}
    said = "".join(f"; {retold(words)}" for words in out)
    line = f"{place.name}: {air_words(temp_c, rh_pct)} saved{said}"
    context.answer(chosen.json, document, line)


_ADD = Command(
    "air add",
    "Record one reading of a place.",
    "curedash air add 'Landing fridge' 3.5C 78% --at 2026-11-20T07:30",
    PLACE,
    Word("values T RH", "temperature and humidity, e.g. 3.5C 78%%; or one of them", nargs="+"),
    Word("--at", "when (default: now)", default="today"),
    YES,
    JSON_BARE,
    run=_add,
)


def _values(words: list[str]) -> tuple[float | None, float | None]:
    """Tell temperature from humidity by the unit, else by the order."""
    from curedash.domain.typed.units import parse_rh_pct, parse_temp_c

    temp_c: float | None = None
    rh_pct: float | None = None
    for word in words:
        if word.strip().endswith(("%", "％", "rh", "RH")) or temp_c is not None:
            if rh_pct is not None:
                raise Refused("Give one humidity per reading, e.g. 3.5C 78%.")
            rh_pct = parse_rh_pct(word)
        else:
            temp_c = parse_temp_c(word)
    return temp_c, rh_pct


def _sensor_when_wanted(context: Context, place: "Place", name: str) -> "Callable[[], int]":
    """The id of the sensor, which is made with the first line that can be read."""
    from curedash.services.places.sensors import ensure_sensor

    known: list[int] = []

    def sensor_id() -> int:
        if not known:
            sensor = ensure_sensor(context.open(), context.by_now(), place, name, live=False)
            known.append(sensor.id)
        return known[0]

    return sensor_id


def _read(chosen: Chosen, context: Context) -> int:
    import sys

    from curedash.feeds.payload import Clock
    from curedash.feeds.pipe import Pipe
    from curedash.present.places.air import tally_line
    from curedash.services.places.log_air import AirLog
    from curedash.store.sensors import latest

    conn = context.open()
    place = context.place(chosen.place)
    sensor_id = _sensor_when_wanted(context, place, chosen.sensor)

    def newest() -> float:
        readings = latest(conn, place.id, sensor_id(), 0, 1)
        return float(readings[-1].at) if readings else 0.0

    zone = zone_of(place.zone) if place.zone else context.zone
    reads = (fields_of(chosen), Clock(zone, newest))
    pipe = Pipe(AirLog(conn), place.id, sensor_id, *reads, context.clock, context.err)
    tally = pipe.run(cast("Source", sys.stdin.buffer))
    if tally.newest_at is not None and place.watch != "sensor":
        _watched_from_now_on(context, place, chosen.sensor, tally.newest_at)
    context.err(tally_line(place, tally.stored, tally.unreadable, tally.marked))
    if tally.same_second:
        context.err(_replaced_words(tally.same_second))
    return 65 if tally.unreadable and not tally.stored else 0


def _replaced_words(lines: int) -> str:
    return by_number(
        lines,
        "1 line without a time was replaced by a later line of the same second.",
        f"{lines} lines without a time were replaced by later lines of the same second.",
    )


_READ = Command(
    "air read",
    "Save readings from a pipe as they arrive, one per line.",
    "my-sensor | curedash air read 'Landing fridge'",
    PLACE,
    Word("--sensor", "name of the sensor (default: pipe)", default="pipe"),
    *FIELDS,
    run=_read,
)


def _watched_from_now_on(context: Context, place: "Place", sensor: str, newest_at: float) -> None:
    """A pipe whose newest line is young watches its place."""
    from curedash.services.places import sensors

    if (context.now.timestamp() - newest_at) / 3600 < LIVE_H:
        sensors.ensure_sensor(context.open(), context.by_now(), place, sensor)
        context.err(f"{place.name} is watched by a sensor from now on: silence raises an alert.")


LIVE_H = 3.0  # design value: a pipe whose newest line is younger goes on


def _outage(chosen: Chosen, context: Context) -> None:
    from curedash.domain.typed.units import parse_temp_c
    from curedash.present.places.air import kept_words, touched_document, touched_line
    from curedash.services.places import outage

    conn = context.open()
    place = context.place(chosen.place)
    since = context.at(chosen.since)
    until = context.at(chosen.until)
    highest_c = parse_temp_c(chosen.highest)
    touched = outage.record(
        conn, context.by(), place, since=since, until=until, highest_c=highest_c, note=chosen.note
    )
    context.each(chosen.json, touched, touched_document, touched_line)
    if chosen.json:
        return
    spared = outage.spared(conn, place, since=since, until=until, highest_c=highest_c)
    context.err(kept_words(place, len(touched), spared))


_OUTAGE = Command(
    "air outage",
    "Record a failure: a place was off or warm. Each lot it affected shows it.",
    "curedash air outage Cellar --from 'yesterday 22:00' --to 07:30 --highest 11C",
    PLACE,
    Word("--from", "when it began, e.g. 'yesterday 22:00'", dest="since", required=True),
    Word("--to", "when it was cold again, e.g. 07:30", dest="until", required=True),
    Word("--highest", "the highest temperature, e.g. 11C", required=True),
    Word("--note", "a note in your own words", default=""),
    JSON_BARE,
    run=_outage,
)


def _thin(chosen: Chosen, context: Context) -> None:
    from curedash.domain.typed.numbers import whole_number
    from curedash.services.places.roll_up import thin

    try:
        days = whole_number(chosen.older_than.strip().removesuffix("d"))
    except Refused:
        days = 0
    if not 30 <= days <= 36_500:
        raise UsageError("--older-than takes at least 30 days, e.g. 400d.")
    gone = thin(context.open(), context.by(), days, context.now, context.err)
    context.out(f"{gone} readings older than {days} d thinned out")


_THIN = Command(
    "air thin",
    "Thin out old readings; the lowest and highest of each hour and the daily figures stay.",
    "curedash air thin --older-than 400d",
    Word("--older-than", "how long to keep every reading (default: 400d)", default="400d"),
    run=_thin,
)


def _last(chosen: Chosen, context: Context) -> None:
    from curedash.present.places.air import air_document, air_line
    from curedash.services.places.air_view import air_of_places

    found = air_of_places(context.open(), context.now)
    context.each(chosen.json, found, air_document, air_line)


_LAST = Command(
    "air last",
    "Each place: the last reading, its age, and the day's mean and range.",
    "curedash air last --json",
    JSON_BARE,
    run=_last,
)


COMMAND = Group(
    "For example: curedash air add 'Landing fridge' 3.5C 78%; see also "
    "read, outage, thin, last and listen.",
    *(_ADD, _READ, LISTEN, _LAST, _OUTAGE, _THIN),
)
