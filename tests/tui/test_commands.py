"""One list of commands binds, labels and explains: it must hold together."""

from importlib import import_module

import pytest

from curedash.present.words import text_of
from curedash.tui.chassis.commands import (
    COMMANDS,
    FOOTER_KEYS,
    KEY_WORDS,
    SCREENS,
    by_key,
    footer_of,
    of_form,
    of_page,
)
from curedash.tui.chassis.drawn_page import keys_line
from curedash.tui.chassis.page import Page
from curedash.tui.screens.keys import PURPOSES
from curedash.tui.screens.palette import matching


def page_class(name: str) -> type[Page]:
    module, _, kind = SCREENS[name].partition(":")
    return getattr(import_module(module), kind)


@pytest.mark.parametrize("name", SCREENS)
def test_every_command_of_a_page_has_its_method(name):
    kind = page_class(name)
    assert name == kind.NAME
    for command in of_page(name):
        assert callable(getattr(kind, command.method)), command.id


def test_every_command_belongs_to_a_page_that_exists():
    assert {command.page for command in COMMANDS} <= {*SCREENS, "any"}


@pytest.mark.parametrize("name", SCREENS)
def test_no_key_means_two_things_on_a_page(name):
    """The keys that mean the same everywhere included; a page may give one a meaning of its own."""
    meanings = {key: [c.id for c in of_page(name) if key in c.keys] for key in by_key(name)}
    assert {key: ids for key, ids in meanings.items() if len(ids) > 1} == {}
    keys = list(meanings)
    for key in keys:
        assert len(key) == 1 or key in KEY_WORDS, f"a multiplexer may eat {key}"


@pytest.mark.parametrize("name", SCREENS)
def test_the_footer_fits_into_eighty_columns(name):
    """The usual ones always fit; the rest of the line is used, and none is cut in the middle."""
    footer = footer_of(name)
    hints = [(KEY_WORDS.get(c.keys[0], c.keys[0]), c.label) for c in footer]
    line = text_of(keys_line(hints, 80)).rstrip()
    usual = [c for c in footer if c.footer][:FOOTER_KEYS]
    assert usual
    assert footer[: len(usual)] == usual
    assert all(c.label in line for c in usual)
    shown = "   ".join(f"{key} {label}" for key, label in hints)
    assert shown.startswith(line)
    assert line == shown or shown[len(line) :].startswith("   ")


@pytest.mark.parametrize("name", SCREENS)
def test_every_page_can_be_left_by_a_letter_or_lists_esc(name):
    keys = by_key(name)
    assert "q" in keys or name == "palette"
    assert "escape" in keys


def test_help_is_one_sentence():
    for command in COMMANDS:
        assert command.help.endswith("."), command.id
        assert len(command.help) <= 60, command.id


def test_the_palette_finds_by_words_of_label_and_help():
    assert [command.id for command in matching("hang green", "rack")] == ["rack.base"]
    assert matching("no such words", "rack") == []
    assert len(matching("", "rack")) == len(of_page("rack")) - 1


async def test_every_letter_can_be_typed_into_the_list_of_commands(household, sit):
    """``x`` opens the list everywhere else; in it, it is a letter like any other."""
    async with sit(household()) as seat:
        await seat.press("x")
        await seat.type("exp")
        assert "find › exp" in seat.lines()[0]
        assert any("lossless" in line for line in seat.lines()[1:-3])


async def test_what_is_cut_in_the_list_of_commands_says_so_and_stands_whole_below(household, sit):
    async with sit(household(), size=(60, 20)) as seat:
        await seat.press("f2")
        await seat.type("we")
        assert (
            seat.lines()[1].rstrip()
            == " w         weigh         Weigh this lot; a digit starts it…"
        )
        assert "Weigh this lot; a digit starts it at once." in seat.text()


@pytest.mark.parametrize("size", [(60, 20), (80, 24)])
@pytest.mark.parametrize("key", ["pagedown", "end"])
async def test_the_keys_of_a_screen_are_paged_to_their_last_word(household, sit, size, key):
    async with sit(household(), size=size) as seat:
        await seat.press("question_mark")
        first = seat.lines()[1]
        assert "PgDn for the rest" in seat.text()
        await seat.press(*[key] * 12)
        keys = seat.app.screen.list
        every = " ".join(" ".join(text_of(keys._draw(at)) for at in keys.keys).split())
        shown = " ".join(" ".join(seat.lines()[1:-3]).split())
        assert every.endswith(shown)
        assert len(shown) > 40
        assert "n or Esc changes it." in every
        assert "letters are commands while nothing is typed." in every
        assert "…" not in every
        await seat.press("home")
        assert seat.lines()[1] == first


@pytest.mark.parametrize("name", SCREENS)
def test_every_footer_begins_with_the_keys_and_the_way_back(name):
    """What one needs when lost stands first, where no narrow screen leaves it out."""
    methods = [command.method for command in footer_of(name)]
    ways = ("do_keys",) if name == "rack" else ("do_keys", "do_leave")  # the Rack has none below
    first = [method for method in ways if method in methods]
    assert methods[: len(first)] == first
    back = "quit" if name == "rack" else "back"
    assert all(c.label == back for c in footer_of(name) if c.method == "do_leave")


@pytest.mark.parametrize(("width", "columns"), [(60, 1), (100, 2), (140, 3)])
@pytest.mark.parametrize("page", ["rack", "lot", "new_batch", "round"])
async def test_the_keys_are_in_columns_by_purpose_and_none_is_lost(
    household, sit, page, width, columns
):
    async with sit(household(), size=(width, 60)) as seat:
        seat.app.open_page("keys", of=page)
        await seat.settle()
        drawn = [text_of(seat.app.screen.list._draw(key)) for key in seat.app.screen.list.keys]
        assert max(map(len, drawn)) <= width
        room = (width - 2 * (columns - 1)) // columns + 2
        sides = [
            [line[n * room : (n + 1) * room].strip() for line in drawn] for n in range(columns)
        ]
        heads = [cell for side in sides for cell in side if cell in PURPOSES]
        assert heads == [purpose for purpose in PURPOSES if purpose in heads]
        text = " ".join(cell for side in sides for cell in side)
        for command in of_form(page) if page == "new_batch" else of_page(page):
            assert " ".join(command.help.split()) in " ".join(text.split())


@pytest.mark.parametrize(("keys", "page"), [("p", "places"), ("HC", "copies"), ("", "first_start")])
async def test_home_and_end_go_to_the_ends_of_short_lists_too(tmp_path, household, sit, keys, page):
    path = household() if keys else tmp_path / "new.db"
    async with sit(path) as seat:
        await seat.press(*keys)
        if page == "copies":
            await seat.press("n", "enter", "n", "enter")
        screen = seat.app.screen
        assert page == screen.NAME
        shown = list(screen._air) if page == "places" else screen.list.keys
        assert shown[0] != shown[-1]
        for pressed, ends in (("end", shown[-1]), ("home", shown[0]), ("end", shown[-1])):
            await seat.press(pressed)
            here = screen.list.cursor_key
            assert (here[0] if page == "places" else here) == ends


async def test_the_keys_say_that_space_lists_what_is_rare(household, sit):
    async with sit(household(), size=(100, 60)) as seat:
        await seat.press("p", "question_mark")
        said = "Space lists less common actions by their names, so no letter need be remembered."
        assert said in " ".join(seat.text().split())
