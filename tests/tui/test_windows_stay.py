"""Pull windows of one day and the same data agree on each page, after each look, in the shell."""

import json

from curedash.__main__ import main
from curedash.domain.times import moment
from curedash.store.open import open_db
from curedash.store.rack import open_lots
from tests.tui.conftest import NOW

WINDOWS = (
    "SELECT lot.code, lo_day, median_day, hi_day FROM forecast JOIN lot ON lot.id = lot_id"
    " WHERE lo_day IS NOT NULL ORDER BY lot.code"
)
PAGES = ("p", "d", "e", "h", "a", "m", "enter", "r")  # from the Rack, each left by q


async def test_windows_are_the_same_after_every_page(household, sit, capsys, monkeypatch):
    path = household()
    async with sit(path) as seat:
        await seat.type("1160\rk1010\rk")  # two weigh-ins: each is one more point of a curve
        await seat.settle()
        for _ in range(100):
            await seat.pilot.pause(0.1)
            if seat.ask("SELECT count(*) FROM forecast") == [(5,)]:
                break
        await seat.pilot.pause(0.6)
        before = seat.ask(WINDOWS)
        rows = [line for line in seat.lines() if line[2:3] == "C" and line[:1] != "›"]
        assert len(before) >= 4
        for _ in range(2):
            for page in PAGES:
                await seat.press(page)
                await seat.pilot.pause(0.05)
                await seat.press("q")
                assert seat.lines()[0].startswith("RACK"), page
                assert seat.ask(WINDOWS) == before, page
        await seat.press("n")
        await seat.press("escape")
        await seat.press("enter")
        await seat.type("n" + "looks well" + "\r")  # a note touches the lot, not its window
        await seat.settle()
        await seat.pilot.pause(0.6)
        await seat.press("q")
        assert seat.ask(WINDOWS) == before
        assert [line for line in seat.lines() if line[2:3] == "C" and line[:1] != "›"] == rows
    monkeypatch.setenv("CUREDASH_DB", str(path))
    monkeypatch.setenv("CUREDASH_NOW", NOW.isoformat())
    conn = open_db(str(path))
    for lot in open_lots(conn):
        if lot.forecast is None or lot.forecast.lo_day is None or lot.stage != "drying":
            continue
        capsys.readouterr()
        assert main(["forecast", lot.code, "--json"]) == 0
        told = json.loads(capsys.readouterr().out)
        first, last = told["window_day"] if "window_day" in told else told["window"]
        assert moment(lot.hang_at) < NOW
        _same(first, lot.forecast.lo_day, lot.hang_at)
        _same(last, lot.forecast.hi_day, lot.hang_at)
    conn.close()


def _same(told, stored_day: float, hang_at: str) -> None:
    """A day since hanging, or its date."""
    from datetime import timedelta

    if isinstance(told, str):
        assert told == (moment(hang_at) + timedelta(days=stored_day)).date().isoformat()
    else:
        assert abs(told - stored_day) < 0.01
