"""The chance that a lot never reaches its target: shown beside a window, and instead of one.

From 1 in 5 it is said wherever a window is; above 1 in 2 no front names a day to pull it by.
"""

import json
import re
import sqlite3
from datetime import UTC, datetime

from curedash.domain.drying.forecast import Basis, forecast
from curedash.domain.drying.lot_figures import STALLED
from curedash.domain.record import replace
from curedash.papers.blocks import as_text
from curedash.papers.calendar import calendar_file
from curedash.papers.handover import handover
from curedash.papers.page_html import page
from curedash.papers.record import record_of
from curedash.present.aloud import sentence
from curedash.present.documents import lot_document
from curedash.present.drying.curve import lot_curve_lines
from curedash.present.drying.forecast import forecast_lines
from curedash.present.drying.lot import facts
from curedash.present.metrics import metrics_text
from curedash.present.needs.diary import agenda_lines
from curedash.present.plain_lots import plain_lots
from curedash.present.rack.layout import WIDEST
from curedash.present.rack.row import Around, row_line
from curedash.present.weighing.weigh_line import hint_parts
from curedash.present.words import text_of
from curedash.services.find import require_lot
from curedash.services.household import household
from curedash.services.lot_view import read_lot
from curedash.services.needs.diary import lots_ready, read_diary
from curedash.services.rack import read_rack
from curedash.services.weighing.weigh import hint

NEVER = re.compile(r"(\d+) % that it never gets there")


def with_chance(house: sqlite3.Connection, chance: float) -> sqlite3.Connection:
    house.execute(
        "UPDATE forecast SET p_levels_off = ?"
        " WHERE lot_id = (SELECT id FROM lot WHERE code = 'D1')",
        (chance,),
    )
    return house


def fronts(house: sqlite3.Connection, at: datetime) -> dict[str, str]:
    """What each front says of D1."""
    zone, lot = household.zone(house), require_lot(house, "D1")
    rack, view = read_rack(house, at), read_lot(house, lot.id, at)
    row = next(row for row in rack.rows if row.lot.code == "D1")
    whole = page(house, at)
    diary = read_diary(house, at, days=120)
    about = [item for item in diary.items if item.lot is not None and item.lot.code == "D1"]
    calendar = calendar_file(house, at, days=120)
    return {
        "lot page": " ".join(value for _, value, _ in facts(view, at.date(), zone)),
        "weigh-in line": " ".join(hint_parts(hint(lot, at, zone))),
        "row of the Rack": text_of(row_line(row, WIDEST, Around(zone))),
        "lots --json": json.dumps(lot_document(row)),
        "plain lots": next(
            "\n".join(map(sentence, own))
            for own in plain_lots(rack)
            if own[0].startswith("Lot D1:")
        ),
        "phone page, row": whole.partition('href="#lot-D1"')[2].partition("</a>")[0],
        "phone page, lot": whole.partition('id="lot-D1"')[2].partition("</section>")[0],
        "metrics": "\n".join(
            line for line in metrics_text(rack, [], [], at).splitlines() if '"D1"' in line
        ),
        "diary": "\n".join(agenda_lines(replace(diary, items=tuple(about)))),
        "calendar": calendar.replace("\r\n ", "").replace("\\,", ","),
        "hand-over": as_text(handover(house, at, days=60)),
    }


def test_from_one_in_five_the_chance_is_said_beside_the_window(
    house: sqlite3.Connection, at: datetime
) -> None:
    below = fronts(with_chance(house, 0.19), at)
    assert not any(NEVER.search(text) for text in below.values())
    assert "?" not in below["row of the Rack"]
    assert json.loads(below["lots --json"])["never_reaches_chance"] is None
    shown = fronts(with_chance(house, 0.2), at)
    for name in ("lot page", "weigh-in line", "phone page, row", "phone page, lot", "calendar"):
        assert NEVER.findall(shown[name])[0] == "20", name
    assert "Dec?" in shown["row of the Rack"]
    assert "Chance: 20 percent that it never gets there." in shown["plain lots"]
    told = json.loads(shown["lots --json"])
    assert (told["never_reaches_chance"], told["stalled"]) == (0.2, False)
    assert told["pull_window"] is not None
    assert 'curedash_lot_never_ratio{lot="D1"} 0.2' in shown["metrics"]
    assert "window_start" in shown["metrics"]


def test_above_one_in_two_no_front_names_a_day_to_pull_it(
    house: sqlite3.Connection, at: datetime
) -> None:
    shown = fronts(with_chance(house, 0.51), at)
    for name in (
        "lot page",
        "weigh-in line",
        "phone page, row",
        "phone page, lot",
        "diary",
        "calendar",
        "plain lots",
    ):
        assert STALLED in shown[name], name
    row = shown["row of the Rack"]
    assert " stalled " in row
    assert "may never come" in row
    assert "Dec" not in row
    told = json.loads(shown["lots --json"])
    assert (told["pull_window"], told["pull_window_how"]) == (None, STALLED)
    assert (told["never_reaches_chance"], told["stalled"]) == (0.51, True)
    assert "curedash_lot_window" not in shown["metrics"]
    assert 'class="window"' not in shown["phone page, lot"]
    assert 'class="fan"' not in shown["phone page, lot"]
    assert "pull window" not in shown["phone page, lot"]
    lot = require_lot(house, "D1")
    diary = read_diary(house, at, days=200)
    assert [i for i in diary.items if i.lot and i.lot.code == "D1" and i.kind == "pull"] == []
    assert "D1: pull" not in shown["calendar"] + shown["hand-over"]
    assert "D1" not in [one.code for one, window in lots_ready(house, at) if window is not None]
    curve = read_lot(house, lot.id, at).curve
    assert curve.window_days is None
    drawn = lot_curve_lines(curve, at, UTC, 60, 14)
    assert "░" not in "\n".join(text_of(line) for line in drawn)
    assert "pull window" not in as_text(record_of(house, [lot], at))


def test_the_forecast_of_the_shell_says_the_chance_from_one_in_five() -> None:
    rows = [(0.0, 1.0), (7.0, 0.93), (14.0, 0.885), (21.0, 0.85)]
    seen = forecast(Basis(rows, 30.0, base_g=1000.0, diameter_mm=80.0))
    for chance, window, said in (
        (0.19, True, None),
        (0.2, True, "20 in 100"),
        (0.5, True, "50 in 100"),
        (0.51, False, "51 in 100"),
    ):
        lines = forecast_lines(replace(seen, p_levels_off=chance), 30.0)
        assert any(line.startswith("pull window: ") for line in lines) == window
        assert (f"{STALLED}: no day for 30 %" in lines) == (not window)
        chances = [line for line in lines if line.startswith("chance that it never gets there")]
        assert chances == ([] if said is None else [f"chance that it never gets there: {said}"])
