"""What sensors send: lines, JSON and bare numbers, in °C or °F, with and without a time."""

import json
import math
from datetime import UTC, datetime
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from curedash.domain.errors import Refused
from curedash.feeds.payload import Clock, Fields, Parsed, parse_payload, stamped

AT = datetime(2026, 11, 20, 7, 30, tzinfo=UTC).timestamp()
VIENNA = ZoneInfo("Europe/Vienna")


def read(text: str, zone=UTC, **fields) -> Parsed:
    return parse_payload(text, Fields(**fields), Clock(zone))


@pytest.mark.parametrize(
    ("text", "at", "temp_c", "rh_pct"),
    [
        ("2026-11-20T07:30,3.5,78", AT, 3.5, 78),
        ("2026-11-20T07:30:00Z,3.5,78", AT, 3.5, 78),
        ("2026-11-20 07:30,3.5,78", AT, 3.5, 78),
        ("2026-11-20T08:30+01:00;3,5;78,2", AT, 3.5, 78.2),
        ("2026-11-20T07:30\t3.5\t78", AT, 3.5, 78),
        ("2026-11-20 07:30 3.5 78", AT, 3.5, 78),
        (f"{AT:.0f},3.5,78", AT, 3.5, 78),
        (f"{AT * 1000:.0f},3.5,78", AT, 3.5, 78),
        ("2026-11-20T07:30,3,78", AT, 3, 78),
        ("2026-11-20T07:30,3.5,", AT, 3.5, None),
        ("2026-11-20T07:30,,78", AT, None, 78),
        ("3.5 78", None, 3.5, 78),
        ("3,5 78", None, 3.5, 78),
        ("-1.5 65", None, -1.5, 65),
        ("−1.5 65", None, -1.5, 65),
        ("3.5C 78%", None, 3.5, 78),
        ("3.5 °C; 78 % RH", None, 3.5, 78),
        ("38.3F 78%", None, 3.5, 78),
        ("78%", None, None, 78),
        ("3.5", None, 3.5, None),
        ('{"temperature": 3.5, "humidity": 78}', None, 3.5, 78),
        ('{"Temperature": "3,5", "HUMIDITY": "78 %"}', None, 3.5, 78),
        ('{"temp_f": 38.3, "rh": 78, "ts": 1795159800}', 1795159800, 3.5, 78),
        ('{"t": 3.5, "time": "2026-11-20T07:30:00Z"}', AT, 3.5, None),
        ('{"h": 78, "timestamp": 1795159800000}', 1795159800, None, 78),
        ('{"temp": null, "rh": 78}', None, None, 78),
        ('"3.5 78"', None, 3.5, 78),
        ("\ufeff3.5 78\r", None, 3.5, 78),
    ],
)
def test_a_reading_is_read(text, at, temp_c, rh_pct) -> None:
    found = read(text)
    assert found.at == (None if at is None else pytest.approx(at))
    assert found.temp_c == (None if temp_c is None else pytest.approx(temp_c))
    assert found.rh_pct == (None if rh_pct is None else pytest.approx(rh_pct))


def test_the_names_and_the_unit_can_be_told() -> None:
    nested = '{"DS1": {"T": 41}, "AM": {"H": 71}, "when": "2026-11-20T07:30:00Z"}'
    found = read(nested, temp=("DS1.T",), rh=("AM.H",), time=("when",), unit="F")
    assert found == Parsed(AT, 5.0, 71)
    assert read("41 71", unit="F").temp_c == 5
    assert read("5C 71", unit="F").temp_c == 5
    assert read("71", bare_is="rh") == Parsed(None, None, 71)
    assert read("5C", bare_is="rh") == Parsed(None, 5, None)
    assert read('{"a.b": 4}', temp=("a.b",)).temp_c == 4


@pytest.mark.parametrize(
    "text",
    [
        "",
        "   ",
        "3,5",
        "hello",
        "3.5 78 12",
        "2026-11-20T07:30",
        "2026-13-40T07:30,3,5",
        "{",
        "{}",
        '{"temp": true}',
        '{"temp": {}}',
        "[3.5, 78]",
        "null3",
        '{"other": 3}',
        "3_5 78",
        "three 78",
        "3.5 damp",
        "x" * 5000,
        '{"temp": 3, "time": "soon"}',
        "[" * 4000,
        '"{}"',
        "2026-11-20T07:30,3,5,78",
    ],
)
def test_what_is_no_reading_is_refused_in_one_sentence(text: str) -> None:
    with pytest.raises(Refused) as refused:
        read(text)
    assert "\n" not in str(refused.value)
    assert len(str(refused.value)) < 160


def test_a_number_that_is_none_is_left_to_the_marks() -> None:
    assert math.isnan(read("nan 71").temp_c or 0)
    assert math.isnan(read('{"temp": NaN}').temp_c or 0)


def test_a_sensor_without_a_clock_has_no_time() -> None:
    assert read('{"t": 4, "ts": 12}').at is None
    assert read("1970-01-01T00:00:09Z,4,70").at is None
    now = datetime(2026, 11, 20, 8, tzinfo=UTC)
    assert stamped(Parsed(None, 4, 70), now) == (int(now.timestamp()), False)
    assert stamped(Parsed(AT, 4, 70), now) == (int(AT), True)


def test_a_time_ahead_of_the_clock_is_refused() -> None:
    now = datetime.fromtimestamp(AT - 601, UTC)
    with pytest.raises(Refused, match="ahead"):
        stamped(Parsed(AT, 4, 70), now)
    assert stamped(Parsed(AT, 4, 70), datetime.fromtimestamp(AT - 599, UTC))[1]


def test_the_hour_that_an_autumn_night_has_twice() -> None:
    """Vienna, 25 October 2026: 03:00 summer time is followed by 02:00 (tz database)."""
    clock = Clock(VIENNA)
    local = ["01:45", "02:15", "02:45", "02:15", "02:45", "03:15"]
    found = [parse_payload(f"2026-10-25T{at},4,70", Fields(), clock).at for at in local]
    steps = [int(b - a) for a, b in pairwise(found)]  # type: ignore[operator]
    assert steps == [1800] * 5


def test_the_hour_that_a_spring_night_lacks() -> None:
    """Vienna, 29 March 2026: 02:00 is followed by 03:00 (tz database)."""
    clock = Clock(VIENNA)
    found = [
        parse_payload(f"2026-03-29T{at},4,70", Fields(), clock).at for at in ("01:45", "03:15")
    ]
    assert found[1] - found[0] == 1800  # type: ignore[operator]


@given(st.text())
def test_any_text_is_read_or_refused(text: str) -> None:
    try:
        found = read(text)
    except Refused:
        return
    assert isinstance(found, Parsed)


@given(
    st.recursive(
        st.none() | st.booleans() | st.floats() | st.text(max_size=9) | st.integers(),
        lambda inner: (
            st.lists(inner, max_size=3)
            | st.dictionaries(
                st.sampled_from(["t", "temp", "rh", "h", "at", "ts", "x"]), inner, max_size=4
            )
        ),
        max_leaves=8,
    )
)
def test_any_json_is_read_or_refused(body: object) -> None:
    try:
        found = read(json.dumps(body))
    except Refused:
        return
    assert found.temp_c is not None or found.rh_pct is not None


@given(st.floats(-40, 60), st.floats(0, 100))
def test_what_was_written_is_read_back(temp_c: float, rh_pct: float) -> None:
    for text in (
        f"{temp_c!r} {rh_pct!r}",
        f"2026-11-20T07:30,{temp_c!r},{rh_pct!r}",
        json.dumps({"temp": temp_c, "rh": rh_pct}),
    ):
        found = read(text)
        assert (found.temp_c, found.rh_pct) == (temp_c, rh_pct)
