"""``curedash air add``: readings of a place, typed."""

from curedash.cli.context import Context
from curedash.cli.parser import Parser
from curedash.domain.errors import Refused, UsageError


def run(argv: list[str], context: Context) -> int:
    """Record readings of a place."""
    words = {"add": _add}
    if not argv or argv[0] not in words:
        raise UsageError("Say for example: curedash air add 'Fridge 2' 3.5C 78%.")
    return words[argv[0]](argv[1:], context)


def _add(argv: list[str], context: Context) -> int:
    parser = Parser("air add", "Record one reading of a place.",
                    "curedash air add 'Fridge 2' 3.5C 78% --at 2026-11-20T07:30")  # fmt: skip
    parser.add_argument("place")
    parser.add_argument("values", nargs="+", metavar="T RH", help="a temperature, a humidity")
    parser.add_argument("--at", default="today", help="when; else now")
    parser.add_argument("--json", action="store_true")
    chosen = parser.parse_args(argv)
    from curedash.domain.typed_dates import parse_when
    from curedash.services import household, places

    conn = context.open()
    place = places.require_place(conn, chosen.place)
    temp_c, rh_pct = _values(chosen.values)
    at = parse_when(chosen.at, context.now, household.zone(conn))
    reading = places.reading(at, temp_c, rh_pct)
    after = places.log_by_hand(conn, context.by(), place, reading)
    if after.watch != place.watch:
        context.err(f"{place.name} is read by hand from now on: two days without are told.")
    if reading.bad is not None:
        context.err(f"{place.name}: kept, but marked as no weather ({reading.bad}).")
    if chosen.json:
        context.json({"place": place.name, "at": at.isoformat(), "temp_c": temp_c,
                      "rh_pct": rh_pct, "saved": True})  # fmt: skip
    else:
        from curedash.present.lines import air_words

        context.out(f"{place.name}: {air_words(temp_c, rh_pct)} saved")
    return 0


def _values(words: list[str]) -> tuple[float | None, float | None]:
    """Tell temperature from humidity by the unit, else by the order."""
    from curedash.domain.units import parse_rh_pct, parse_temp_c

    temp_c: float | None = None
    rh_pct: float | None = None
    for word in words:
        if word.strip().endswith(("%", "％", "rh", "RH")) or temp_c is not None:
            if rh_pct is not None:
                raise Refused("One humidity a reading, please, e.g. 3.5C 78%.")
            rh_pct = parse_rh_pct(word)
        else:
            temp_c = parse_temp_c(word)
    return temp_c, rh_pct
