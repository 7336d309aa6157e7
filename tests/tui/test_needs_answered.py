"""Every kind of need names something that a key of the dashboard does, and doing it clears it."""

import ast
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

import pytest

from curedash.domain.needs import alert_rules, place_needs
from curedash.domain.needs.lot_needs import Need
from curedash.domain.records import Reading
from curedash.domain.times import moment
from curedash.services.curing.freeze import Freezing, freeze
from curedash.services.needs.check import awake_needs
from curedash.store import lots, places, weigh_ins
from curedash.store.open import open_db
from curedash.store.work import By, Work, change
from curedash.tui.chassis.commands import COMMANDS, by_key, key_of, of_page
from curedash.tui.chassis.need_keys import ANSWERS, ASKED, ways_of
from curedash.tui.screens.palette import matching
from tests.tui.conftest import NOW, add_batch, add_drying, add_lot, days_ago

WAYS = {cause: answer.ways for cause, answer in ANSWERS.items()}
DOMAIN = Path(alert_rules.__file__).parent.parent
OUTSIDE = {"clock-implausible"}  # the clock of the machine is set outside the program
BY_TIME = {  # a mean of hours falls with the hours, whatever was done
    "place-warm",
    "place-cold",
    "place-too-humid",
    "place-too-dry",
    "place-sensors-apart",
}
Build = Callable[[Work, int, int], int | None]  # work, batch, place → lot


SOURCES = ("needs/lot_needs", "needs/step_needs", "curing/ferment", "needs/place_needs")
NAMED_ASIDE = {"equalising-over", "rest-over"}  # picked from a table of words by the check


def causes_in_the_source() -> set[str]:
    """The cause of each ``Need(level, cause, …)`` and ``view.need(level, cause, …)``."""
    found = {f"place-{alarm}" for alarm in place_needs.WORDS} | NAMED_ASIDE
    for name in SOURCES:
        tree = ast.parse((DOMAIN / f"{name}.py").read_text(encoding="utf-8"))
        named = {
            target.id: line.value
            for line in tree.body
            if isinstance(line, ast.Assign)
            for target in line.targets
            if isinstance(target, ast.Name)
        }
        for node in ast.walk(tree):
            if not isinstance(node, ast.Call) or len(node.args) < 2:
                continue
            called = getattr(node.func, "attr", getattr(node.func, "id", ""))
            cause = named.get(getattr(node.args[1], "id", ""), node.args[1])
            if called in ("need", "Need") and isinstance(cause, ast.Constant):
                found.add(str(cause.value))
    return found


def test_every_cause_has_a_way_and_every_way_is_a_key_of_its_page():
    assert causes_in_the_source() == {*WAYS, *OUTSIDE}
    commands = {command.id: command for command in COMMANDS}
    for cause, ways in WAYS.items():
        for way in ways:
            assert commands[way].keys, f"{cause}: {way} has no key"
            assert commands[way] in by_key(commands[way].page).values()


@pytest.mark.parametrize("words", ["turn", "turned", "record a ph", "ph"])
@pytest.mark.parametrize("page", ["rack", "lot"])
def test_the_list_of_commands_finds_what_a_need_asks_for(words, page):
    names = {"turn": "turned", "turned": "turned"}.get(words, "reading")
    assert f"{page}.{names}" in [command.id for command in matching(words, page)]
    assert any(command.id == f"{page}.{names}" for command in of_page(page))


# ── one household a need ──────────────────────────────────────────────────────────────────


def seen(kind: str, text: str, days: float = 1) -> Build:
    def build(work: Work, batch: int, place: int) -> int:
        lot_id = add_drying(work, batch, "C1", "end", last=2, loss_pct=15, place_id=place)
        lots.add_event(work, at=days_ago(days), kind=kind, text=text, lot_id=lot_id)
        return lot_id

    return build


def of_stage(stage: str, days: float, turned: float | None = None, **more) -> Build:
    def build(work: Work, batch: int, place: int) -> int:
        lot_id = add_lot(
            work, batch, "C1", "end", stage, stage_at=days_ago(days), place_id=place, **more
        )
        if turned is not None:
            event = lots.last_event(work.conn, lot_id, "turn")
            work.update("event", event.id, at=days_ago(turned))
        return lot_id

    return build


def drying(**more) -> Build:
    return lambda work, batch, place: add_drying(
        work, batch, "C1", "end", place_id=place, **{"last": 2, **more}
    )


def curve(*points: tuple[float, float], **more) -> Build:
    """Hung so many days ago, with these weights [g] so many days ago."""

    def build(work: Work, batch: int, place: int) -> int:
        hung, hang_g = points[0]
        lot_id = add_drying(
            work,
            batch,
            "C1",
            "end",
            hung=hung,
            hang_g=hang_g,
            loss_pct=0,
            points=1,
            last=0,
            place_id=place,
            tare_g=0.0,
            **more,
        )
        for days, net_g in points[1:]:
            weigh_ins.add(
                work,
                weigh_ins.NewWeighIn(
                    lot_id=lot_id,
                    at=days_ago(days),
                    stage="drying",
                    kind="stage",
                    curve=True,
                    gross_g=net_g,
                    tare_g=0.0,
                    base_factor=1.0,
                ),
            )
        return lot_id

    return build


def softened(work: Work, batch: int, place: int) -> int:
    lot_id = add_drying(work, batch, "C1", "end", loss_pct=33, last=9, place_id=place)
    lots.add_stage(work, lot_id, "equalising", days_ago(9), place, None)
    work.update("lot", lot_id, stage="equalising", stage_at=days_ago(9), stage_until=days_ago(0.1))
    return lot_id


def half_ticked(work: Work, batch: int, place: int) -> int:
    lot_id = add_lot(work, batch, "C1", "end", "raw", stage_at=days_ago(3), place_id=place)
    lots.add_dose_line(work, lot_id, 0, "salt", "salt", 27, 27, 27, days_ago(2))
    lots.add_dose_line(work, lot_id, 1, "sugar", "extra", 3.7, 3.7, None, None)
    return lot_id


def all_ticked(work: Work, batch: int, place: int) -> int:
    lot_id = add_lot(work, batch, "C1", "end", "raw", stage_at=days_ago(3), place_id=place)
    lots.add_dose_line(work, lot_id, 0, "salt", "salt", 27, 27, 27, days_ago(2))
    return lot_id


def mixed(work: Work, batch: int, place: int) -> int:
    work.update("batch", batch, method="ground", salted_at=days_ago(2))
    return of_stage("raw", 2, ferments=True)(work, batch, place)


def fermenting(hours: float, temp_c: float | None) -> Build:
    def build(work: Work, batch: int, place: int) -> int:
        since = NOW - timedelta(hours=hours)
        lot_id = add_lot(
            work,
            batch,
            "C1",
            "string",
            "ferment",
            stage_at=days_ago(hours / 24),
            ferments=True,
            hang_g=900.0,
            hang_at=days_ago(hours / 24),
            place_id=place,
        )
        if temp_c is not None:
            hourly = [since + timedelta(hours=n) for n in range(int(hours) + 1)]
            read = [Reading(int(at.timestamp()), temp_c, 90.0) for at in hourly]
            places.insert_readings(work.conn, place, read)
        return lot_id

    return build


def soured(hours: float) -> Build:
    def build(work: Work, batch: int, place: int) -> int:
        lot_id = fermenting(hours, 30.0)(work, batch, place)
        said = {"text": "pH 5.2", "data": {"ph": 5.2}}
        lots.add_event(work, at=days_ago(1 / 24), kind="ph", lot_id=lot_id, **said)
        return lot_id

    return build


def read_by_hand(*points: tuple[float, float]) -> Build:
    """A fridge with a lot in cure, read so many hours ago at so many degrees."""

    def build(work: Work, batch: int, place: int) -> int:
        work.update("place", place, watch="hand-log")
        read = [
            Reading(int((NOW - timedelta(hours=ago)).timestamp()), temp_c, None)
            for ago, temp_c in points
        ]
        places.insert_readings(work.conn, place, read)
        add_lot(work, batch, "C1", "end", "in-cure", place_id=place)
        return None

    return build


def failed(work: Work, batch: int, place: int) -> None:
    lot_id = add_lot(work, batch, "C1", "end", "in-cure", place_id=place)
    until = (NOW - timedelta(hours=2)).timestamp()
    told = {"from": until - 9 * 3600, "to": until, "highest_c": 14.0, "limit_c": None, "hours": 9.0}
    for of_lot in (None, lot_id):
        lots.add_event(
            work,
            at=days_ago(11 / 24),
            kind="outage",
            text="warm",
            place_id=place,
            lot_id=of_lot,
            data=told,
        )


PAST = [(20, 1000.0), (12, 820.0), (2, 590.0)]
SLOW = [(31, 1000.0), (29, 940.0), (27, 890.0), (22, 805.0), (15, 790.0), (8, 782.0), (2, 774.0)]


def labelled(work: Work, batch: int, place: int) -> int:
    source = work.insert("source", batch_id=batch, name="roast", use_by=days_ago(2)[:10])
    return of_stage("raw", 1, source_id=source)(work, batch, place)


#: cause → what makes it, the keys after that of its way, which of its ways
def in_brine(work: Work, batch: int, place: int) -> int:
    work.update("batch", batch, method="immersion")
    return of_stage("in-cure", 21)(work, batch, place)


def in_the_warm(work: Work, batch: int, place: int) -> int:
    work.update("place", place, temp_lo_c=20.0, temp_hi_c=24.0)
    return add_drying(work, batch, "C1", "end", last=2, loss_pct=15, place_id=place)


CASES: dict[str, tuple[Build, str, int]] = {
    "decision-asked": (seen("alarm", "black, slimy"), "cut away, washed\r", 0),
    "dose-not-ticked": (half_ticked, " ", 0),
    "dose-outside": (of_stage("in-cure", 5, dose_verdict="refused"), "thrown out\r", 1),
    "question-open": (
        of_stage("raw", 1, asked="thickness\tThickness not given: how thick is it?"),
        "80 mm\r",
        0,
    ),
    "use-by": (labelled, "1its day is past\r", 0),
    "not-stuffed": (mixed, "\r2060\r45\rbeside the oven\r", 0),
    "cure-not-begun": (all_ticked, "\r", 0),
    "cure-ready": (of_stage("in-cure", 21), "\r1500\r28\r", 0),
    "cure-decide": (of_stage("in-cure", 60), "\r1500\r28\r", 0),
    "salt-box-overdue": (of_stage("in-cure", 21, salt_box=True), "\r1500\r28\r", 0),
    "pick-up-overdue": (in_brine, "\r1500\r28\r", 0),
    "rest-over": (of_stage("salt-rest", 21, stage_until=days_ago(1)), "\r1500\r28\r", 0),
    "equalising-over": (softened, "1312", 0),
    "freezing-over": (of_stage("raw", 40), "\rnow\r\r", 0),
    "freezing-not-begun": (of_stage("raw", 40), "\r\r\r3\r", 0),
    "turn-due": (of_stage("in-cure", 6, turned=5), "", 0),
    "ph-due": (fermenting(50, 14.0), "5.2\r", 0),
    "ferment-over": (soured(30), "\r900\r28\r", 0),
    "ph-late": (soured(90), "firm, smells sour: goes on\r", 0),
    "degree-hours-over": (fermenting(60, 30.0), "5.2\r", 0),
    "degree-hours-unknown": (fermenting(20, None), "5.2\r", 0),
    "weigh-in-due": (drying(last=9, loss_pct=15), "1310\r", 0),
    "target-reached": (drying(loss_pct=32), "1211", 0),
    "target-too-soon": (drying(loss_pct=32, min_age_days=200), "1211", 0),
    "past-target": (curve(*PAST), "1211", 0),
    "too-fast": (curve((7, 1000.0), (4, 850.0), (0, 720.0)), "a humid cloth over it\r", 0),
    "rim-suspected": (curve(*SLOW), "2111", 0),
    "levelling": (curve((20, 1000.0), (9, 800.0), (1, 799.5)), "1211", 0),
    "mould-recheck": (seen("mould", "white, powdery, spots; left", 3), "1111", 0),
    "sibling-opened": (seen("sibling", "C2 opened at 29 %: raw middle", 0.1), "1311", 0),
    "place-failed": (failed, "still cold, goes on\r", 0),
    "place-silent": (read_by_hand((80, 3.0), (70, 3.0)), "3 80\r", 0),
    "place-too-warm": (read_by_hand((5, 12.0), (1, 13.0)), "3 80\r", 0),
    "place-read-out": (read_by_hand((1, 13.0)), "3 80\r", 0),
    "place-dries-warm": (in_the_warm, "10-14C\r", 1),
}


def test_no_cause_is_left_out_of_the_table():
    assert set(WAYS) == {*CASES, *BY_TIME}


def household_with(path: Path, cause: str) -> int | None:
    conn = open_db(str(path), create=True)
    by = By(days_ago(1), "anna", "shell", "before")
    with change(conn, by, "build") as work:
        place = places.add(
            work,
            name="Fridge 2",
            created_at=days_ago(90),
            temp_lo_c=2.0,
            temp_hi_c=5.0,
            watch="not-watched",
        )
        batch = add_batch(work, "C", "Collar", "coppa", 50)
        lot_id = CASES[cause][0](work, batch, place)
    if cause.startswith("freezing-"):
        since, chilled_c = moment(days_ago(35)), 3.0 if cause == "freezing-over" else None
        freeze(conn, by, lot_id, Freezing(since, None, -18.0, 80.0, chilled_c))
    conn.close()
    return lot_id


def stands(path: Path) -> set[str]:
    conn = open_db(str(path))
    found = {need.cause for need in awake_needs(conn, NOW)}
    conn.close()
    return found


def way_at(path: Path, cause: str, which: int) -> str:
    """The command that answers the need of this cause as it stands in the file."""
    conn = open_db(str(path))
    need = next(need for need in awake_needs(conn, NOW) if need.cause == cause)
    conn.close()
    return ways_of(need)[which].id


def test_what_a_need_asks_for_does_not_hang_on_its_words():
    for asks, ways in ASKED.items():
        for cause in ("levelling", "use-by"):
            need = Need("today", cause, "in other words", "do what is due", asks=asks)
            assert tuple(way.id for way in ways_of(need)) == ways


async def test_a_piece_that_grew_heavier_is_weighed_again_with_the_key_it_names(
    tmp_path, sit, monkeypatch
):
    path = tmp_path / "one.db"
    heavier = (curve((20, 1000.0), (9, 800.0), (1, 860.0)), "", 0)
    monkeypatch.setitem(CASES, "levelling", heavier)
    household_with(path, "levelling")
    assert "levelling" in stands(path)
    async with sit(path) as seat:
        await seat.press("enter")
        text = " ".join(seat.text().split())
        assert "60 g heavier than 8 d ago" in text
        assert f"→ {key_of('lot.weigh')} " in text
        await seat.press("w")
        await seat.type("700\rk")
        assert "levelling" not in stands(path), seat.text()


@pytest.mark.parametrize("cause", CASES)
async def test_the_key_of_a_need_clears_it(cause, tmp_path, sit):
    path = tmp_path / "one.db"
    household_with(path, cause)
    assert cause in stands(path)
    _, typed, which = CASES[cause]
    way = way_at(path, cause, which)
    page, _, _ = way.partition(".")
    async with sit(path) as seat:
        await seat.press("p" if page == "places" else "enter")
        if page == "lot" and which == 0:
            assert f"→ {key_of(way)} " in " ".join(seat.text().split())
        await seat.press(next(command for command in COMMANDS if command.id == way).keys[0])
        if typed:
            await seat.type(typed)
        assert cause not in stands(path), seat.text()


# ── Enter on the page of needs ────────────────────────────────────────────────────────────


def read_for_a_day(temp_c: float, rh_pct: float) -> Build:
    """A chamber with a lot that dries, read every half hour of two days."""

    def build(work: Work, batch: int, place: int) -> int:
        work.update("place", place, temp_lo_c=10.0, temp_hi_c=14.0, rh_lo_pct=70.0, rh_hi_pct=80.0)
        hours = [NOW - timedelta(hours=n / 2) for n in range(96)]
        read = [Reading(int(at.timestamp()), temp_c, rh_pct) for at in reversed(hours)]
        places.insert_readings(work.conn, place, read)
        return add_drying(work, batch, "C1", "end", last=2, loss_pct=15, place_id=place)

    return build


def two_sensors(work: Work, batch: int, place: int) -> int:
    for name, temp_c in (("top", 12.0), ("door", 15.5)):
        sensor = work.insert("sensor", place_id=place, name=name)
        hours = [NOW - timedelta(hours=n / 2) for n in range(96)]
        read = [
            Reading(int(at.timestamp()), temp_c, 75.0, sensor_id=sensor) for at in reversed(hours)
        ]
        places.insert_readings(work.conn, place, read)
    return add_drying(work, batch, "C1", "end", last=2, loss_pct=15, place_id=place)


IN_TIME: dict[str, Build] = {
    "place-warm": read_for_a_day(15.0, 75.0),
    "place-cold": read_for_a_day(7.0, 75.0),
    "place-too-humid": read_for_a_day(12.0, 93.0),
    "place-too-dry": read_for_a_day(12.0, 55.0),
    "place-sensors-apart": two_sensors,
}
#: what the foot asks, where what is asked does not clear the need by itself
ASKS = {
    "place-warm": "Fridge 2 now",
    "place-cold": "Fridge 2 now",
    "place-too-humid": "Fridge 2 now",
    "place-too-dry": "Fridge 2 now",
    "place-sensors-apart": "Fridge 2: which sensor",
}
#: what is typed there, where Enter asks for more than the key of its first way
HERE = {"place-dries-warm": "Cellar 10-14C\r"}
LEADS_TO = {"dose-not-ticked": "dose_sheet"}


async def stand_on(seat, cause: str) -> None:
    await seat.press("a")
    for _ in range(30):
        if seat.app.screen.list.cursor_key[0] == cause:
            return
        await seat.press("down")
    raise AssertionError(seat.text())


def test_enter_is_tried_on_every_cause():
    assert set(WAYS) == {*CASES, *IN_TIME}
    assert set(IN_TIME) == BY_TIME


@pytest.mark.parametrize("cause", [*CASES, *IN_TIME])
async def test_enter_on_a_need_does_what_clears_it(cause, tmp_path, sit, monkeypatch):
    path = tmp_path / "one.db"
    if cause in IN_TIME:
        monkeypatch.setitem(CASES, cause, (IN_TIME[cause], "", 0))
    household_with(path, cause)
    assert cause in stands(path)
    typed = HERE.get(cause, CASES[cause][1])
    async with sit(path) as seat:
        await stand_on(seat, cause)
        assert "(Enter" not in seat.text()
        said = " ".join(seat.lines()[-1].split())
        assert "Enter " in said
        assert "do it" not in said
        await seat.press("enter")
        page = seat.app.screen
        assert LEADS_TO.get(cause, "needs") == page.NAME
        if cause in ASKS:
            assert ASKS[cause] in seat.text()
            return
        assert page.NAME != "needs" or page.talking is not None or cause not in stands(path)
        if typed:
            await seat.type(typed)
        assert cause not in stands(path), seat.text()


async def test_meat_to_be_salted_in_time_opens_its_sheet_and_past_it_is_discarded(tmp_path, sit):
    path = tmp_path / "one.db"
    household_with(path, "use-by")
    async with sit(path) as seat:
        await stand_on(seat, "use-by")
        assert "do not salt it" in seat.text()
        assert "Enter discard" in seat.lines()[-1]
    conn = open_db(str(path))
    with change(conn, By(days_ago(0), "anna", "shell", "before"), "build") as work:
        work.update("source", 1, use_by=days_ago(0)[:10])
        lots.add_dose_line(work, 1, 0, "salt", "salt", 27, 27, None, None)
    conn.close()
    async with sit(path) as seat:
        await stand_on(seat, "use-by")
        assert "Enter salt it now" in seat.lines()[-1]
        await seat.press("enter")
        assert seat.app.screen.NAME == "dose_sheet"


async def test_a_need_done_here_leaves_its_page_in_sight_and_is_taken_back_there(tmp_path, sit):
    path = tmp_path / "one.db"
    household_with(path, "weigh-in-due")
    async with sit(path) as seat:
        await stand_on(seat, "weigh-in-due")
        await seat.type("1310\r")
        assert seat.app.screen.NAME == "needs"
        assert "weigh-in-due" not in stands(path)
        await seat.press("u")
        assert "weigh-in-due" in stands(path), seat.text()
        await seat.press("right")
        assert seat.app.screen.NAME == "lot"


async def test_a_reading_typed_from_a_need_is_taken_back_there(tmp_path, sit):
    path = tmp_path / "one.db"
    household_with(path, "place-read-out")
    async with sit(path) as seat:
        await stand_on(seat, "place-read-out")
        await seat.press("enter")
        await seat.type("3 80\r")
        assert "u undoes it" in " ".join(seat.text().split())
        assert "place-read-out" not in stands(path)
        await seat.press("u")
        assert "place-read-out" in stands(path), seat.text()


async def test_the_clock_is_set_outside_and_that_is_said(household, sit):
    path = household()
    conn = open_db(str(path))
    with change(conn, By(days_ago(-3), "anna", "shell", "before"), "build") as work:
        lots.add_event(work, at=days_ago(-3), kind="note", text="later", lot_id=1)
    conn.close()
    async with sit(path) as seat:
        await seat.press("a")
        assert seat.app.screen.list.cursor_key[0] == "clock-implausible", seat.text()
        assert "Enter" not in seat.lines()[-1]
        await seat.press("enter")
        assert "This is done outside curedash: set the clock" in seat.text()
