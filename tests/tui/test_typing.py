"""The one input: what stands in a field is typed over, Ctrl-U empties it, everywhere alike."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from curedash.tui.chassis.line_input import MOST, TypedLine

NAMES = {"ctrl+u": "\x15", "ctrl+w": "\x17"}
KEYS = ("left", "right", "home", "end", "backspace", "delete", "ctrl+u", "ctrl+w", "é", "7", " ")


def press(line: TypedLine, *keys: str) -> TypedLine:
    for key in keys:
        line.key(key, NAMES.get(key, key if len(key) == 1 else None))
    return line


@pytest.mark.parametrize(
    ("keys", "left"),
    [
        (("x",), "x"),
        (("x", "y"), "xy"),
        (("end", "x"), "scale 1 gx"),
        (("left", "x"), "scale 1 xg"),
        (("backspace", "x"), "scale 1 x"),
        (("ctrl+u",), ""),
        (("end", "ctrl+u", "x"), "x"),
        (("ctrl+w",), "scale 1 "),
        (("ctrl+w", "ctrl+w"), "scale "),
        (("ctrl+w",) * 5, ""),
    ],
)
def test_what_stands_there_is_typed_over_or_edited(keys, left):
    assert press(TypedLine("scale 1 g", marked=True), *keys).text == left


def test_pasted_text_replaces_it_too():
    line = TypedLine("scale 1 g", marked=True)
    line.put("kitchen\n2 g")
    assert line.shown == "kitchen 2 g▏"


def test_what_was_typed_already_goes_on():
    assert press(TypedLine("11"), "8", "1").text == "1181"


@given(st.text(max_size=40), st.booleans(), st.lists(st.sampled_from(KEYS), max_size=30))
def test_the_caret_stays_in_the_text_and_it_never_grows_too_long(text, marked, keys):
    line = press(TypedLine(text, marked=marked), *keys)
    assert 0 <= line.at <= len(line.text) <= MOST
    assert line.shown.replace("▏", "", 1).replace("▏", "") == line.text.replace("▏", "")


def typed(seat) -> str:
    """What stands in the input of the screen, wherever it is."""
    screen = seat.app.screen
    talk = screen.talking
    return (screen.form if talk is None else talk).typed.text


#: how to come to an input from the Rack, and what is typed into it first (if it is empty)
INPUTS = {
    "weigh-in": (("w",), "1181"),
    "find": (("slash",), "belly"),
    "new batch, name": (("n", "down"), "Collar"),
    "new batch, a default": (("n", *"coppa", "down"), ""),
    "settings, scale": (("S", "scale"), ""),
    "stand-in page": (("d", "R", "enter", "ctrl+s"), ""),
    "snooze": (("a", "z"), "3 the sensor is in the post"),
    "opened": (("enter", "i"), "1181"),
    "divide": (("enter", "Y"), "400 280"),
    "note": (("enter", "l"), "firm at the tip"),
    "reading": (("p", "g"), "3.5 78"),
    "away": (("d", "n"), "12-19 Dec"),
    "book": (("B", "slash"), "loin"),
}


async def go_to(seat, keys) -> None:
    for key in keys:
        if key == "scale":
            while seat.app.screen.row_here().kind != "scale":
                await seat.press("down")
            await seat.press("enter")
        else:
            await seat.press(key)


def with_a_scale(path) -> None:
    from curedash.services.household import household_settings
    from curedash.store.open import open_db
    from curedash.store.work import By
    from tests.tui.conftest import days_ago

    conn = open_db(str(path))
    household_settings.add_scale(
        conn,
        By(days_ago(0), "ben", "shell", "x"),
        household_settings.typed_scale("kitchen 1 g 5 kg"),
    )
    conn.close()


@pytest.mark.parametrize("name", INPUTS)
async def test_ctrl_u_empties_every_input(household, sit, name):
    path = household()
    with_a_scale(path)
    keys, first = INPUTS[name]
    async with sit(path) as seat:
        await go_to(seat, keys)
        await seat.type(first)
        assert typed(seat)
        await seat.press("ctrl+u")
        assert typed(seat) == ""
        await seat.type("7")
        assert typed(seat) == "7"


@pytest.mark.parametrize("name", [name for name, (_, first) in INPUTS.items() if not first])
async def test_the_first_character_replaces_what_stands_there(household, sit, name):
    path = household()
    with_a_scale(path)
    async with sit(path) as seat:
        await go_to(seat, INPUTS[name][0])
        assert len(typed(seat)) > 1
        await seat.type("7")
        assert typed(seat) == "7"


async def test_a_field_come_back_to_is_typed_over_too(household, sit):
    async with sit(household()) as seat:
        await seat.press("n", "down")
        await seat.type("Collar")
        await seat.press("tab", "shift+tab")
        await seat.type("Belly")
        assert seat.app.screen.form.touched["name"] == "Belly"


async def test_ctrl_u_gives_a_choice_its_usual_value_back(household, sit):
    async with sit(household()) as seat:
        await seat.press("n", "f6")
        form = seat.app.screen.form
        for _ in range(20):
            if form.at == "shape":
                break
            await seat.press("tab")
        assert form.at == "shape"
        await seat.press("right")
        assert form.touched["shape"] == "round"
        await seat.press("ctrl+u")
        assert "shape" not in form.touched
