"""Dates as typed, read in a zone at a fixed moment; the calendar of the standard library judges."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from curedash.domain.errors import CuredashError, Doubtful, Refused
from curedash.domain.typed.dates import parse_day, parse_until, parse_when
from curedash.domain.typed.plan import typed_plan

VIENNA = ZoneInfo("Europe/Vienna")
NOW = datetime(2026, 11, 25, 9, 30, tzinfo=VIENNA)  # a Wednesday


def local(*parts: int) -> datetime:
    return datetime(*parts, tzinfo=VIENNA)


@pytest.mark.parametrize(
    ("text", "moment"),
    [
        ("now", NOW),
        ("today", NOW),
        ("2026-11-25", NOW),
        ("-0d", NOW),
        ("yesterday", local(2026, 11, 24, 12)),
        ("Yesterday", local(2026, 11, 24, 12)),
        ("-2d", local(2026, 11, 23, 12)),
        ("−2d", local(2026, 11, 23, 12)),
        ("2 days ago", local(2026, 11, 23, 12)),
        ("-1w", local(2026, 11, 18, 12)),
        ("-3h", local(2026, 11, 25, 6, 30)),
        ("14 Mar", local(2026, 3, 14, 12)),
        ("14. march", local(2026, 3, 14, 12)),
        ("Mar 14", local(2026, 3, 14, 12)),
        ("14mar", local(2026, 3, 14, 12)),
        ("14 Sept", local(2026, 9, 14, 12)),
        ("14 Dec", local(2025, 12, 14, 12)),
        ("14 Mar 2024", local(2024, 3, 14, 12)),
        ("29 Feb", local(2024, 2, 29, 12)),
        ("14.3.", local(2026, 3, 14, 12)),
        ("14.3.2025", local(2025, 3, 14, 12)),
        ("31/10", local(2026, 10, 31, 12)),
        ("10/31/2026", local(2026, 10, 31, 12)),
        ("11/11", local(2026, 11, 11, 12)),
        ("sat", local(2026, 11, 21, 12)),
        ("wed", NOW),
        ("tomorrow", local(2026, 11, 26, 12)),
        ("2026-11-20", local(2026, 11, 20, 12)),
        ("２０２６-11-20", local(2026, 11, 20, 12)),
        ("2026-11-20T18:05", local(2026, 11, 20, 18, 5)),
        ("2026-11-20 18:05", local(2026, 11, 20, 18, 5)),
        ("2026-11-20T18:05Z", datetime(2026, 11, 20, 18, 5, tzinfo=UTC)),
        ("2026-11-20T18:05+05:30", datetime(2026, 11, 20, 12, 35, tzinfo=UTC)),
        ("9. 11.", local(2026, 11, 9, 12)),
        ("9. 11. 2025", local(2025, 11, 9, 12)),
        ("9. 11. 18:30", local(2026, 11, 9, 18, 30)),
        ("9. Nov", local(2026, 11, 9, 12)),
        ("the 1st of December", local(2025, 12, 1, 12)),
        ("Nov 3rd", local(2026, 11, 3, 12)),
        ("six weeks ago", local(2026, 10, 14, 12)),
        ("a week ago", local(2026, 11, 18, 12)),
        ("a fortnight ago", local(2026, 11, 11, 12)),
        ("2 months ago", local(2026, 9, 25, 12)),
        ("last month", local(2026, 10, 25, 12)),
        ("last week", local(2026, 11, 18, 12)),
        ("last Wednesday", local(2026, 11, 18, 12)),
        ("last Sunday", local(2026, 11, 22, 12)),
        ("this sunday", local(2026, 11, 22, 12)),
        ("since Sunday", local(2026, 11, 22, 12)),
        ("on sat", local(2026, 11, 21, 12)),
        ("the day before yesterday", local(2026, 11, 23, 12)),
        ("today 7:15", local(2026, 11, 25, 7, 15)),
        ("7:15", local(2026, 11, 25, 7, 15)),
        ("yesterday at 18:30", local(2026, 11, 24, 18, 30)),
        ("14 Mar 18:30", local(2026, 3, 14, 18, 30)),
        ("-2d 18:30", local(2026, 11, 23, 18, 30)),
        ("Nov 20th 6pm", local(2026, 11, 20, 18)),
    ],
)
def test_when_something_happened(text: str, moment: datetime) -> None:
    read = parse_when(text, NOW, VIENNA)
    assert read == moment
    assert read.tzinfo is UTC


@pytest.mark.parametrize(
    "text",
    [
        "",
        "  ",
        ",",
        "at",
        ", at",
        "2026-11-28",
        "2026-11-27",
        "2026-13-01",
        "2026-02-30",
        "30 Feb",
        "31.4.",
        "25:99",
        "in 3 days",
        "+2d",
        "+25h",
        "1043",
        "12",
        "d",
        "-d",
        "-999999999999d",
        "0001-01-01",
        "9999-12-31",
        "1969-12-31",
        "2026-11-20T25:00",
        "nan",
        "[b]today[/b]",
        "🥩",
        "x" * 500,
        "next week",
        "mar",
        "march 2026",
        "14 foo",
        "2d",
        "2026-11-20T18:05+99:00",
        "today today",
    ],
)
def test_what_is_no_date_or_too_far_ahead_is_refused(text: str) -> None:
    with pytest.raises(Refused) as caught:
        parse_when(text, NOW, VIENNA)
    assert "\n" not in str(caught.value)


def test_a_day_with_two_readings_is_asked_about() -> None:
    with pytest.raises(Doubtful, match="3 Apr or 4 Mar"):
        parse_when("3/4", NOW, VIENNA)


def test_today_is_the_day_of_the_zone() -> None:
    late = datetime(2026, 11, 24, 23, 30, tzinfo=UTC)  # 25 Nov in Vienna
    assert parse_when("2026-11-25", late, VIENNA) == late
    assert parse_when("2026-11-24", late, VIENNA) == local(2026, 11, 24, 12)
    assert parse_when("2026-11-24", late, UTC) == late


@pytest.mark.parametrize(
    ("text", "moment"),
    [
        ("2026-03-29T02:30", datetime(2026, 3, 29, 1, 30, tzinfo=UTC)),  # an hour that is skipped
        ("2026-10-25T02:30", datetime(2026, 10, 25, 0, 30, tzinfo=UTC)),  # an hour that comes twice
        ("2026-03-29", datetime(2026, 3, 29, 10, tzinfo=UTC)),
        ("2026-10-25", datetime(2026, 10, 25, 11, tzinfo=UTC)),
    ],
)
def test_changes_of_summer_time(text: str, moment: datetime) -> None:
    assert parse_when(text, NOW, VIENNA) == moment


@pytest.mark.parametrize(
    ("text", "moment"),
    [
        ("tomorrow", local(2026, 11, 26)),
        ("3d", NOW + timedelta(days=3)),
        ("+3d", NOW + timedelta(days=3)),
        ("in 3 days", NOW + timedelta(days=3)),
        ("2 weeks", NOW + timedelta(days=14)),
        ("12h", NOW + timedelta(hours=12)),
        ("fri", local(2026, 11, 27)),
        ("wed", local(2026, 12, 2)),
        ("24 Dec", local(2026, 12, 24)),
        ("2 Jan", local(2027, 1, 2)),
        ("29 Feb", local(2028, 2, 29)),
        ("2027-01-02", local(2027, 1, 2)),
        ("tomorrow 7:00", local(2026, 11, 26, 7)),
        ("18:00", local(2026, 11, 25, 18)),
    ],
)
def test_until_when(text: str, moment: datetime) -> None:
    assert parse_until(text, NOW, VIENNA) == moment


@pytest.mark.parametrize("text", ["", "today", "yesterday", "-2d", "2026-11-25", "7:00", "now"])
def test_a_snooze_that_is_over_is_refused(text: str) -> None:
    with pytest.raises(Refused):
        parse_until(text, NOW, VIENNA)


def test_a_calendar_day_in_either_direction() -> None:
    assert parse_day("24 Dec", NOW, VIENNA) == date(2026, 12, 24)
    assert parse_day("24 Dec", NOW, VIENNA, ahead=False) == date(2025, 12, 24)
    assert parse_day("2026-11-01", NOW, VIENNA) == date(2026, 11, 1)
    assert parse_day("2026-11-24T23:30Z", NOW, VIENNA) == date(2026, 11, 25)
    assert parse_day("3d", NOW, VIENNA) == date(2026, 11, 28)


near_dates = st.text(alphabet="0123456789-/.: +TZ andomarftuesywk", max_size=24)


@pytest.mark.parametrize("parser", [parse_when, parse_until, parse_day], ids=lambda p: p.__name__)
@given(text=st.one_of(st.text(max_size=80), near_dates))
def test_no_text_raises_anything_but_the_programs_own_errors(parser, text: str) -> None:
    sentence = ""
    try:
        parser(text, NOW, VIENNA)
    except CuredashError as error:
        sentence = str(error)
    assert "\n" not in sentence


@given(st.datetimes(datetime(1970, 1, 2), datetime(2026, 11, 25)))
def test_a_time_written_in_iso_comes_back(moment: datetime) -> None:
    moment = moment.replace(tzinfo=UTC)
    assert parse_when(moment.isoformat(), NOW, VIENNA) == moment
    written = moment.astimezone(VIENNA)
    if written.fold == 0:
        assert parse_when(written.replace(tzinfo=None).isoformat(), NOW, VIENNA) == moment


@given(st.dates(date(2025, 12, 1), date(2026, 11, 24)))
def test_a_day_of_the_last_year_comes_back_without_its_year(day: date) -> None:
    noon = datetime(day.year, day.month, day.day, 12, tzinfo=VIENNA)
    assert parse_when(f"{day.day} {day:%b}", NOW, VIENNA) == noon
    assert parse_when(f"{day:%B} {day.day}", NOW, VIENNA) == noon


@pytest.mark.parametrize(
    ("typed", "style", "thickness_mm"),
    [
        ("24 Dec", "", None),
        ("bresaola 24 Dec", "bresaola", None),
        ("boned leg 24 Dec 65mm", "boned leg", 65.0),
        ("bresaola 24 Dec 2.5 in", "bresaola", 63.5),
        ("lonza 2026-12-24", "lonza", None),
    ],
)
def test_a_style_and_the_day_it_is_wanted(typed, style, thickness_mm) -> None:
    found = typed_plan(typed, datetime(2026, 11, 25, 9, tzinfo=UTC), UTC)
    assert (found.style, found.thickness_mm) == (style, thickness_mm)
    assert found.day.isoformat() == "2026-12-24"


@pytest.mark.parametrize("typed", ["", "bresaola", "Dec", "bresaola Dec", "65mm", "x" * 300])
def test_a_wish_without_a_day_is_refused(typed) -> None:
    with pytest.raises(Refused):
        typed_plan(typed, datetime(2026, 11, 25, 9, tzinfo=UTC), UTC)


@pytest.mark.parametrize(
    ("text", "day"),
    [
        ("9. 12.", date(2026, 12, 9)),
        ("next Sunday", date(2026, 11, 29)),
        ("next Wednesday", date(2026, 12, 2)),
        ("sunday", date(2026, 11, 29)),
        ("on Sunday", date(2026, 11, 29)),
        ("next week", date(2026, 12, 2)),
        ("in 6 weeks", date(2027, 1, 6)),
        ("in six weeks", date(2027, 1, 6)),
        ("in a fortnight", date(2026, 12, 9)),
        ("in a month", date(2026, 12, 25)),
        ("in 3 months", date(2027, 2, 25)),
        ("2nd Jan", date(2027, 1, 2)),
    ],
)
def test_a_day_to_come_is_read_as_it_is_said(text: str, day: date) -> None:
    assert parse_day(text, NOW, VIENNA) == day


def test_a_month_on_ends_with_the_shorter_month() -> None:
    assert parse_day("in 3 months", datetime(2026, 11, 30, 9, tzinfo=VIENNA), VIENNA) == date(
        2027, 2, 28
    )


@pytest.mark.parametrize("text", ["next Sunday", "in six weeks", "in a month", "next week"])
def test_what_has_happened_is_not_ahead(text: str) -> None:
    with pytest.raises(Refused, match="ahead"):
        parse_when(text, NOW, VIENNA)


@pytest.mark.parametrize(
    "text", ["a", "the", "of", "9.", "last", "next", "in a", "9. 13.", "last x"]
)
def test_half_a_day_is_no_day(text: str) -> None:
    with pytest.raises(Refused):
        parse_when(text, NOW, VIENNA)


@pytest.mark.parametrize("text", ["28 Dec", "28th Dec", "Dec 28th", "28th of December", "28.12."])
def test_a_day_without_a_year_goes_by_one_rule_however_it_is_typed(text):
    """In January what happened is the December before, what is planned the one to come."""
    new_year = datetime(2027, 1, 5, 12, tzinfo=UTC)
    assert parse_when(text, new_year, UTC).date() == date(2026, 12, 28)
    assert parse_day(text, new_year, UTC) == date(2027, 12, 28)
    assert parse_day(f"{text.rstrip('.')} 2025".replace(".12 ", ".12."), new_year, UTC).year == 2025
