"""A person's view: a small TOML file, read if it is there; what cannot be used is said."""

from pathlib import Path

import pytest

from curedash.domain.errors import Refused
from curedash.services.household.preferences import choose, choose_keys, load, view_path
from curedash.tui.chassis.apply_preferences import take, usable
from curedash.tui.chassis.commands import COMMANDS, SCREENS, by_key, footer_of, use_keys


@pytest.fixture
def write(tmp_path):
    def to(text: str) -> str:
        path = tmp_path / "view.toml"
        path.write_text(text, encoding="utf-8")
        return str(path)

    return to


@pytest.fixture(autouse=True)
def usual():
    yield
    take("/nonexistent/view.toml")


def test_without_a_file_everything_is_usual(tmp_path):
    view, troubles = take(str(tmp_path / "none.toml"))
    assert (view.weights, view.temperatures, view.theme, view.keys) == ("g", "C", None, None)
    assert troubles == ()


def test_a_view_is_read(write):
    view, troubles = take(
        write(
            'weights = "lb"\ntemperatures = "F"\ntheme = "paper-light"\n'
            '[keys]\n"rack.weigh" = "G"\nrack.round = ["X", "F5"]\n'
        )
    )
    assert troubles == ()
    assert (view.weights, view.temperatures, view.theme) == ("lb", "F", "paper-light")
    assert by_key("rack")["G"].id == "rack.weigh"
    assert "w" not in by_key("rack")
    assert by_key("rack")["f5"].id == by_key("rack")["X"].id == "rack.round"
    assert [c.key_words for c in footer_of("rack")][1] == "G"


@pytest.mark.parametrize("text", ["weights = ", "\x00", "[keys\n", "weights = 'lb'\nweights = 'g'"])
def test_bad_toml_is_one_sentence_and_the_usual_view(write, text):
    view, troubles = take(write(text))
    assert (view.weights, view.temperatures) == ("g", "C")
    assert len(troubles) == 1
    assert "is not TOML" in troubles[0]
    assert troubles[0].endswith(".")
    assert "\n" not in troubles[0]


def test_bytes_that_are_no_text_and_a_folder_are_said_too(tmp_path):
    path = tmp_path / "view.toml"
    path.write_bytes(b"\xff\xfe\x00")
    assert "is not UTF-8 text" in load(str(path)).troubles[0]
    assert "is a folder" in load(str(tmp_path)).troubles[0]


def test_an_unknown_choice_or_value_leaves_the_rest_standing(write):
    view = load(write('weights = "stone"\ntemperatures = "F"\ncolour = "red"\n'))
    assert (view.weights, view.temperatures) == ("g", "F")
    assert "weights is g or lb, not “stone”" in view.troubles[0]
    assert "“colour” is not known" in view.troubles[1]


@pytest.mark.parametrize(
    ("name", "key", "why"),
    [
        ("rack.fly", "y", "no command rack.fly"),
        ("rack.weigh", "n", "n is rack.new already"),
        ("rack.weigh", "F2", "F2 is any.palette already"),
        ("rack.weigh", "7", "digits start a weight"),
        ("rack.weigh", "ctrl+b", "not every terminal passes “ctrl+b” on"),
        ("new_batch.save", "y", "letters are typed there"),
        ("any.palette", "w", "already"),
    ],
)
def test_a_key_that_cannot_be_is_one_sentence_and_the_usual_key(name, key, why):
    found, troubles = usable({name: (key,)})
    assert found == {}
    assert len(troubles) == 1
    assert why in troubles[0]


def test_two_commands_may_swap_their_keys():
    found, troubles = usable({"rack.weigh": ("n",), "rack.new": ("w",)})
    assert troubles == []
    use_keys(found)
    assert by_key("rack")["n"].id == "rack.weigh"


def test_the_usual_keys_of_every_command_would_be_accepted_as_own_keys():
    for command in COMMANDS:
        letters = [k for k in command.keys if len(k) == 1]
        if command.page in ("new_batch", "misdose", "palette") and letters:
            continue
        assert usable({command.id: command.keys})[1] == [], command.id


def test_a_choice_changes_its_own_line_only(write):
    path = write('# mine\nweights = "g"  # kitchen\n\n[keys]\n# left hand\n"rack.weigh" = "G"\n')
    choose("weights", "lb", path)
    choose("theme", "terminal", path)
    choose_keys("rack.round", ("y",), path)
    choose_keys("rack.weigh", (), path)
    text = Path(path).read_text(encoding="utf-8")
    assert "# mine" in text
    assert "# left hand" in text
    view = load(path)
    assert (view.weights, view.theme) == ("lb", "terminal")
    assert view.keys == {"rack.round": ("y",)}


@pytest.mark.parametrize(
    "text",
    [
        '# mine\n[keys]\n"rack.round" = [  # two\n  "y",\n  "Y",\n]\n"rack.weigh" = "g"\n',
        '# mine\n["keys"]\n"rack.round" = ["y", "Y"]\n"rack.weigh" = "g"\n',
        "# mine\n[ 'keys' ]  # all of them\nrack.round = ['y']\nrack.weigh = 'g'\n",
        "# mine\nkeys.rack.round = ['y']\nkeys.rack.weigh = 'g'\n",
        "# mine\n[keys.rack]\nround = ['y']\nweigh = 'g'\n",
        "# mine\nkeys = {'rack.round' = 'y', 'rack.weigh' = 'g'}\n",
        '# mine\n[keys]\n"rack.weigh" = """\\\n  g"""\n',
        "# mine\nweights = 'lb'\r\n[keys]\r\n'rack.weigh' = 'g'\r\n",
    ],
)
def test_keys_are_chosen_in_a_file_written_any_way_toml_allows(write, text):
    """TOML 1.0: arrays over several lines, quoted, dotted and inline keys."""
    path = write(text)
    choose_keys("rack.round", ("z",), path)
    choose("theme", "terminal", path)
    seen = load(path)
    assert seen.troubles == ()
    assert dict(seen.keys or {}) == {"rack.round": ("z",), "rack.weigh": ("g",)}
    assert seen.theme == "terminal"
    choose_keys("rack.round", (), path)
    assert dict(load(path).keys or {}) == {"rack.weigh": ("g",)}
    assert "# mine" in Path(path).read_text()


def test_a_file_that_is_no_toml_is_not_written_over(write):
    path = write("weights = ")
    with pytest.raises(Refused, match="not TOML"):
        choose("weights", "lb", path)
    assert Path(path).read_text(encoding="utf-8") == "weights = "


def test_the_file_is_made_where_there_is_none():
    choose("temperatures", "F")
    assert load().temperatures == "F"
    assert view_path().endswith("curedash/view.toml")


@pytest.mark.parametrize("page", SCREENS)
def test_every_page_offers_help_and_the_palette_by_default(page):
    if page in ("keys", "palette"):
        return
    bound = by_key(page)
    assert {"question_mark", "f1"} & bound.keys()
    assert bound["f2"].id == "any.palette"


async def test_the_key_named_after_a_save_is_the_one_that_is_bound(household, sit):
    choose_keys("rack.undo", ("X",))
    take(view_path())
    async with sit(household()) as seat:
        await seat.type("1181\r")
        await seat.settle()
        assert "X undoes it" in " ".join(seat.text().split())
        await seat.press("X")
        await seat.settle()
        assert "Undone" in seat.text()
