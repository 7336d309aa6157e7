"""Alerts as a grid, jars and styles on the Settings screen: edited there, and taken back there."""

import json

import pytest

from curedash.present.display_units import show_in
from curedash.tui.chassis.commands import use_keys


@pytest.fixture(autouse=True)
def usual_view():
    show_in()
    yield
    show_in()
    use_keys({})


async def go_to(seat, kind: str, which: str = "") -> None:
    await seat.press("S") if seat.app.screen.NAME == "rack" else None
    seat.app.screen.list.move_to((kind, which))
    await seat.settle()


def rules(seat) -> dict[str, float | None]:
    found = seat.ask("SELECT id, body FROM alert_rule")
    return {rule: json.loads(body)["value"] for rule, body in found}


def line_of(seat, begins: str) -> str:
    return next(line for line in seat.lines() if line.strip().startswith(begins))


# ── the grid of alerts ────────────────────────────────────────────────────────────────────


@pytest.mark.parametrize("size", [(45, 22), (60, 20), (80, 24), (120, 36), (160, 45)])
async def test_limits_are_a_grid_of_stage_and_limit(household, sit, size):
    async with sit(household(), size=size) as seat:
        await go_to(seat, "limits", "drying")
        column = seat.app.screen.list.column_width
        title = "Temperature" if size[0] == 45 else "Alerts: temperature"
        head = line_of(seat, title)[:column].rstrip()
        assert "…" not in head
        assert head.split()[-6:] == ["24", "h", "max", "6", "h", "max", "24", "h", "min"][-6:]
        row = line_of(seat, "drying")[:column].rstrip()
        assert "[16 °C]" in row
        assert row.split()[-4:] == ["20", "°C", "−1", "°C"]
        ends = [head.index("6 h max") + len("6 h max"), head.index("24 h min") + len("24 h min")]
        assert [row.index("20 °C") + 5, row.index("−1 °C") + 5] == ends
        assert line_of(seat, "keeping")[:column].split()[-1] == "off"


async def test_a_cell_is_gone_to_with_arrows_and_changed_by_typing(household, sit):
    async with sit(household()) as seat:
        await go_to(seat, "limits", "in-cure")
        await seat.press("right")
        assert "[7 °C]" in line_of(seat, "in cure")
        assert "mean of 6 h above (now); usually 7 °C" in seat.text()
        await seat.type("6\r")
        assert rules(seat) == {"in-cure-warm-6h": 6}
        assert "[6 °C]*" in line_of(seat, "in cure")
        await seat.press("down")
        assert "[7 °C]" in line_of(seat, "salt rest")
        assert "[" not in line_of(seat, "in cure")
        await seat.press("right", "enter")
        await seat.type("1\r")
        assert rules(seat) == {"in-cure-warm-6h": 6, "salt-rest-cold-24h": 1}
        await seat.press("right", "left", "left", "enter")
        await seat.type("off\r")
        assert rules(seat)["salt-rest-warm-6h"] is None
        assert "[off]*" in line_of(seat, "salt rest")


async def test_what_was_changed_here_is_taken_back_and_put_back_here(household, sit):
    async with sit(household()) as seat:
        await go_to(seat, "limits", "drying")
        await seat.type("15\r")
        assert "Saved; u undoes it." in seat.text()
        await seat.press("u")
        assert rules(seat) == {}
        assert "[16 °C]" in line_of(seat, "drying")
        await seat.press("y")
        assert rules(seat) == {"drying-warm-24h": 15}
        await seat.press("X")
        assert rules(seat) == {}
        await seat.press("u")
        assert rules(seat) == {"drying-warm-24h": 15}


async def test_a_value_out_of_range_is_one_sentence_and_stays_typed(household, sit):
    async with sit(household()) as seat:
        await go_to(seat, "limits", "drying")
        await seat.type("warm\r")
        assert rules(seat) == {}
        await seat.type("5x\r")
        assert "is neither a number of °C nor off" in seat.text()
        assert "› 5x" in seat.text()
        await seat.press("escape")


# ── jars ──────────────────────────────────────────────────────────────────────────────────


JARS = "SELECT name, nitrite_pct, nitrate_pct FROM curing_salt ORDER BY name"


async def test_a_jar_is_added_corrected_removed_and_taken_back(household, sit):
    async with sit(household()) as seat:
        await go_to(seat, "new-jar")
        await seat.press("enter")
        await seat.type("red jar 6.25/0\r")
        assert seat.ask(JARS) == [("red jar", 6.25, 0.0)]
        assert "never spoon it" in seat.text()
        await go_to(seat, "jar", "red-jar")
        await seat.press("enter")
        await seat.press("ctrl+u")
        await seat.type("blue jar 6.25/4/89.75\r")
        assert seat.ask(JARS) == [("blue jar", 6.25, 4.0)]
        await seat.press("u")
        assert seat.ask(JARS) == [("red jar", 6.25, 0.0)]
        await go_to(seat, "jar", "red-jar")
        await seat.press("X")
        assert seat.ask(JARS) == []
        await seat.press("u")
        assert seat.ask(JARS) == [("red jar", 6.25, 0.0)]


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("red jar", "nitrite %/nitrate %"),
        ("no2 6.25/0", "is a generic type"),
        ("red jar 90/90", "100 %"),
        ("[b]jar/x 6.25/0", "has no /"),
    ],
)
async def test_a_jar_that_cannot_be_is_refused_and_nothing_typed_is_lost(
    household, sit, typed, said
):
    async with sit(household()) as seat:
        await go_to(seat, "new-jar")
        await seat.press("enter")
        await seat.type(typed + "\r")
        assert said in seat.text()
        assert typed in seat.text()
        await seat.press("escape")
        assert seat.ask(JARS) == []


async def test_a_pre_mix_is_made_and_says_what_to_weigh(household, sit):
    """One part of 6.25 % in four of table salt: 40 g and 160 g make 200 g of 1.25 %."""
    async with sit(household()) as seat:
        await go_to(seat, "new-premix")
        await seat.press("enter")
        await seat.type("no1 4 200g weak\r")
        assert seat.ask(JARS) == [("weak", 1.25, 0.0)]
        text = " ".join(seat.text().split())
        assert "40 g" in text
        assert "160 g" in text
        await seat.press("u")
        assert seat.ask(JARS) == []


# ── styles ────────────────────────────────────────────────────────────────────────────────


def own(seat) -> dict[str, dict]:
    return {key: json.loads(body) for key, body in seat.ask("SELECT id, body FROM style")}


async def test_a_style_of_the_library_becomes_the_households_own_by_a_change(household, sit):
    async with sit(household()) as seat:
        await go_to(seat, "styles", "bresaola")
        await seat.press("enter")
        await go_to(seat, "style-field", "bresaola loss")
        await seat.press("enter")
        await seat.press("ctrl+u")
        await seat.type("33..38%\r")
        assert (own(seat)["bresaola"]["loss_lo_pct"], own(seat)["bresaola"]["loss_hi_pct"]) == (
            33,
            38,
        )
        await go_to(seat, "style-field", "bresaola shape")
        await seat.press("enter", "1", "enter")
        assert own(seat)["bresaola"]["shape"] == "slab"
        await go_to(seat, "style-field", "bresaola has_rest")
        await seat.press("enter", "2", "enter")
        assert own(seat)["bresaola"]["has_rest"] is True
        await seat.press("u")
        assert own(seat)["bresaola"]["has_rest"] is False
        await go_to(seat, "styles", "bresaola")
        await seat.press("X")
        assert own(seat) == {}
        assert "35–40 % of hang" in line_of(seat, "air-dried beef")


@pytest.mark.parametrize("size", [(45, 22), (80, 24)])
async def test_an_opened_style_has_its_fields_in_sight(household, sit, size):
    async with sit(household(), size=size) as seat:
        await go_to(seat, "styles", "bresaola")
        await seat.press("enter")
        for words in ("animal", "salting method", "pulled at", "weighed every"):
            assert line_of(seat, words)
        assert "›" in seat.drawn()[1]
        await seat.press("enter")
        assert "pulled at" not in seat.text()


async def test_every_field_of_a_style_takes_back_what_it_shows(household, sit):
    """What stands on the line when Enter opens it is accepted as it is."""
    async with sit(household(), size=(120, 60)) as seat:
        await go_to(seat, "styles", "coppa")
        await seat.press("enter")
        fields = [which for kind, which in seat.app.screen.rows if kind == "style-field"]
        assert len(fields) > 15
        before = None
        for which in fields:
            await go_to(seat, "style-field", which)
            await seat.press("enter", "enter")
            assert seat.app.screen.talking is None, which
            kept = own(seat)["coppa"]
            assert before in (None, kept), which
            before = kept


async def test_a_style_is_copied_under_a_name_and_a_wrong_one_is_refused(household, sit):
    async with sit(household()) as seat:
        await go_to(seat, "styles", "coppa")
        await seat.press("n")
        await seat.type("***\r")
        assert "a name with letters or digits" in seat.text()
        await seat.press("ctrl+u")
        await seat.type("Our collar\r")
        assert own(seat)["our-collar"]["name"] == "Our collar"
        assert "Our collar *" in seat.text()
        assert "pulled at" in seat.text(), "opened, to be changed"
        await seat.press("u")
        assert own(seat) == {}


@pytest.mark.parametrize(
    ("field", "typed", "said"),
    [
        ("loss", "33..x%", "33..x"),
        ("salt", "2..3", "2.25..2.75..3.5"),
        ("weigh_every_days", "often", "is not a number of days"),
        ("temp", "warm", "warm"),
        ("curing_salt", "sugar", "sugar"),
        ("name", "", "name"),
    ],
)
async def test_what_a_style_cannot_be_is_refused_with_a_sentence(
    household, sit, field, typed, said
):
    async with sit(household()) as seat:
        await go_to(seat, "styles", "coppa")
        await seat.press("enter")
        await go_to(seat, "style-field", f"coppa {field}")
        await seat.press("enter", "ctrl+u")
        await seat.type(typed + "\r")
        assert seat.app.screen.talking is not None
        assert said in seat.text()
        assert own(seat) == {}
        await seat.press("escape")
