"""Whatever a key or a paste starts, and leaving a page: refused with a sentence, never the end."""

import pytest
from textual import events

from curedash.domain.errors import Refused
from curedash.services.household.undo import undo_last
from curedash.tui.app import Dashboard
from curedash.tui.chassis.state import DashboardState
from tests.tui.conftest import NOW, Seat
from tests.tui.test_new_batch import EYE, SALTED, fill

ENDED = "UPDATE lot SET stage = 'discarded' WHERE code = 'C1'"


async def open_ended_lot(seat):
    """The page of a lot that takes no more weigh-ins."""
    seat.app.screen.write(lambda conn, _by: conn.execute(ENDED), lambda _: None)
    await seat.settle()
    lot_id = seat.ask("SELECT id FROM lot WHERE code = 'C1'")[0][0]
    seat.app.screen.show("lot", lot_id=lot_id)
    await seat.settle()


async def test_a_digit_on_a_lot_that_has_ended_is_refused_with_a_sentence(household, sit):
    async with sit(household()) as seat:
        await open_ended_lot(seat)
        await seat.press("7")
        assert "C1 takes no more weigh-ins" in seat.text()
        await seat.press("q")
        assert seat.app.screen.NAME == "rack"


async def test_a_paste_on_a_lot_that_has_ended_is_refused_with_a_sentence(household, sit):
    async with sit(household()) as seat:
        await open_ended_lot(seat)
        seat.app.post_message(events.Paste("780"))
        await seat.settle()
        await seat.pilot.pause(0.1)
        assert "C1 takes no more weigh-ins" in seat.text()


@pytest.mark.parametrize("how", ["key", "paste"])
async def test_a_digit_on_the_dose_sheet_beside_an_ingredient(tmp_path, sit, how):
    async with sit(tmp_path / "new.db") as seat:
        await seat.press("n")
        await fill(seat, *EYE, *SALTED)
        await seat.press("f10")
        await seat.pilot.pause(0.1)
        assert seat.app.screen.NAME == "dose_sheet"
        seat.app.screen.list.move_to(("heads", 0))
        assert seat.app.screen.list.cursor_key[0] != "line"
        if how == "key":
            await seat.press("7")
        else:
            seat.app.post_message(events.Paste("780"))
            await seat.settle()
            await seat.pilot.pause(0.1)
        assert "Put the cursor on an ingredient first." in seat.text()
        await seat.press("q")
        assert seat.app.screen.NAME == "rack"


async def test_a_page_is_left_once_and_the_first_page_never(household, sit):
    async with sit(household()) as seat:
        await seat.press("H")
        page = seat.app.screen
        assert page.NAME == "history"
        page.leave()
        page.leave()
        await seat.settle()
        assert seat.app.screen.NAME == "rack"
        seat.app.screen.leave()
        await seat.settle()
        assert len(seat.app.screen_stack) == 1


async def test_a_page_below_another_is_left_once_it_is_on_top(household, sit):
    async with sit(household()) as seat:
        await seat.press("H")
        below = seat.app.screen
        await seat.press("question_mark")
        assert seat.app.screen.NAME == "keys"
        below.leave()
        await seat.settle()
        assert seat.app.screen.NAME == "keys"
        await seat.press("q")
        await seat.pilot.pause(0.1)
        assert seat.app.screen.NAME == "rack"


async def test_held_keys_that_leave_pages_end_on_the_first(household, sit):
    async with sit(household()) as seat:
        for key in ("H", "question_mark"):
            await seat.press(key)
        for _ in range(30):
            seat.app.post_message(events.Key("escape", "\x1b"))
        await seat.settle()
        await seat.pilot.pause(0.1)
        assert len(seat.app.screen_stack) == 1


async def test_a_dose_sheet_whose_batch_is_taken_back_under_the_keys_page(tmp_path, sit):
    async with sit(tmp_path / "new.db") as seat:
        await seat.press("n")
        await fill(seat, *EYE, *SALTED)
        await seat.press("f10")
        await seat.pilot.pause(0.1)
        sheet = seat.app.screen
        await seat.press("question_mark")
        sheet.write(undo_last, lambda _: None)
        await seat.settle()
        await seat.pilot.pause(0.2)
        await seat.press("q")
        await seat.pilot.pause(0.2)
        assert [page.NAME for page in seat.app.screen_stack] == ["rack"]


async def test_what_a_timer_or_an_answer_meets_is_said_too(household, sit):
    def refused(*_):
        raise Refused("The file said no.")

    async with sit(household()) as seat:
        seat.app.screen.set_timer(0.01, refused)
        await seat.pilot.pause(0.1)
        assert "The file said no." in seat.text()
        await seat.press("j")
        seat.app.screen.write(lambda conn, _by: None, refused)
        await seat.settle()
        assert "The file said no." in seat.text()
        await seat.press("j")
        assert "The file said no." not in seat.text()


async def test_a_paste_while_something_is_saved_waits_its_turn(household, sit):
    async with sit(household()) as seat:
        seat.app.screen.write(lambda conn, _by: None, lambda _: None)
        seat.app.screen.on_paste(events.Paste("1181"))
        await seat.settle()
        await seat.pilot.pause(0.1)
        assert "1181▏" in seat.text()


async def test_a_fault_at_a_key_is_kept_for_the_log_and_the_page_goes_on(household, monkeypatch):
    def broken(*_):
        raise ZeroDivisionError

    house = DashboardState(str(household()), lambda: NOW)
    app = Dashboard(house)
    async with app.run_test(size=(80, 24)) as pilot:
        seat = Seat("", app, pilot)
        monkeypatch.setattr(type(app), "is_headless", False)
        monkeypatch.setattr(app.screen, "do_order", broken)
        await seat.press("o")
        assert "Something went wrong inside curedash" in seat.text()
        await seat.press("j")
        assert "Something went wrong inside curedash" not in seat.text()
        monkeypatch.undo()
    house.close()
    assert [type(fault) for fault in house.faults] == [ZeroDivisionError]
