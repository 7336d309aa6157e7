"""From raw meat to the target in a real file with a fixed clock, service by service."""

import sqlite3
from datetime import UTC, datetime, timedelta

import pytest

from curedash.domain.dosing import DoseRequest, resolve_curing_salt
from curedash.domain.errors import Doubtful, NotFound, Refused
from curedash.domain.household.styles import style
from curedash.domain.record import replace
from curedash.domain.records import LotState
from curedash.domain.times import utc_text
from curedash.services.curing.change_stage import Move, change_stage, usual_next, what_is_asked
from curedash.services.dosing.add_batch import (
    BatchSpec,
    PieceSpec,
    SourceSpec,
    add_batch,
    plan_batch,
)
from curedash.services.dosing.tick import tick_line
from curedash.services.find import require_lot
from curedash.services.household.undo import undo_change, undo_last
from curedash.services.rack import read_rack, read_row
from curedash.services.weighing.weigh import hint, preview, weigh
from curedash.store import log, lots, weigh_ins
from curedash.store.log import last_change_id
from curedash.store.work import By
from tests.build import weighed

SALTED = datetime(2026, 11, 1, 12, tzinfo=UTC)


def at(day: int, hour: int = 12) -> datetime:
    return datetime(2026, 11, day, hour, tzinfo=UTC)


def who(moment: datetime, session: str = "session-1", actor: str = "mara") -> By:
    return By(utc_text(moment), actor, "screen", session)


def spec(**values: object) -> BatchSpec:
    known: dict[str, object] = {
        "name": "Beef eye",
        "species": "beef",
        "style": style("bresaola"),
        "pieces": (PieceSpec(1134.0, "thick end", 80.0), PieceSpec(990.0, "thin end", 62.0)),
        "dose": DoseRequest(
            green_g=1.0,
            salt_pct=2.75,
            curing_salt=resolve_curing_salt("no2"),
            cure_pct=0.25,
            scale_division_g=0.1,
            rule_set="us",
            product_class="dry-cured",
        ),
        "place": "Fridge 2",
        "salted_at": SALTED,
    }
    return BatchSpec(**(known | values))  # type: ignore[arg-type]


@pytest.fixture
def added(conn: sqlite3.Connection) -> LotState:
    return add_batch(conn, who(SALTED), spec()).lots[0]


@pytest.fixture
def hung(conn: sqlite3.Connection, added: LotState) -> LotState:
    move = Move("drying", at(16), weight_g=1108.0, tare_g=28.0, tare_what="hook", note="early")
    return change_stage(conn, who(at(16)), added.id, move).lot


def drop(conn: sqlite3.Connection, code: str, text: str, moment: datetime, **how: object) -> object:
    lot = require_lot(conn, code)
    seen = preview(lot, text, moment, UTC)
    return weigh(conn, who(moment), lot.id, seen, **how)  # type: ignore[arg-type]


# ── a new batch ───────────────────────────────────────────────────────────────────────────


def test_a_batch_keeps_codes_doses_days_and_place(conn: sqlite3.Connection) -> None:
    kept = add_batch(conn, who(SALTED), spec())
    assert [lot.code for lot in kept.lots] == ["A1", "A2"]
    first = kept.lots[0]
    assert (first.stage, first.place, first.piece) == ("in-cure", "Fridge 2", "thick end")
    assert first.cure_rule is not None
    assert first.cure_usual_days is not None
    assert first.cure_earliest_days is not None
    assert first.cure_earliest_days <= first.cure_usual_days
    assert (first.target_lo_pct, first.target_hi_pct) == (35.0, 40.0)
    sheet = lots.dose_lines(conn, first.id)
    # 9 CFR 424.21(c) ounce rule as an identity: grams × share × 1e6 / green grams
    cure = next(line for line in sheet if line.kind == "curing-salt")
    assert cure.planned_g == pytest.approx(2.8)
    assert first.nitrite_mg_per_kg == pytest.approx(2.8 * 0.0625 * 1e6 / 1134)


def test_a_batch_without_its_day_is_raw_with_nothing_ticked(conn: sqlite3.Connection) -> None:
    kept = add_batch(conn, who(SALTED), spec(salted_at=None))
    assert {lot.stage for lot in kept.lots} == {"raw"}
    assert {lot.dose_ticked for lot in kept.lots} == {0}


def test_a_refused_dose_keeps_nothing_at_all(conn: sqlite3.Connection) -> None:
    too_much = DoseRequest(
        green_g=1.0,
        salt_pct=3.0,
        curing_salt=resolve_curing_salt("no1"),
        cure_pct=2.5,
        scale_division_g=0.1,
        rule_set="us",
        product_class="dry-cured",
    )
    with pytest.raises(Refused):
        add_batch(conn, who(SALTED), spec(dose=too_much))
    for table in ("batch", "lot", "place", "dose_line", "change", "setting"):
        assert conn.execute(f"SELECT count(*) FROM {table}").fetchone() == (0,), table


@pytest.mark.parametrize("name", ["", "   ", "\n\t", "\x1b", "x" * 201])
def test_a_name_that_is_none_or_endless_is_refused(conn: sqlite3.Connection, name: str) -> None:
    with pytest.raises(Refused):
        add_batch(conn, who(SALTED), spec(name=name))


@pytest.mark.parametrize("name", ["[bold]", "'; DROP TABLE lot; --", '"', "牛肉 🥩", "a\nb"])
def test_odd_names_are_kept_on_one_line(conn: sqlite3.Connection, name: str) -> None:
    kept = add_batch(conn, who(SALTED), spec(name=name))
    assert kept.batch.name == " ".join(name.split())


def test_an_unknown_place_is_made_and_said(conn: sqlite3.Connection) -> None:
    made = add_batch(conn, who(SALTED), spec()).new_place
    assert made is not None
    assert made.name == "Fridge 2"
    assert add_batch(conn, who(SALTED), spec()).new_place is None


def test_frozen_meat_salts_faster(conn: sqlite3.Connection) -> None:
    pieces = (PieceSpec(2000.0, "", 89.0, "roast"),)
    fresh = plan_batch(spec(pieces=pieces))[0].window
    thawed = plan_batch(spec(pieces=pieces, sources=(SourceSpec("roast", condition="frozen"),)))[
        0
    ].window
    assert fresh is not None
    assert thawed is not None
    assert fresh.diffusion is not None
    assert thawed.diffusion is not None
    # J. Food Eng. 214:69 (2017): diffusion in frozen-and-thawed pork is 1.3 times as fast
    assert thawed.diffusion.days_90 == pytest.approx(fresh.diffusion.days_90 / 1.3)


def test_next_batch_takes_the_next_letter(conn: sqlite3.Connection) -> None:
    codes = [add_batch(conn, who(SALTED), spec()).batch.code for _ in range(10)]
    assert codes == ["A", "B", "C", "D", "E", "F", "G", "H", "J", "K"]


# ── ticking the sheet ─────────────────────────────────────────────────────────────────────


def test_what_was_weighed_counts_from_then_on(conn: sqlite3.Connection) -> None:
    lot = add_batch(conn, who(SALTED), spec(salted_at=None)).lots[0]
    cure = next(line for line in lots.dose_lines(conn, lot.id) if line.kind == "curing-salt")
    after = tick_line(conn, who(SALTED), cure.id, 3.0)
    assert after.nitrite_mg_per_kg == pytest.approx(3.0 * 0.0625 * 1e6 / 1134)
    assert after.dose_ticked == 1
    back = tick_line(conn, who(SALTED), cure.id, None)
    assert back.dose_ticked == 0
    assert back.nitrite_mg_per_kg == pytest.approx(2.8 * 0.0625 * 1e6 / 1134)


def test_ten_times_too_much_weighed_is_kept_as_what_it_is(conn: sqlite3.Connection) -> None:
    lot = add_batch(conn, who(SALTED), spec(salted_at=None)).lots[0]
    cure = next(line for line in lots.dose_lines(conn, lot.id) if line.kind == "curing-salt")
    after = tick_line(conn, who(SALTED), cure.id, 28.0)
    assert after.dose_verdict == "refused"
    needs = read_row(conn, lot.id, SALTED).needs  # type: ignore[union-attr]
    assert [need.cause for need in needs] == [
        "dose-outside",
        "dose-not-ticked",  # half ticked
        "question-open",  # nobody said how cold its place is
    ]


def test_an_open_sheet_keeps_a_lot_from_the_cure_without_a_note(conn: sqlite3.Connection) -> None:
    lot = add_batch(conn, who(SALTED), spec(salted_at=None)).lots[0]
    with pytest.raises(Doubtful, match="not ticked"):
        change_stage(conn, who(SALTED), lot.id, Move("in-cure", SALTED))
    moved = change_stage(conn, who(SALTED), lot.id, Move("in-cure", SALTED, note="mixed by aunt"))
    assert moved.lot.stage == "in-cure"


# ── stages ────────────────────────────────────────────────────────────────────────────────


def test_hanging_takes_the_tare_off_and_sets_the_base(hung: LotState) -> None:
    assert (hung.stage, hung.hang_g, hung.tare_g, hung.cured_g) == ("drying", 1080.0, 28.0, 1080.0)
    assert hung.base_g == 1080.0


def test_hanging_without_a_weight_says_why_it_is_wanted(
    conn: sqlite3.Connection, added: LotState
) -> None:
    assert what_is_asked(added, "drying") == ("hang", "tare")
    with pytest.raises(Refused, match="hang weight"):
        change_stage(conn, who(at(16)), added.id, Move("drying", at(16), note="x"))


def test_earlier_than_the_rule_wants_a_note(conn: sqlite3.Connection, added: LotState) -> None:
    with pytest.raises(Doubtful, match="note"):
        change_stage(conn, who(at(4)), added.id, Move("drying", at(4), weight_g=1100.0, tare_g=0.0))
    assert require_lot(conn, "A1").stage == "in-cure"


def test_an_estimated_hang_weight_shows_as_about(conn: sqlite3.Connection, added: LotState) -> None:
    move = Move("drying", at(16), weight_g=1080.0, tare_g=0.0, plus_minus_g=30.0, note="forgot")
    change_stage(conn, who(at(16)), added.id, move)
    drop(conn, "A1", "1010", at(20))
    row = read_row(conn, added.id, at(20))
    assert row is not None
    assert row.figures.approx


def test_before_its_last_stage_is_refused(conn: sqlite3.Connection, hung: LotState) -> None:
    with pytest.raises(Refused, match="since"):
        change_stage(conn, who(at(20)), hung.id, Move("equalising", at(10), note="x"))


def test_equalising_plans_its_end_by_the_thickness(
    conn: sqlite3.Connection, hung: LotState
) -> None:
    moved = change_stage(
        conn, who(at(25)), hung.id, Move("equalising", at(25), weight_g=770.0, keep_doubtful=True)
    )
    assert moved.lot.stage_until is not None
    assert "planned until" in " ".join(moved.messages)


def test_a_sealed_bag_that_lost_weight_leaked(conn: sqlite3.Connection, hung: LotState) -> None:
    sealed = Move("equalising", at(18), weight_g=1058.0, keep_doubtful=True)
    change_stage(conn, who(at(18)), hung.id, sealed)
    back = Move("drying", at(25), weight_g=1028.0, keep_doubtful=True)
    assert "leaked" in " ".join(change_stage(conn, who(at(25)), hung.id, back).messages)


def test_the_usual_way_through_the_stages(conn: sqlite3.Connection, added: LotState) -> None:
    assert usual_next(added) == "drying"


# ── weigh-ins ─────────────────────────────────────────────────────────────────────────────


def test_a_weigh_in_is_on_disk_when_it_returns(
    conn: sqlite3.Connection, hung: LotState, db_path: str
) -> None:
    drop(conn, "A1", "1043", at(20))
    other = sqlite3.connect(db_path)
    stored = other.execute(
        "SELECT gross_g, tare_g, net_g FROM weigh_in WHERE kind = 'stage'"
    ).fetchall()
    other.close()
    assert stored == [(1043.0, 28.0, 1015.0)]


def test_preview_says_everything_before_it_is_kept(
    conn: sqlite3.Connection, hung: LotState
) -> None:
    seen = preview(hung, "1043", at(20), UTC)
    assert (seen.gross_g, seen.tare_g, seen.net_g) == (1043.0, 28.0, 1015.0)
    assert seen.change_g == -65.0
    assert seen.days_since == 4
    assert seen.loss_pct == pytest.approx(100 * 65 / 1080)
    assert seen.to_go_g == pytest.approx(1015 - 1080 * 0.65)
    assert seen.doubts == ()
    assert weigh_ins.of_lot(conn, hung.id)[-1].kind == "hang"


def test_a_weight_in_the_cure_never_enters_the_drying_curve(
    conn: sqlite3.Connection, added: LotState
) -> None:
    drop(conn, "A1", "1150", at(5))
    change_stage(
        conn, who(at(16)), added.id, Move("drying", at(16), weight_g=1108.0, tare_g=28.0, note="x")
    )
    lot = require_lot(conn, "A1")
    assert [point.net_g for point in lot.curve] == [1080.0]


def test_doubt_keeps_nothing_and_yes_keeps_it_flagged(
    conn: sqlite3.Connection, hung: LotState
) -> None:
    with pytest.raises(Doubtful):
        drop(conn, "A1", "10430", at(20))
    assert len(weigh_ins.of_lot(conn, hung.id)) == 1
    drop(conn, "A1", "1250", at(20), keep_doubtful=True)
    assert weigh_ins.of_lot(conn, hung.id)[-1].flagged is not None


def test_the_hint_speaks_as_the_scale_will(conn: sqlite3.Connection, hung: LotState) -> None:
    shown = hint(hung, at(20), UTC)
    assert shown.target_on_scale_g == pytest.approx((1080 * 0.60 + 28, 1080 * 0.65 + 28))
    assert (shown.last_net_g, shown.days_since, shown.tare_what) == (1080.0, 4, "hook")


def test_the_base_key_changes_what_is_shown_and_never_the_target(
    conn: sqlite3.Connection, hung: LotState
) -> None:
    drop(conn, "A1", "1043", at(20))
    by_hang, by_green = (read_row(conn, hung.id, at(20), base=b) for b in ("hang", "green"))
    assert by_hang is not None
    assert by_green is not None
    assert by_hang.figures.loss_pct == pytest.approx(100 * 65 / 1080)
    assert by_green.figures.loss_pct == pytest.approx(100 * (1134 - 1015) / 1134)
    assert by_hang.figures.target_g == by_green.figures.target_g
    assert by_hang.figures.to_go_g == by_green.figures.to_go_g


def test_closed_lots_take_no_weigh_ins_and_leave_the_rack(
    conn: sqlite3.Connection, hung: LotState
) -> None:
    change_stage(conn, who(at(24)), hung.id, Move("discarded", at(24), note="dropped it"))
    with pytest.raises(Refused, match="no more weigh-ins"):
        preview(require_lot(conn, "A1"), "1000", at(25), UTC)
    assert [row.lot.code for row in read_rack(conn, at(25)).rows] == ["A2"]


# ── undo ──────────────────────────────────────────────────────────────────────────────────


def test_undo_takes_back_this_sessions_last_change_only(
    conn: sqlite3.Connection, hung: LotState
) -> None:
    drop(conn, "A1", "1043", at(20))
    with pytest.raises(NotFound):
        undo_last(conn, who(at(20), "session-2"))
    undo_last(conn, who(at(20)))
    assert require_lot(conn, "A1").last_net_g == 1080.0
    kept = weigh_ins.of_lot(conn, hung.id, voided=True)
    assert [(w.net_g, w.voided_at is not None) for w in kept] == [(1080.0, False), (1015.0, True)]


def test_undo_goes_on_step_by_step_to_the_empty_file(
    conn: sqlite3.Connection, hung: LotState
) -> None:
    drop(conn, "A1", "1043", at(20))
    for _ in range(3):
        undo_last(conn, who(at(21)))
    assert read_rack(conn, at(21)).rows == ()
    with pytest.raises(NotFound):
        undo_last(conn, who(at(21)))


def test_an_undo_can_itself_be_undone(conn: sqlite3.Connection, hung: LotState) -> None:
    drop(conn, "A1", "1043", at(20))
    undo_last(conn, who(at(21)))
    number = last_change_id(conn)
    undo_change(conn, who(at(21)), number)
    assert require_lot(conn, "A1").last_net_g == 1015.0


def test_undo_says_who_changed_it_since(conn: sqlite3.Connection, hung: LotState) -> None:
    move = Move("on-hold", at(22), weight_g=1000.0, note="away", keep_doubtful=True)
    change_stage(conn, who(at(22), "session-1"), hung.id, move)
    number = last_change_id(conn)
    again = Move("drying", at(24), weight_g=999.0, keep_doubtful=True)
    change_stage(conn, who(at(24), "session-2", "jon"), hung.id, again)
    with pytest.raises(Refused, match="jon"):
        undo_change(conn, who(at(25)), number)


def test_the_log_tells_who_when_and_from_where(conn: sqlite3.Connection, hung: LotState) -> None:
    drop(conn, "A1", "1043", at(20))
    line = next(log.newest(conn))
    assert (line.actor, line.origin, line.verb, line.subject) == ("mara", "screen", "weigh", "A1")
    assert line.at_utc == "2026-11-20T12:00:00Z"


# ── the Rack ──────────────────────────────────────────────────────────────────────────────


def test_the_rack_puts_what_needs_somebody_first(conn: sqlite3.Connection, hung: LotState) -> None:
    later = at(16) + timedelta(days=8)
    rows = read_rack(conn, later).rows
    assert rows[0].level == "today"
    assert {need.cause for need in rows[0].needs} <= {"weigh-in-due", "cure-ready"}


@pytest.mark.parametrize(
    ("net_g", "usual"), [(700.0, "drying"), (650.0, "keeping"), (610.0, "keeping")]
)
def test_a_piece_equalised_short_of_its_target_dries_on(net_g: float, usual: str) -> None:
    """The target is 35–40 % of 1000 g: from 650 g on it is there."""
    soft = replace(weighed((40, 1000), (1, net_g)), stage="equalising")
    assert usual_next(soft) == usual
