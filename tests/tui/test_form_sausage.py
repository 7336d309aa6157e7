"""A sausage in the form of a new batch: what it asks, and that the shell stores the same."""

import json
import sqlite3

import pytest

from curedash.__main__ import main
from tests.tui.conftest import NOW
from tests.tui.test_new_batch import fill, fill_back

TABLES = ("batch", "source", "lot", "dose_line", "stage_entry", "weigh_in", "event", "place")
PLACES = (
    ("place", "add", "Warm box", "--temp", "20..24C", "--rh", "85..95"),
    ("place", "add", "Fridge", "--temp", "2..4C"),
    ("place", "add", "Cellar", "--temp", "10..14C", "--rh", "70..80"),
)


@pytest.fixture
def by_shell(monkeypatch):
    """Commands on a file, at the moment of the form; each must succeed."""
    monkeypatch.setenv("CUREDASH_NOW", NOW.strftime("%Y-%m-%dT%H:%M:%SZ"))

    def run(path, *commands):
        monkeypatch.setenv("CUREDASH_DB", str(path))
        for words in commands:
            assert main(list(words)) == 0, words

    return run


def kept(path):
    """Every row of the tables a sausage is kept in."""
    found = {}
    with sqlite3.connect(path) as conn:
        conn.row_factory = sqlite3.Row
        for table in TABLES:
            rows = [dict(row) for row in conn.execute(f"SELECT * FROM {table} ORDER BY id")]
            found[table] = rows
            for row in rows:
                row.update(json.loads(row.pop("recipe", "{}")))
    conn.close()
    return found


async def test_the_form_and_the_shell_store_the_same_sausage(tmp_path, sit, by_shell):
    typed, told = tmp_path / "form.db", tmp_path / "shell.db"
    by_shell(typed, *PLACES)
    async with sit(typed) as seat:
        await seat.press("q", "n")
        await fill(seat, ("style", "salami-thin"), ("name", "Garlic string"))
        await fill(seat, ("pieces", "1600 + 400"), ("sausages", "8"), ("casing", "32"))
        await fill(seat, ("curing_salt", "no2"), ("starter", "0.02"), ("spices", "pepper 0.3"))
        await fill(seat, ("scale", "0.1"), ("rules", "un"), ("stuffed", "2060"))
        await fill(seat, ("casing_g", "45 casing"), ("ferment_in", "Warm box"), ("ph", "5.8"))
        await fill(seat, ("smoke", "4 h beech"), ("hang_in", "Cellar"))
        await seat.press("f10")
        assert "did all 4 lines of its dose sheet go in" in " ".join(seat.text().split())
        assert seat.ask("SELECT count(*) FROM lot") == [(0,)], "nothing is ticked on its own"
        await seat.press("n")
        assert seat.app.screen.form.at == "stuffed"
        await seat.press("f10", "y")
        assert "measure its pH" in " ".join(seat.text().split())
    mix = ("batch", "add", "--name", "Garlic string", "--style", "thin salami", "--green")
    mix = (*mix, "1600 + 400 g", "--count", "8", "--thickness", "32mm", "--curing-salt", "no2")
    mix = (*mix, "--extra", "starter=0.02", "--extra", "pepper=0.3", "--scale", "0.1")
    mix = (*mix, "--rules", "us", "--salted-on", "now", "--ferment-in", "Warm box")
    mix = (*mix, "--smoke", "4 h beech", "--hang-in", "Cellar")
    stuff = ("stage", "A1", "ferment", "--weight", "2060", "--tare", "45", "--tare-what", "casing")
    by_shell(told, *PLACES, mix, (*stuff, "--place", "Warm box"), ("ph", "A1", "5.8"))
    form, shell = kept(typed), kept(told)
    for table in TABLES:
        assert len(form[table]) == len(shell[table]), table
        for one, two in zip(form[table], shell[table], strict=True):
            assert {
                name: (value, two[name]) for name, value in one.items() if value != two[name]
            } == {}
    assert form["batch"][0]["fat_pct"] == 20.0
    assert form["lot"][0]["stage"] == "ferment"
    assert form["lot"][0]["hang_g"] == 2015.0


async def test_a_sausage_mixed_days_ago_ferments_since_then(tmp_path, sit, by_shell):
    typed, told = tmp_path / "form.db", tmp_path / "shell.db"
    by_shell(typed, *PLACES)
    async with sit(typed, size=(60, 20)) as seat:
        await seat.press("q", "n")
        await fill(seat, ("style", "salami-thin"), ("pieces", "1600 + 400"), ("casing", "32"))
        await fill(seat, ("curing_salt", "no2"), ("scale", "0.1"), ("rules", "un"))
        await fill(seat, ("stuffed", "2060"), ("ferment_in", "Warm box"), ("ph", "5.2"))
        await fill(seat, ("salted", "-4d"), ("name", "String"))
        await seat.press("f10")
        asked = " ".join(seat.text().split())
        assert "It counts as stuffed when it was mixed, 21 Nov 12:00. If not, leave" in asked
        assert "“weight stuffed” empty. y tick all" in asked, "whole on a phone"
        await seat.press("y")
        said = " ".join(seat.text().split())
        assert "A1 has been fermenting since 21 Nov 12:00." in said
        (since, ticked) = seat.ask(
            "SELECT stage_at, (SELECT max(ticked_at) FROM dose_line) FROM lot"
        )[0]
        assert (since, ticked) == ("2026-11-21T12:00:00Z", "2026-11-21T12:00:00Z")
        assert seat.ask("SELECT at FROM weigh_in") == [(since,)]
        assert seat.ask("SELECT at FROM event WHERE kind = 'ph'") == [("2026-11-25T09:00:00Z",)]
    mix = ("batch", "add", "--name", "String", "--style", "thin salami", "--green", "1600 + 400 g")
    mix = (*mix, "--thickness", "32mm", "--curing-salt", "no2", "--scale", "0.1", "--rules", "us")
    mix = (*mix, "--salted-on", "-4d", "--ferment-in", "Warm box")
    stuff = ("stage", "A1", "ferment", "--at", "-4d", "--weight", "2060", "--tare", "0")
    by_shell(told, *PLACES, mix, (*stuff, "--place", "Warm box"), ("ph", "A1", "5.2"))
    form, shell = kept(typed), kept(told)
    assert form == shell


async def test_a_sausage_mixed_now_has_nothing_to_say_of_its_beginning(tmp_path, sit, by_shell):
    typed = tmp_path / "form.db"
    by_shell(typed, *PLACES)
    async with sit(typed) as seat:
        await seat.press("q", "n")
        await fill(seat, ("style", "salami-thin"), ("pieces", "2000"), ("curing_salt", "no2"))
        await fill(seat, ("scale", "0.1"), ("rules", "un"), ("stuffed", "2060"))
        await fill(seat, ("ferment_in", "Warm box"))
        await seat.press("f10")
        assert "It counts as stuffed" not in " ".join(seat.text().split())
        await seat.press("y")
        said = " ".join(seat.text().split())
        assert "has been fermenting since" not in said
        assert "measure its pH" in said


async def test_a_sausage_is_asked_for_its_own_path_and_not_for_a_cut(tmp_path, sit):
    async with sit(tmp_path / "new.db", size=(80, 60)) as seat:
        await seat.press("n")
        await fill(seat, ("style", "salami-thin"))
        await seat.press("f6")
        text = seat.text()
        for there in ("meat and fat", "casing", "starter", "weight stuffed", "ferments in"):
            assert there in text, there
        for there in ("pH now", "smoke", "hangs in", "mixed on"):
            assert there in text, there
        labels = {line[8:23].strip() for line in seat.lines()}
        assert not labels & {"cut", "thickness", "skin, fat cap", "shape", "in one bag", "place"}
        assert "into the cure" not in text


async def test_what_is_not_stuffed_yet_keeps_its_plan(tmp_path, sit):
    async with sit(tmp_path / "new.db") as seat:
        await seat.press("n")
        await fill(seat, ("style", "salami-thin"), ("pieces", "2000"), ("curing_salt", "no2"))
        await fill(seat, ("starter", "0.02"), ("ferment_in", "Warm box 20-24C 85-95%"))
        await fill(seat, ("smoke", "4 h beech"), ("hang_in", "Cellar 10-14C"))
        await seat.press("f10")
        assert seat.ask("SELECT stage, hang_g FROM lot") == [("raw", None)]
        bands = "SELECT name, temp_lo_c, rh_hi_pct FROM place ORDER BY id"
        assert seat.ask(bands) == [("Warm box", 20.0, 95.0), ("Cellar", 10.0, None)]
        await seat.press(*["space"] * 3)
        await seat.press("q", "s", "enter")
        await seat.type("2060\r45 casing\r")
        assert "Enter: Warm box, to ferment" in seat.text()
        await seat.press("enter")
        assert seat.ask("SELECT stage, hang_g FROM lot") == [("ferment", 2015.0)]
        await sour(seat)
        await seat.press("s", "enter")
        assert "Enter: Cellar" in seat.text()
        await seat.press("enter")
        assert "smoke was planned: 4 h beech" in " ".join(seat.text().split())


async def test_a_warm_ferment_in_a_cold_place_asks_why(tmp_path, sit, by_shell):
    path = tmp_path / "new.db"
    by_shell(path, *PLACES)
    async with sit(path) as seat:
        await seat.press("q", "n")
        await fill(seat, ("style", "salami-thin"), ("pieces", "2000"), ("curing_salt", "no2"))
        await fill(seat, ("starter", "0.02"), ("stuffed", "2060"), ("casing_g", "45"))
        await fill(seat, ("ferment_in", "Fridge"))
        assert "hardly starts below 10 °C" in " ".join(seat.text().split())
        await seat.press("f10", "y")
        assert seat.ask("SELECT count(*) FROM lot") == [(0,)]
        assert "A ferment hardly starts below 10 °C" in " ".join(seat.text().split())
        await seat.type("it is heated by hand\r")
        assert seat.ask("SELECT stage FROM lot") == [("ferment",)]
        notes = seat.ask("SELECT note FROM stage_entry WHERE stage = 'ferment'")
        assert notes == [("it is heated by hand",)]


@pytest.mark.parametrize(
    ("field", "text", "said"),
    [
        ("stuffed", "2060 1000", "one weight for each string"),
        ("ph", "5.6", "what it weighs now"),
        ("ph", "54", "pH"),
        ("ferment_in", "Warm box max 20C", "one end of a range"),
        ("starter", "much", "How much"),
        ("casing", "x", "x"),
    ],
)
async def test_what_cannot_be_is_said_beside_its_field(tmp_path, sit, field, text, said):
    async with sit(tmp_path / "new.db") as seat:
        await seat.press("n")
        await fill(seat, ("style", "salami-thin"), ("pieces", "2000"), ("curing_salt", "no2"))
        await fill(seat, (field, text))
        await seat.press("f10")
        assert said in " ".join(seat.text().split())
        assert seat.ask("SELECT count(*) FROM lot") == [(0,)]


async def test_casing_and_string_alone_ask_for_no_weight(tmp_path, sit):
    async with sit(tmp_path / "new.db") as seat:
        await seat.press("n")
        await fill(seat, ("style", "salami-thin"), ("pieces", "2000"), ("curing_salt", "no2"))
        await fill(seat, ("starter", "0.02"), ("casing_g", "40 casing and string"))
        assert "saved only with its stuffed weight" in " ".join(seat.text().split())
        await seat.press("f10")
        assert "Still missing: weight stuffed" not in seat.text()
        assert seat.ask("SELECT stage FROM lot") == [("raw",)]


async def fermenting(seat):
    """A string that ferments in the only place there is, which is warm."""
    await seat.press("n")
    await fill(seat, ("style", "salami-thin"), ("pieces", "2000"), ("curing_salt", "no2"))
    await fill(seat, ("starter", "0.02"), ("stuffed", "2060"), ("casing_g", "45"))
    await fill(seat, ("ferment_in", "Warm box 20-24C"))
    await seat.press("f10", "y", "q")
    assert seat.ask("SELECT stage FROM lot") == [("ferment",)]


async def sour(seat):
    """The pH to reach is measured."""
    await seat.press("g")
    await seat.type("5.2\r")
    await seat.settle()


async def test_why_it_leaves_its_ferment_without_its_ph_is_asked_and_recorded(tmp_path, sit):
    """The pH to reach, 5.3, is that of the log form for degree-hours (domain/facts)."""
    async with sit(tmp_path / "new.db") as seat:
        await fermenting(seat)
        await seat.press("s", "enter")
        said = " ".join(seat.text().split())
        assert "No pH was measured in its ferment, and 5.3 is not reached" in said
        await seat.type("firm and sour, no strips left\r")
        await seat.type("Cellar 10-14C 70-80%\r")
        assert seat.ask("SELECT stage FROM lot") == [("drying",)]
        decided = "SELECT text FROM event WHERE kind = 'decision' AND voided_at IS NULL"
        assert seat.ask(decided) == [("drying anyway: firm and sour, no strips left",)]
        await seat.press("u")
        assert seat.ask("SELECT stage FROM lot") == [("ferment",)]
        assert seat.ask(decided) == []


async def test_out_of_the_only_warm_place_a_cooler_one_is_added_as_it_is_hung(tmp_path, sit):
    async with sit(tmp_path / "new.db") as seat:
        await fermenting(seat)
        await sour(seat)
        await seat.press("s", "enter")
        said = " ".join(seat.text().split())
        assert "Enter: stays in Warm box, too warm to dry in a new one: Cellar" in said
        await seat.type("Cellar 10-14C 70-80%\r")
        where = "SELECT stage, place.name, temp_hi_c FROM lot JOIN place ON place.id = place_id"
        assert seat.ask(where) == [("drying", "Cellar", 14.0)]
        await seat.press("u")
        assert seat.ask(where) == [("ferment", "Warm box", 24.0)]
        assert seat.ask("SELECT count(*) FROM place WHERE voided_at IS NULL") == [(1,)]


async def test_what_stays_in_the_warm_is_a_need_that_adds_a_cooler_place(tmp_path, sit):
    async with sit(tmp_path / "new.db") as seat:
        await fermenting(seat)
        await sour(seat)
        await seat.press("s", "enter", "enter")
        assert "is too warm to dry in" in " ".join(seat.text().split())
        await seat.press("a")
        assert "A1 drying at 20–24 °C, over 18 °C" in seat.text()
        while "drying at" not in next(line for line in seat.drawn() if line[1:2] == "›"):
            await seat.press("down")
        await seat.press("enter")
        await seat.type("Attic 20-26C\r")
        assert "too warm to dry in as well" in " ".join(seat.text().split())
        await seat.press("ctrl+u")
        await seat.type("Cellar 10-14C\r")
        where = "SELECT place.name FROM lot JOIN place ON place.id = place_id"
        assert seat.ask(where) == [("Cellar",)]
        assert seat.app.screen.NAME == "needs"
        assert "A1 is in Cellar now" in " ".join(seat.text().split())


async def at_the_starter(seat, typed):
    """The form of a salami with this typed for its starter, and the field left."""
    await seat.press("n")
    await fill(seat, ("style", "salami-thin"), ("pieces", "1600 + 400"), ("starter", typed))
    await seat.press("enter")


async def test_a_starter_without_its_percent_is_asked_for_it_by_its_own_name(tmp_path, sit):
    async with sit(tmp_path / "new.db") as seat:
        await at_the_starter(seat, "culture B")
        said = " ".join(seat.text().split())
        assert "How much culture B? Type the percent after it: culture B 0.02." in said
        assert "black pepper" not in said


async def test_a_blank_goes_on_behind_a_value_gone_back_to(tmp_path, sit):
    async with sit(tmp_path / "new.db") as seat:
        await at_the_starter(seat, "culture B")
        await fill_back(seat, "starter")
        await seat.type(" 0.025")
        assert seat.app.screen.form.touched["starter"] == "culture B 0.025"
        await fill(seat, ("curing_salt", "no2"), ("scale", "0.01"), ("rules", "un"))
        await seat.press("f10")
        recipe = json.loads(seat.ask("SELECT recipe FROM batch")[0][0])
        assert ["culture B", 0.025] in recipe["extras"]


async def test_degrees_alone_are_asked_about_where_it_ferments(tmp_path, sit):
    async with sit(tmp_path / "new.db") as seat:
        await seat.press("n")
        await fill(seat, ("style", "salami-thin"), ("ferment_in", "22"))
        await seat.press("enter")
        assert "Is the place called “22”?" in seat.text()
        assert "Box 20-24C" in seat.text()


async def test_the_cut_after_a_sausage_goes_where_a_cut_was_in_cure_last(tmp_path, sit, by_shell):
    """Neither the place of the ferment nor the one a piece dries in by now; no spices either."""
    path = tmp_path / "new.db"
    cut = ("batch", "add", "--name", "Eye", "--style", "bresaola", "--green", "1134", "--place")
    cut = (*cut, "Fridge", "--thickness", "80mm", "--curing-salt", "no2", "--scale", "0.1")
    by_shell(path, *PLACES, (*cut, "--salted-on", "-30d"))
    by_shell(path, ("stage", "A1", "drying", "--weight", "1100", "--place", "Cellar"))
    mix = ("batch", "add", "--name", "String", "--style", "salami-thin", "--green", "2000")
    mix = (*mix, "--curing-salt", "no2", "--extra", "fennel=0.3", "--sugar", "0.4", "--scale")
    by_shell(path, (*mix, "0.1", "--salted-on", "now", "--ferment-in", "Warm box"))
    by_shell(path, ("stage", "B1", "ferment", "--weight", "2060", "--place", "Warm box"))
    async with sit(path) as seat:
        await seat.press("n")
        await fill(seat, ("style", "coppa"))
        values = seat.app.screen._values
        assert (values["place"], values["spices"], values["sugar"]) == ("Fridge", "", "")
        assert "as batch A" in seat.text()


@pytest.mark.parametrize(
    ("typed", "stored"),
    [
        ("culture B 0.5 g", ["culture B", 0.025]),
        ("0.25 g/kg", ["starter", 0.025]),
        ("T-2 0.5g", ["starter T-2", 0.025]),
        ("starter 0.025 %", ["starter", 0.025]),
    ],
)
async def test_a_starter_is_typed_in_grams_or_percent(tmp_path, sit, typed, stored):
    """By hand: 0.5 g on 2000 g of meat and fat is 0.025 %."""
    async with sit(tmp_path / "new.db") as seat:
        await at_the_starter(seat, typed)
        await fill(seat, ("curing_salt", "no2"), ("scale", "0.01"), ("rules", "un"))
        await seat.press("f10")
        recipe = json.loads(seat.ask("SELECT recipe FROM batch")[0][0])
        assert stored in recipe["extras"]


async def test_grams_of_a_starter_wait_for_the_weight_of_the_meat(tmp_path, sit):
    async with sit(tmp_path / "new.db") as seat:
        await seat.press("n")
        await fill(seat, ("style", "salami-thin"), ("starter", "0.5 g"))
        await seat.press("enter")
        assert "Type the meat's weight first, or give percent or g/kg." in " ".join(
            seat.text().split()
        )


async def test_a_ferment_that_begins_says_where_and_what_is_next(tmp_path, sit):
    async with sit(tmp_path / "new.db") as seat:
        await seat.press("n")
        await fill(seat, ("style", "salami-thin"), ("pieces", "2000"), ("curing_salt", "no2"))
        await fill(seat, ("starter", "0.02"), ("ferment_in", "Oven 20-24C 85-95%"))
        await seat.press("f10", *["space"] * 3)
        await seat.press("q", "s", "enter")
        await seat.type("2060\r45 casing\r")
        said = " ".join(seat.text().split())
        assert "A1 is fermenting now in Oven; g records its pH until 5.3 is reached" in said
        assert seat.ask("SELECT place.name FROM lot JOIN place ON place.id = place_id") == [
            ("Oven",)
        ]


async def test_a_price_is_found_by_its_word_from_rack_and_form(tmp_path, sit):
    async with sit(tmp_path / "new.db") as seat:
        await seat.press("q", "f2")
        await seat.type("price")
        assert "Salt a new batch" in seat.text()
        await seat.press("escape", "f2")
        await seat.type("cost")
        assert "Finished lots" in seat.text()
        await seat.press("escape", "n")
        await fill(seat, ("style", "coppa"), ("pieces", "1134"))
        assert "roast, price" in seat.text()
        await seat.press("f2")
        await seat.type("price")
        await seat.press("enter")
        await fill(seat, ("source", "1"))
        await seat.press("down")
        assert seat.app.screen.form.at == "price:0"
