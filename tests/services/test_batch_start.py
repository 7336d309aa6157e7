"""Where a new batch starts from: made again, as liked, as the household did it last."""

from datetime import UTC, datetime

import pytest

from curedash.domain.errors import Doubtful, NotFound, Refused
from curedash.domain.times import utc_text
from curedash.present.dosing.form.batch_follows import effective
from curedash.present.dosing.form.batch_reading import read_form
from curedash.services.dosing.add_batch import add_batch
from curedash.services.dosing.batch_sheet import into_cure, read_sheet
from curedash.services.dosing.batch_start import start_batch
from curedash.services.dosing.tick import tick_line
from curedash.services.drying.finish import Finishing, finish
from curedash.services.household.note import add_note
from curedash.services.places.places import add_place
from curedash.store.open import open_db
from curedash.store.work import By

NOW = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)
BY = By(utc_text(NOW), "anna", "screen", "one")
COLLAR = {
    "name": "Collar",
    "style": "coppa",
    "pieces": "1600 1500",
    "thickness": "90 85",
    "salt": "3",
    "curing_salt": "no2",
    "scale": "0.1",
    "rules": "us",
    "sugar": "0.5",
    "spices": "black pepper 0.4, juniper 0.2",
    "place": "Fridge 2",
    "note": "more pepper",
}


@pytest.fixture
def conn(tmp_path):
    conn = open_db(str(tmp_path / "h.db"), create=True)
    add_place(conn, BY, "Fridge 2", temp_c=(2.0, 5.0))
    yield conn
    conn.close()


def salted(conn, **other):
    start = start_batch(conn)
    read = read_form(effective(COLLAR | other, start), start, NOW, UTC)
    assert read.spec is not None, (read.wanted, read.troubles)
    return add_batch(conn, BY, read.spec)


def test_an_empty_household_starts_from_the_library(conn):
    start = start_batch(conn)
    assert (start.code, start.last, start.liked) == ("A", None, {})
    assert start.temp_c("fridge 2") == 3.5
    assert effective({}, start)["scale"] == "1"


def test_scale_and_rule_set_are_those_of_the_last_batch(conn):
    salted(conn)
    start = start_batch(conn)
    values = effective({}, start)
    assert (start.code, values["scale"], values["rules"]) == ("B", "0.1", "us")
    assert values["curing_salt"] == ""  # a strength is named anew each time


def test_made_again_pieces_that_shared_a_bag_share_one(conn):
    salted(conn, pieces="1600 1500 1400", thickness="90", bags="1+3")
    start = start_batch(conn, "A")
    values = effective({"pieces": "1000 1100 1200"}, start)
    assert values["bags"] == "1+3"
    read = read_form(values, start, NOW, UTC)
    assert read.spec is not None
    assert read.spec.bags == ((0, 2),)
    by_one = effective({"pieces": "1000 1100 1200", "each": "yes"}, start)
    assert read_form(by_one, start, NOW, UTC).spec.bags == ((0, 2),)


def test_made_again_everything_but_the_weights_stands_there_with_its_notes(conn):
    added = salted(conn)
    add_note(conn, BY, added.lots[0].id, "A1", "a firm spot near the tip")
    start = start_batch(conn, "a")
    values = effective({}, start)
    told = {name: values[name] for name in COLLAR if name not in ("pieces", "thickness", "note")}
    assert told == {name: COLLAR[name] for name in told}
    assert (values["pieces"], values["thickness"], values["class"]) == ("", "90", "dry-cured")
    assert start.again.notes == ("more pepper", "A1: a firm spot near the tip")
    again = read_form(effective({"pieces": "1400"}, start), start, NOW, UTC)
    assert again.spec.dose.extras == (("black pepper", 0.4), ("juniper", 0.2))


def test_made_again_under_no_such_code(conn):
    with pytest.raises(NotFound, match="no batch"):
        start_batch(conn, "Q")


def test_what_was_liked_is_the_next_default(conn):
    added = salted(conn, salted="2026-09-01")
    finish(conn, BY, added.lots[0].id, Finishing(NOW, weight_g=1500, liked=5))
    values = effective({"style": "coppa"}, start_batch(conn))
    assert (values["salt"], values["sugar"]) == ("3", "0.5")


def test_the_sheet_counts_what_was_weighed(conn):
    added = salted(conn)
    sheet = read_sheet(conn, added.batch.id)
    assert (len(sheet.lots), sheet.open_lines) == (2, 10)
    cure = next(line for line in sheet.lots[0].lines if line.kind == "curing-salt")
    tick_line(conn, BY, cure.id, 8.0)
    again = read_sheet(conn, added.batch.id)
    dose = again.lots[0].dose
    assert dose.nitrite_mg_per_kg == pytest.approx(8.0 * 0.0625 / 1600 * 1e6)
    assert again.open_lines == 9


def test_a_batch_goes_into_the_cure_in_one_change_with_a_note_for_what_is_not_ticked(conn):
    added = salted(conn)
    with pytest.raises(Doubtful, match="10 lines are not ticked"):
        into_cure(conn, BY, added.batch.id, NOW)
    moved = into_cure(conn, BY, added.batch.id, NOW, "weighed on paper")
    assert [each.lot.stage for each in moved] == ["in-cure", "in-cure"]
    assert read_sheet(conn, added.batch.id).batch.salted_at == utc_text(NOW)
    with pytest.raises(Refused, match="raw any more"):
        into_cure(conn, BY, added.batch.id, NOW)
