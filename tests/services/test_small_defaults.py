"""What is proposed without being asked: names on packs, where it hangs, where it cures again."""

from datetime import timedelta

import pytest

from curedash.domain.errors import Refused
from curedash.present.rack.state import whole_days
from curedash.services.household.book import cured_in
from curedash.services.household.packs import names_for
from curedash.services.needs.away import add_away, next_away
from curedash.services.places import places
from curedash.store import lots
from curedash.store.work import change
from tests.services.conftest import House


def test_names_are_one_for_all_or_one_for_each_pack():
    assert names_for("Anna", 8) == ("Anna",) * 8
    assert names_for("Anna, Bert", 2) == ("Anna", "Bert")
    assert names_for(None, 2) == (None, None)
    with pytest.raises(Refused, match="3 names for 8 packs: type 8 names"):
        names_for("Anna, Anna, Bert", 8)


def test_planned_days_are_shown_as_the_day_out_is_counted():
    """17.2 and 17.9 days are both over on the eighteenth day."""
    assert [whole_days(days) for days in (17.2, 17.9, 18.0, 17.0)] == [18, 18, 18, 17]


def hung_in(house: House, code: str, place_id: int) -> int:
    lot_id = house.hang(code, 1000)
    with change(house.conn, house.by(), "place", subject=code) as work:
        lots.update(work, lot_id, place_id=place_id)
    return lot_id


def test_out_of_the_cure_it_hangs_where_the_others_hang(house: House):
    fridge = places.add_place(house.conn, house.by(), "Fridge", temp_c=(2.0, 5.0))
    chamber = places.add_place(house.conn, house.by(), "Chamber", temp_c=(10.0, 14.0))
    lot_id = hung_in(house, "C1", fridge.id)
    with change(house.conn, house.by(), "stage", subject="C1") as work:
        lots.update(work, lot_id, stage="in-cure")
    found = places.hanging_place(house.conn, house.lot(lot_id), house.now)
    assert found is not None
    assert found.name == "Chamber", "nothing hangs yet: the one that is not cold"
    cellar = places.add_place(house.conn, house.by(), "Cellar", temp_c=(9.0, 13.0))
    hung_in(house, "C2", cellar.id)
    assert places.hanging_place(house.conn, house.lot(lot_id), house.now).id == cellar.id
    assert chamber.id != cellar.id


def test_a_batch_made_again_cures_where_it_cured(house: House):
    fridge = places.add_place(house.conn, house.by(), "Fridge", temp_c=(2.0, 5.0))
    chamber = places.add_place(house.conn, house.by(), "Chamber", temp_c=(10.0, 14.0))
    lot_id = hung_in(house, "C1", chamber.id)
    house.conn.execute(
        "UPDATE stage_entry SET place_id = CASE stage WHEN 'in-cure' THEN ? ELSE ? END",
        (fridge.id, chamber.id),
    )
    assert cured_in(house.conn, [house.lot(lot_id)]) == "Fridge"


def test_the_days_away_saved_next_begin_today_at_the_earliest(house: House):
    from curedash.domain.needs.days_away import Away

    today = house.now.date()
    assert next_away(house.conn, today) is None
    later = Away(today + timedelta(days=3), today + timedelta(days=9))
    add_away(house.conn, house.by(), later, house.now)
    assert next_away(house.conn, today) == later
    assert next_away(house.conn, today + timedelta(days=5)) == Away(
        today + timedelta(days=5), later.last
    )
    assert next_away(house.conn, today + timedelta(days=20)) is None
