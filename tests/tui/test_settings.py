"""The Settings screen: what this person sees, what the household settled."""

from pathlib import Path

import pytest

from curedash.present.display_units import show_in
from curedash.services.household.preferences import load, view_path
from curedash.services.household.styles import copy_style
from curedash.store.open import open_db
from curedash.store.work import By
from curedash.tui.chassis.commands import use_keys
from curedash.tui.chassis.theme import LIGHT


@pytest.fixture(autouse=True)
def usual_view():
    show_in()
    yield
    show_in()
    use_keys({})


async def go_to(seat, kind: str, which: str = "") -> None:
    seat.app.screen.list.move_to((kind, which))
    await seat.settle()


async def test_units_change_at_once_on_every_page(household, sit):
    async with sit(household(), size=(160, 45)) as seat:
        assert "to go    125 g " in seat.text()
        await seat.press("S", "enter", "2", "enter", "q")
        assert "to go    4.4 oz " in seat.text(), "125 / 28.35"
        assert 'weights = "lb"' in Path(view_path()).read_text(encoding="utf-8")
        await seat.press("w")
        assert "on the scale, e.g. 2 4.8 (lb oz)" in seat.text()
        assert "pull at 2 lb" in seat.text()
        await seat.type("2 lb 9.6 oz")
        # 2 lb 9.6 oz less the 28 g (1.0 oz) on it
        assert "2 lb 8.6 oz net (2 lb 9.6 oz − 1 oz tare)" in seat.text()
        await seat.press("escape")


async def test_the_look_changes_at_once(household, sit):
    async with sit(household()) as seat:
        await seat.press("S")
        await go_to(seat, "theme")
        await seat.press("enter", "2", "enter")
        assert seat.app.theme == LIGHT
        assert load().theme == LIGHT


async def test_where_colours_are_unwelcome_the_choice_is_kept_for_elsewhere(
    household, sit, monkeypatch
):
    monkeypatch.setenv("NO_COLOR", "1")
    async with sit(household()) as seat:
        await seat.press("S")
        await go_to(seat, "theme")
        await seat.press("enter", "2", "enter")
        assert seat.app.theme == "terminal"
        assert "NO_COLOR" in seat.text()
        assert load().theme == LIGHT


async def test_a_scale_is_added_changed_and_forgotten(household, sit):
    scales = "SELECT name, division_g, max_g FROM scale"
    async with sit(household()) as seat:
        await seat.press("S")
        await go_to(seat, "new-scale")
        await seat.press("n")
        await seat.type("fine 0.1 g 500 g\r")
        assert seat.ask(scales) == [("fine", 0.1, 500.0)]
        await go_to(seat, "scale", "fine")
        await seat.press("enter")
        assert "fine 0.1 g 500 g" in seat.text()
        await seat.press("backspace")
        await seat.type("g up\r")
        assert seat.ask(scales) == [("fine", 0.1, 500.0)]
        await seat.press("X")
        assert seat.ask(scales) == []
        await seat.press("q", "u")
        assert seat.ask(scales) == [("fine", 0.1, 500.0)]


async def test_a_scale_without_a_division_is_refused_with_an_example(household, sit):
    async with sit(household()) as seat:
        await seat.press("S")
        await go_to(seat, "new-scale")
        await seat.press("enter")
        await seat.type("kitchen\r")
        assert "e.g. kitchen 1 g 5 kg" in seat.text()
        await seat.press("escape")


async def test_bands_and_who_measures(household, sit):
    async with sit(household()) as seat:
        await seat.press("S")
        await go_to(seat, "place", "Fridge 2")
        await seat.press("enter")
        await seat.type("1..4C\r")
        await seat.press("G", "1", "enter")
        kept = seat.ask("SELECT temp_lo_c, temp_hi_c, watch FROM place WHERE name = 'Fridge 2'")
        assert kept == [(1.0, 4.0, "sensor")]


async def test_an_alert_is_changed_and_put_back(household, sit):
    async with sit(household()) as seat:
        await seat.press("S")
        await go_to(seat, "alert", "sensor-silent")
        await seat.press("enter")
        await seat.type("6\r")
        assert "6 h *" in seat.text()
        await seat.press("X")
        assert "3 h" in seat.text()
        assert seat.ask("SELECT * FROM alert_rule") == []


async def test_a_threshold_in_fahrenheit_is_kept_in_celsius(household, sit):
    async with sit(household()) as seat:
        await seat.press("S", "down", "enter", "2", "enter")
        await go_to(seat, "limits", "in-cure")
        assert "41 °F" in seat.text()
        await seat.press("enter")
        await seat.type("39.2\r")
        # 39.2 °F = 4 °C by the definition of the scale
        [(body,)] = seat.ask("SELECT body FROM alert_rule")
        assert '"value":4' in body.replace(" ", "")


async def test_zone_rule_set_and_copies(household, sit):
    async with sit(household()) as seat:
        await seat.press("S")
        await go_to(seat, "zone")
        await seat.press("enter")
        await seat.type("Nowhere/At all\r")
        assert "an example is Europe/Vienna" in seat.text()
        await seat.press("enter")
        await seat.type("Europe/Vienna\r")
        await go_to(seat, "copies")
        await seat.press("enter")
        await seat.type("30\r")
        await go_to(seat, "keep-days")
        assert "no rule: you type each keep-until day" in seat.text()
        await seat.press("enter")
        await seat.type("90 d\r")
        assert "90 days by your rule" in seat.text()
        found = dict(seat.ask("SELECT name, value FROM setting"))
        assert found["zone"] == "Europe/Vienna"
        assert found["backups-kept"] == "30"
        assert found["keep-days"] == "90"
        assert str(seat.app.house.zone) == "Europe/Vienna"


async def test_an_own_key_works_at_once_and_at_the_foot(household, sit):
    async with sit(household()) as seat:
        await seat.press("S")
        await go_to(seat, "own-keys")
        await seat.press("enter")
        await seat.type("rack.weigh G\r")
        await seat.press("q")
        assert "G weigh" in seat.lines()[-1]
        await seat.press("G")
        assert "C1 thick end ›" in seat.text()
        await seat.press("escape", "question_mark")
        assert any(line.startswith("  G ") for line in seat.lines())


async def test_a_taken_key_is_refused_with_what_has_it(household, sit):
    async with sit(household()) as seat:
        await seat.press("S")
        await go_to(seat, "own-keys")
        await seat.press("enter")
        await seat.type("rack.weigh n\r")
        assert "n is rack.new already" in seat.text()
        await seat.press("escape")
        assert load().keys is None


async def test_a_scale_in_ounces_is_shown_and_kept_as_it_was_typed(household, sit):
    async with sit(household()) as seat:
        await seat.press("S")
        await go_to(seat, "new-scale")
        await seat.press("enter")
        await seat.type("bench 0.1 oz 11 lb\r")
        assert "steps of 0.1 oz, up to 11 lb" in seat.text()
        [before] = seat.ask("SELECT division_g, max_g FROM scale WHERE name = 'bench'")
        await go_to(seat, "scale", "bench")
        await seat.press("enter", "enter")
        assert "Type it again" not in seat.text()
        [after] = seat.ask("SELECT division_g, max_g FROM scale WHERE name = 'bench'")
        assert after == pytest.approx(before)


async def test_a_style_nobody_used_is_removed_and_one_in_use_stays(household, sit):
    path = household()
    conn = open_db(str(path))
    by = By("2026-11-25T09:00:00Z", "anna", "shell", "before")
    used = conn.execute("SELECT style FROM batch LIMIT 1").fetchone()[0]
    copy_style(conn, by, used, "zzz")
    copy_style(conn, by, used, "ours")
    conn.execute("UPDATE batch SET style = 'ours'")
    conn.commit()
    conn.close()
    async with sit(path) as seat:
        await seat.press("S")
        await go_to(seat, "styles", "zzz")
        await seat.press("X")
        assert seat.ask("SELECT id FROM style ORDER BY id") == [("ours",)]
        await go_to(seat, "styles", "ours")
        await seat.press("X")
        assert "cannot be removed: batch" in seat.text()
        assert seat.ask("SELECT id FROM style ORDER BY id") == [("ours",)]


async def test_title_and_foot_follow_the_marked_line(household, sit):
    """A key that does nothing on a line is not at its foot."""
    async with sit(household()) as seat:
        await seat.press("S")
        assert "This person" in seat.lines()[0]
        assert "lines below" in seat.lines()[0]
        assert not {"r", "n", "w"} & {key for key, _words in seat.app.screen.hints()}
        await go_to(seat, "alert", "sensors-apart-temp")
        await seat.press("down")
        assert "Alerts" in seat.lines()[0]
        assert ("X", "usual") in seat.app.screen.hints()
        assert "X usual" in seat.lines()[-1]
        assert "difference in humidity of two sensors of a place (today)" in seat.text()


async def test_a_question_shows_every_answer_that_has_room(household, sit):
    async with sit(household()) as seat:
        await seat.press("S", "down", "enter")
        assert "temperatures in › [°C]  °F" in seat.text()
        await seat.press("right")
        assert "temperatures in › °C  [°F]" in seat.text()
        await seat.press("escape")


async def test_what_an_alert_is_about_is_whole_where_there_is_room(household, sit):
    async with sit(household(), size=(80, 24)) as seat:
        await seat.press("S", "end")
        seen = seat.text()
        await seat.press("pageup")
        assert "…" not in seen + seat.text()
        assert "difference in temperature of two sensors of a place (today)" in seen + seat.text()
