"""Days away and the page of a stand-in name what is unfinished, and never reassure over it."""

from datetime import UTC, date, datetime, timedelta

import pytest

from curedash.domain.dosing import DoseRequest, resolve_curing_salt
from curedash.domain.drying.inspections import Mould
from curedash.domain.household.styles import style
from curedash.domain.needs.days_away import Away
from curedash.domain.needs.diary import AwayLot
from curedash.domain.needs.lot_needs import lot_needs
from curedash.papers.blocks import as_text
from curedash.papers.handover import handover
from curedash.present.needs.diary import agenda_lines, away_words
from curedash.services.curing.change_stage import Move, change_stage
from curedash.services.dosing.add_batch import BatchSpec, PieceSpec, SourceSpec, add_batch
from curedash.services.dosing.tick import tick_all, tick_line
from curedash.services.drying.observe import log_mould
from curedash.services.needs import away
from curedash.services.needs.diary import read_diary
from curedash.store.lots import dose_lines
from curedash.store.open import open_db
from curedash.store.work import By
from tests.build import lot

AT = datetime(2026, 11, 25, 9, tzinfo=UTC)
BY = By("2026-11-25T09:00:00Z", "anna", "shell", "x")
GONE = Away(date(2026, 12, 1), date(2026, 12, 8))
GONE_AT = datetime(2026, 11, 30, 9, tzinfo=UTC)
ASKED = DoseRequest(
    green_g=1000,
    salt_pct=2.75,
    cure_pct=0.25,
    curing_salt=resolve_curing_salt("no2"),
    scale_division_g=0.1,
)


@pytest.fixture
def conn(tmp_path):
    opened = open_db(f"{tmp_path}/h.db", create=True)
    pieces = (PieceSpec(1000, thickness_mm=60.0, source="round"),)
    roasts = (SourceSpec("round", use_by="2026-12-03"),)
    add_batch(
        opened, BY, BatchSpec("Eye", "beef", style("bresaola"), pieces, ASKED, sources=roasts)
    )
    opened.execute("UPDATE lot SET asked = NULL")
    yield opened
    opened.close()


def row(conn) -> AwayLot:
    (found,) = away.report(conn, GONE, AT)
    return found


def test_raw_meat_without_any_salt_is_named(conn):
    assert row(conn).asks == "open"
    assert away_words(row(conn)).endswith("not salted yet: salt it or freeze it before leaving")
    assert "Not finished yet" in as_text(handover(conn, AT, days=6))


def test_an_open_dose_sheet_is_named_and_then_salt_that_nobody_moved_into_the_cure(conn):
    first = dose_lines(conn, 1)[0]
    tick_line(conn, BY, first.id, first.planned_g)
    assert row(conn).asks == "open"
    assert away_words(row(conn)).startswith(
        "curing salt no. 2 not added or not ticked for 0 h: look in the bag"
    )
    tick_all(conn, BY, 1)
    assert away_words(row(conn)).endswith("not counted yet: put it into the cure")
    page = as_text(handover(conn, AT, days=6), 300)
    assert "A1: its salt is in, but its days in the cure are not counted yet" in page


def test_in_cure_with_an_open_dose_never_can_wait(conn):
    first = dose_lines(conn, 1)[0]
    tick_line(conn, BY, first.id, first.planned_g)
    change_stage(conn, BY, 1, Move("in-cure", AT, note="the rest follows", keep_doubtful=True))
    gone = Away(date(2026, 12, 10), date(2026, 12, 30))
    (found,) = away.report(conn, gone, AT)
    assert found.asks == "open"
    assert "never ticked" in away_words(found)
    assert "can wait" not in away_words(found)
    later = AT + timedelta(days=40)
    assert not any("can wait" in line for line in agenda_lines(read_diary(conn, later)))


def test_in_cure_it_is_turned_around_the_days_away(conn):
    tick_all(conn, BY, 1)
    change_stage(conn, BY, 1, Move("in-cure", AT, keep_doubtful=True))
    assert row(conn).asks == "can-wait"
    assert away_words(row(conn)) == "before leaving and when you are back: turn the bag"


def test_the_use_by_date_of_raw_meat_counts_to_the_last_day_away(conn):
    """A question that is open too hides neither it nor the salt that is missing."""
    early = Away(date(2026, 11, 28), date(2026, 11, 30))
    (found,) = away.report(conn, early, AT)
    assert away_words(found) == "not salted yet: salt it or freeze it before leaving"
    conn.execute("UPDATE lot SET asked = 'thickness' || char(9) || 'How thick is it?'")
    asked, said = away_words(row(conn)).split("; ")
    assert asked == "asked: How thick is it? answer it, or say why it is unknown"
    assert said.startswith("use-by date is 2026-12-03, not salted yet: ")


def test_a_stage_that_ends_on_no_known_day_is_named(conn):
    tick_all(conn, BY, 1)
    change_stage(conn, BY, 1, Move("in-cure", AT, keep_doubtful=True))
    conn.execute("UPDATE lot SET cure_usual_days = NULL, cure_earliest_days = NULL")
    assert row(conn).asks == "open"
    assert "no day is known on which this stage ends" in away_words(row(conn))


def test_a_second_look_at_mould_falls_into_the_days(conn):
    tick_all(conn, BY, 1)
    change_stage(conn, BY, 1, Move("in-cure", AT, keep_doubtful=True))
    log_mould(conn, BY, 1, Mould("white", "powdery", "spots", "nothing"), GONE_AT)
    found = row(conn)
    assert (found.asks, found.due) == ("can-wait", date(2026, 12, 2))


def test_what_is_over_its_days_in_the_cure_can_wait_only_with_its_whole_dose():
    cured = lot(stage="in-cure", stage_at="2026-11-01T12:00:00Z", dose_open=1)
    found = {need.cause: need.message for need in lot_needs(cured, AT, UTC)}
    assert "can wait" not in found["cure-ready"]
    whole = lot(stage="in-cure", stage_at="2026-11-01T12:00:00Z")
    (need,) = lot_needs(whole, AT, UTC)
    assert need.message.endswith("can wait")


def test_an_empty_diary_says_where_open_things_are_named(conn):
    (line,) = agenda_lines(read_diary(conn, AT))
    assert "'curedash check' names what is open now" in line
