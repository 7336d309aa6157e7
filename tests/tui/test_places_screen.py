"""Places: what each reads, a reading and a failure typed, a week drawn."""

import re
from datetime import UTC, datetime, timedelta

import aiomqtt
import pytest

from curedash.domain.errors import Refused
from curedash.feeds.plan import Mapped, Plan, save
from curedash.present.places.air_curve import PANELS, curve_lines, next_panel
from curedash.services.needs.check import current_needs
from curedash.services.places import places, sensors
from curedash.services.places.air_view import curves
from curedash.services.places.log_air import AirLog, Sample
from curedash.store.open import open_db
from curedash.store.work import By
from curedash.tui.prompts.typed_air import outage_pieces, typed_band, typed_place, typed_reading
from tests.airy import Cellar, cycles, steady
from tests.demo import copy_demo
from tests.feeds.conftest import broker  # noqa: F401

NOW = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)


def needs(path):
    """What needs somebody, read from the file."""
    conn = open_db(str(path))
    found = current_needs(conn, NOW)
    conn.close()
    return found


def air(path, *, name="Chamber", hours=170, source=steady(12, 76), sensor="top") -> None:
    """A week of readings up to now."""
    conn = open_db(str(path))
    by = By("2026-11-25T09:00:00Z", "anna", "broker", "feed")
    place = places.require_place(conn, name)
    made = sensors.ensure_sensor(conn, by, place, sensor)
    times = [NOW - timedelta(minutes=10 * n + 4) for n in range(hours * 6)]
    AirLog(conn).store(
        [Sample(place.id, made.id, int(at.timestamp()), *source(at)) for at in reversed(times)], NOW
    )
    conn.close()


@pytest.mark.parametrize("size", [(60, 20), (80, 24), (120, 36)])
async def test_each_place_shows_its_air_at_every_width(household, sit, size):
    path = household()
    air(path, source=cycles)
    async with sit(path, size=size) as seat:
        await seat.press("p")
        assert "nobody measures here" in seat.text()
        await seat.press("down")
        text = seat.text()
        assert seat.lines()[0].startswith("PLACES")
        assert "Fridge 2" in text
        assert "nobody measures here" in text
        assert "4 min" in text
        assert "day 10." in text
        assert "kg hanging" in text
        assert all(len(line) == size[0] for line in seat.lines())


async def test_a_reading_is_typed_and_the_place_read_by_hand_from_then_on(household, sit):
    path = household()
    async with sit(path) as seat:
        await seat.press("p", "g")
        await seat.type("3,5 78\r")
        assert seat.ask("SELECT temp_c, rh_pct, sensor_id FROM reading") == [(3.5, 78.0, 0)]
        assert "3.5 °C, 78 %" in seat.text()
        assert "read by hand" in seat.text()
        await seat.press("g")
        await seat.type("warm\r")
        assert seat.ask("SELECT count(*) FROM reading") == [(1,)]


async def test_a_reading_by_hand_is_named_taken_back_and_put_back(household, sit):
    path = household()
    async with sit(path) as seat:
        await seat.press("p", "g")
        await seat.type("3.5 78\r")
        assert "Fridge 2: 3.5 °C, 78 % recorded. u undoes it." in seat.text()
        await seat.press("u")
        assert seat.ask("SELECT count(*) FROM reading") == [(0,)]
        assert seat.ask("SELECT count(*) FROM heard") == [(0,)]
        assert seat.ask("SELECT watch FROM place WHERE name = 'Fridge 2'") == [("not-watched",)]
        assert "Undone: reading Fridge 2 3.5 °C, 78 %" in seat.text()
        await seat.press("y")
        assert seat.ask("SELECT temp_c, rh_pct FROM reading") == [(3.5, 78.0)]
        assert seat.ask("SELECT last_at IS NOT NULL FROM heard") == [(1,)]
        await seat.press("q", "H")
        assert "reading Fridge 2 3.5 °C, 78 %" in seat.text()


async def test_a_reading_over_another_of_the_same_second_gives_it_back(household, sit):
    path = household()
    async with sit(path) as seat:
        await seat.press("p", "g")
        await seat.type("3 70\r")
        await seat.press("g")
        await seat.type("13 70\r")
        asked = "13 °C in Fridge 2, band 2–5 °C: is that right, or was it Chamber?"
        assert asked in " ".join(seat.text().split())
        assert seat.ask("SELECT temp_c FROM reading") == [(3.0,)]
        await seat.press("k")
        assert seat.ask("SELECT temp_c FROM reading") == [(13.0,)]
        await seat.press("u")
        assert seat.ask("SELECT temp_c FROM reading") == [(3.0,)]


async def test_a_reading_of_another_time_fills_its_gap(household, sit):
    async with sit(household()) as seat:
        await seat.press("p", "g")
        await seat.type("3 70 yesterday 14:00\r")
        said = " ".join(seat.text().split())
        assert "Fridge 2: 3.0 °C, 70 % of 24 Nov 14:00 recorded." in said
        at = int(datetime(2026, 11, 24, 14, tzinfo=UTC).timestamp())
        assert seat.ask("SELECT at, temp_c FROM reading") == [(at, 3.0)]


async def test_a_reading_by_hand_is_judged_at_once(household, sit):
    """By the band the household set; by stage the limits of the settings (design values)."""
    async with sit(household()) as seat:
        await seat.press("p", "e")
        await seat.type("2..5C 72..82%\r")
        await seat.press("g")
        await seat.type("9 62\r")
        said = " ".join(seat.text().split())
        assert "Fridge 2: 9.0 °C, 62 % recorded. 9 °C is above 2–5 °C." in said
        assert "62 % is below 72–82 %." in said
        assert seat.ask("SELECT temp_c, rh_pct FROM reading") == [(9.0, 62.0)]


async def test_a_band_is_named_and_taken_back(household, sit):
    path = household()
    async with sit(path) as seat:
        await seat.press("p", "e")
        await seat.type("1..4C\r")
        assert "Fridge 2: band 1–4 °C recorded" in seat.text()
        await seat.press("u")
        assert seat.ask("SELECT temp_hi_c FROM place WHERE name = 'Fridge 2'") == [(5.0,)]
        await seat.press("u")
        assert "is older" in seat.text()
        said = " ".join(" ".join(seat.lines()[-4:-1]).split())
        assert "history (H on the Rack) has every change; each can be undone there." in said


async def test_a_failure_is_typed_and_written_into_its_lots(household, sit):
    path = household()
    async with sit(path) as seat:
        await seat.press("p", "O")
        await seat.type("24 Nov 22:00–07:00 14\r")
        said = " ".join(seat.text().split())
        assert "most at risk first: D1, D2, D3" in said
        assert "Left out: E1, drying then, within its limit of 16.0 °C" in said
        found = seat.ask("SELECT count(*) FROM event WHERE kind = 'outage' AND lot_id IS NOT NULL")
        assert found[0][0] >= 3
        await seat.press("u")
        assert seat.ask(
            "SELECT count(*) FROM event WHERE kind = 'outage' AND voided_at IS NULL"
        ) == [(0,)]


async def test_what_a_failure_lacks_is_asked_for(household, sit):
    path = household()
    async with sit(path) as seat:
        await seat.press("p", "O")
        await seat.type("yesterday 22:00\r")
        assert "until" in seat.text()
        assert seat.ask("SELECT count(*) FROM event WHERE kind = 'outage'") == [(0,)]
        await seat.type("07:00\r")
        assert "how warm did it get" in seat.text()
        await seat.type("14\r")
        text = seat.ask("SELECT text FROM event WHERE kind = 'outage' AND lot_id IS NULL")[0][0]
        assert text.startswith("Fridge 2 warm 24 Nov 22:00 to 25 Nov 07:00, highest 14.0 °C, 9.0 h")


async def test_a_failure_stands_as_a_need_until_somebody_decides(household, sit):
    path = household()
    async with sit(path) as seat:
        await seat.press("p", "O")
        await seat.type("24 Nov 22:00–07:00 14\r")
        (need,) = [n for n in needs(path) if n.cause == "place-failed"]
        assert (need.level, need.place) == ("act", "Fridge 2")
        assert "24 Nov 22:00 to 25 Nov 07:00, up to 14.0 °C" in need.message
        assert "D1, D2, D3" in need.action
        await seat.press("enter")
        assert "x: off or warm Tue 24 Nov 22:00 to 07:00, up to 14.0 °C" in seat.text()
        assert "x" in "".join(seat.lines()[1:-4])
        await seat.press("q", "J")
        await seat.type("still cold and firm\r")
        assert [n for n in needs(path) if n.cause == "place-failed"] == []
        kept = seat.ask("SELECT count(*) FROM event WHERE kind = 'decision' AND text LIKE 'still%'")
        assert kept[0][0] >= 3
        await seat.press("J")
        assert "waits for a decision" in seat.text()
        await seat.press("u")
        assert [n.cause for n in needs(path) if n.cause == "place-failed"] == ["place-failed"]


async def test_a_lot_that_bears_the_failure_is_named_with_the_reason(household, sit):
    path = household()
    async with sit(path) as seat:
        await seat.press("p", "down", "O")
        await seat.type("24 Nov 22:00–07:00 15\r")
        said = " ".join(seat.text().split())
        assert "no lot was affected" in said
        assert "C1, drying then, within its limit of 16.0 °C" in said


async def test_a_place_and_its_band_are_typed(household, sit):
    path = household()
    async with sit(path) as seat:
        await seat.press("p", "n")
        await seat.type("Attic [b] 8..14C 70..80%\r")
        kept = seat.ask("SELECT name, temp_lo_c, rh_hi_pct FROM place ORDER BY id DESC LIMIT 1")
        assert kept == [("Attic [b]", 8.0, 80.0)]
        assert "Attic [b]" in seat.text()
        await seat.press("down", "e")
        await seat.type("9..13C\r")
        assert seat.ask("SELECT temp_lo_c FROM place WHERE name = 'Chamber'") == [(9.0,)]


@pytest.mark.parametrize("size", [(60, 20), (80, 24), (120, 36)])
async def test_a_week_is_drawn_and_turned_over(household, sit, size):
    path = household()
    air(path, source=cycles)
    async with sit(path, size=size) as seat:
        await seat.press("p", "down", "enter")
        assert "temperature" in seat.lines()[0]
        assert "⠤" in seat.text() or "⠒" in seat.text() or "⡠" in seat.text()
        await seat.press("v")
        assert "relative humidity" in seat.lines()[0]
        await seat.press("v")
        assert "dew point" in seat.lines()[0]
        await seat.press("left", "left")
        assert "Nothing was read" in seat.text()
        await seat.press("right", "right", "G")
        assert "No second sensor" in seat.text()
        assert all(len(line) == size[0] for line in seat.lines())
        await seat.press("space")
        assert "25 Nov" in seat.lines()[0]
        await seat.press("q", "q")
        assert seat.lines()[0].startswith("RACK")


async def test_a_file_without_places_says_how_to_make_one(tmp_path, sit):
    async with sit(tmp_path / "empty.db") as seat:
        await seat.settle()
        await seat.press("q", "p")
        assert "n makes one" in seat.text()
        await seat.press("enter", "down", "O")
        assert "no place yet" in seat.text()


# ── what is typed ─────────────────────────────────────────────────────────────────────────


def test_what_is_typed_on_the_places_screen() -> None:
    assert typed_reading("38.3F 78%", NOW, UTC).temp_c == pytest.approx(3.5)
    assert typed_reading("78%", NOW, UTC).rh_pct == 78
    past = typed_reading("3.5 78 yesterday 14:00", NOW, UTC)
    at = int(datetime(2026, 11, 24, 14, tzinfo=UTC).timestamp())
    assert (past.at, past.temp_c, past.rh_pct) == (at, 3.5, 78)
    assert typed_reading("3.5 20 Nov", NOW, UTC).rh_pct is None
    assert typed_band("2..5C 70..80%") == ((2, 5), (70, 80))
    assert typed_place("Fridge 2 2..5C") == ("Fridge 2", (2, 5), None)
    assert typed_place("Fridge 2") == ("Fridge 2", None, None)


@pytest.mark.parametrize(
    ("text", "since", "until", "highest_c"),
    [
        ("yesterday 22:00 to today 07:30 11C", "24 22:00", "25 07:30", 11),
        ("yesterday 22:00 to 07:30 51.8F", "24 22:00", "25 07:30", 11),
        ("3 Nov 22:00–07:00 14", "03 22:00", "04 07:00", 14),
        ("3 Nov 22:00-07:00 14,5", "03 22:00", "04 07:00", 14.5),
        ("2026-11-20T22:00 to 2026-11-21T06:00 9 °C", "20 22:00", "21 06:00", 9),
        ("22:00 to 07:00 12", "24 22:00", "25 07:00", 12),
        ("08:00 until now 12", "25 08:00", "25 09:00", 12),
        ("today 07:00 to 08:00", "25 07:00", "25 08:00", None),
        ("3 Nov 22:00", "03 22:00", None, None),
        ("07:00", "25 07:00", None, None),
        ("3 Nov 22:00 14C", "03 22:00", None, 14),
        ("06:00 8:00 11", "25 06:00", "25 08:00", 11),
        ("yesterday 22:00 07:30", "24 22:00", "25 07:30", None),
    ],
)
def test_a_failure_is_read_as_far_as_it_was_typed(text, since, until, highest_c) -> None:
    found = outage_pieces(text, NOW, UTC)
    assert f"{found[0]:%d %H:%M}" == since
    assert (None if found[1] is None else f"{found[1]:%d %H:%M}") == until
    assert found[2] == (None if highest_c is None else pytest.approx(highest_c))


@pytest.mark.parametrize(
    "text",
    ["", "to", "x to y 11C", "\x1b[31m", "9" * 99, "today 08:00 to today 07:00 9", "1 99:99 to 2"],
)
def test_a_failure_that_cannot_be_read_is_refused(text: str) -> None:
    with pytest.raises(Refused):
        outage_pieces(text, NOW, UTC)


def test_every_panel_draws_any_air(conn) -> None:
    cellar = Cellar(conn, NOW - timedelta(days=8), temp_c=(10, 14), rh_pct=(70, 80))
    assert curve_lines([], "temp", cellar.place, UTC, 80, 20)[1].strip().startswith("Nothing")
    cellar.pass_time(
        24 * 7, lambda at: (12 + at.hour / 9, None if at.day % 2 else 71.0), look_every_h=24
    )
    (points,) = curves(conn, cellar.place, cellar.now).values()
    panel = "temp"
    for _ in PANELS:
        for width, height in ((60, 12), (80, 20), (120, 32)):
            lines = curve_lines(points, panel, cellar.place, UTC, width, height)
            assert len(lines) <= height
            assert max(map(len, lines)) <= width
            assert "\x1b" not in "".join(lines)
        panel = next_panel(panel)
    assert panel == "temp"


@pytest.mark.external("mosquitto")
async def test_a_broker_is_listened_to_while_the_dashboard_is_open(household, sit, broker):  # noqa: F811
    path = household()
    conn = open_db(str(path))
    by = By("2026-11-25T09:00:00Z", "anna", "shell", "before")
    save(conn, by, Plan("127.0.0.1", [Mapped("cellar/climate", "Chamber")], broker.port))
    conn.close()
    async with sit(path) as seat:
        await seat.press("p", "down")
        for _ in range(100):
            if seat.app.house.feed_said:
                break
            await seat.pilot.pause(0.05)
        assert seat.app.house.feed_said.startswith("Listening")
        async with aiomqtt.Client("127.0.0.1", broker.port) as client:
            await client.publish("cellar/climate", b'{"t": 12.3, "h": 74}', qos=1)
        for _ in range(100):
            if "12.3 °C, 74 %" in seat.text():
                break
            await seat.pilot.pause(0.05)
        assert "12.3 °C, 74 %" in seat.text()
        assert "Listening to 127.0.0.1" in seat.lines()[0]


async def test_a_place_without_a_name_keeps_the_line_open(household, sit):
    names = "SELECT count(*) FROM place"
    async with sit(household()) as seat:
        await seat.press("p", "n", "enter")
        assert "Type a name first" in seat.text()
        await seat.type("Pantry 2..5C\r")
        assert seat.ask(names) == [(3,)]
        await seat.press("n")
        await seat.type("2..5C\r")
        assert "Type a name first" in seat.text()
        assert seat.ask(names) == [(3,)]


async def test_a_long_span_says_that_its_days_are_still_summed_up(household, sit):
    """Readings are there, only the days of months are not: that is not "nothing was read"."""
    path = household()
    air(path)
    async with sit(path, size=(60, 20)) as seat:
        await seat.press("p", "down", "enter", "v", "space", "space")
        text = " ".join(seat.text().split())
        assert "No daily means yet; they are made while the program runs." in text
        assert "Nothing was read" not in text
        assert "relative humidity [%] · 25 Nov 2025–25 Nov 2026" in text


async def test_a_marked_place_says_why_and_how_old_its_reading_is(tmp_path, sit):
    path = tmp_path / "demo.db"
    copy_demo(path, NOW)
    async with sit(path, size=(60, 20)) as seat:
        await seat.press("p")
        lines = seat.lines()
        marked = next(at for at, line in enumerate(lines) if line.startswith("•"))
        assert "mean of 24 h is 84 % RH, over 80" in lines[marked + 1]
        row = next(line for line in lines if "Landing fridge" in line or "Landing f" in line)
        assert re.search(r" \d+ h ", row)
        assert " age " in lines[1]
        assert "% RH" in seat.text()


async def test_the_air_has_round_levels_and_its_signs_are_explained(tmp_path, sit):
    path = tmp_path / "demo.db"
    copy_demo(path, NOW)
    async with sit(path) as seat:
        await seat.press("p", "down", "enter")
        levels = {line[:6].partition("┤")[0].strip() for line in seat.lines() if "┤" in line[:6]}
        assert levels - {""} == {"9", "10", "11", "12", "13", "14"}, "9 and 14 are the band"
        assert "⠒ mean   ░ lowest to highest   ── band" in seat.text()


async def test_a_place_whose_lots_alone_need_somebody_says_that(household, sit):
    async with sit(household()) as seat:
        await seat.press("p")
        lines = seat.lines()
        marked = next(at for at, line in enumerate(lines) if line.startswith("•"))
        assert "to weigh" in lines[marked + 1]


async def test_a_place_taken_back_leaves_the_cursor_on_another_and_is_put_back(household, sit):
    async with sit(household()) as seat:
        await seat.press("p", "n")
        await seat.type("Attic 10..14C\r")
        await seat.press("down", "down", "u")
        assert "Undone: add place Attic. y redoes it." in seat.text()
        await seat.press("y")
        assert "Redone: add place Attic." in seat.text()
        assert seat.ask("SELECT name FROM place WHERE voided_at IS NULL ORDER BY id DESC")[0] == (
            "Attic",
        )
        await seat.press("down", "down", "u", "down", "g")
        assert "Chamber now" in seat.text()


async def test_before_there_is_a_place_only_making_one_is_offered(tmp_path, sit):
    async with sit(tmp_path / "new.db") as seat:
        await seat.settle()
        await seat.press("q", "p")
        assert seat.lines()[-1].split() == ["?", "keys", "q", "back", "n", "new"]
        await seat.press("n")
        await seat.type("Attic 10..14C\r")
        assert "g reading" in seat.lines()[-1]
        await seat.press("u")
        assert seat.lines()[-1].split() == ["?", "keys", "q", "back", "y", "redo", "n", "new"]
        await seat.press("y")
        assert "Attic" in seat.text()


@pytest.mark.parametrize("typed", [(), ("12.3 76",), ("12.3 76", "12.3 76"), ("49 3",)])
async def test_a_place_with_hardly_a_reading_opens_its_air(household, sit, typed):
    path = household()
    conn = open_db(str(path))
    place = places.require_place(conn, "Fridge 2")
    now_s = int(NOW.timestamp())
    AirLog(conn).store(
        [
            Sample(place.id, 0, now_s - 60 * (n + 1), *(float(word) for word in words.split()))
            for n, words in enumerate(typed)
        ],
        NOW,
    )
    conn.close()
    async with sit(path) as seat:
        await seat.press("p", "enter")
        for _span in range(3):
            for _panel in PANELS:
                assert seat.lines()[0].startswith("Fridge 2")
                await seat.press("v")
            await seat.press("space")
        assert seat.lines()[0].startswith("Fridge 2")


@pytest.mark.parametrize("size", [(80, 24), (120, 36), (160, 45)])
async def test_the_week_of_a_place_names_what_is_drawn(tmp_path, sit, size):
    """Temperature, with the meaning of its signs; humidity beside it where there is room."""
    path, both = tmp_path / "demo.db", size[0] > 80
    copy_demo(path, NOW)
    async with sit(path, size=size) as seat:
        await seat.press("p", "down")
        shown = seat.text()
        assert "temperature [°C], mean, lowest, highest" in shown
        assert "⠒ mean   ░ lowest to highest   ── band" in shown
        assert ("relative humidity [%], mean, lowest, highest" in shown) is both
        curves = [line for line in seat.lines() if line.count("┤") + line.count("│") == 1 + both]
        assert len(curves) > 5
