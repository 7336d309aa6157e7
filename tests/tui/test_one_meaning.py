"""A key has one meaning on every page; what is not so yet is named here and may only shrink."""

from collections import defaultdict

from curedash.tui.chassis.commands import COMMANDS, KEY_WORDS, by_key, footer_of

#: verbs that do the same job on pages of another kind
SAME = {
    "tags": "tag",
    "back": "undo",
    "take-back": "undo",
    "quit": "leave",
    "new": "another",
    "new-batch": "another",
    "again": "another",
    "make": "another",
    "alike": "only-alike",
}
#: letters with more than one meaning, and how many there are
STILL = {
    "a": 3,
    "b": 4,
    "c": 5,
    "d": 3,
    "e": 2,
    "f": 4,
    "h": 3,
    "i": 2,
    "l": 3,
    "m": 5,
    "n": 4,
    "o": 5,
    "p": 3,
    "r": 5,
    "s": 4,
    "t": 4,
    "v": 2,
    "w": 3,
    "z": 3,
}


def meanings() -> dict[str, set[str]]:
    found: dict[str, set[str]] = defaultdict(set)
    for command in COMMANDS:
        verb = command.id.partition(".")[2]
        for key in command.keys:
            found[key].add(SAME.get(verb, verb))
    return {key: verbs for key, verbs in found.items() if len(key) == 1}


def test_no_letter_gets_another_meaning():
    many = {key: len(verbs) for key, verbs in meanings().items() if len(verbs) > 1}
    assert many == STILL, "a letter means one thing: take another, or lower the number here"


def test_what_is_done_everywhere_has_one_key_everywhere():
    wanted = {"undo": "u", "redo": "y", "keys": "f1", "ph": "P", "misdose": "D", "turned": "U"}
    wanted |= {"history": "H", "find": "slash", "weigh": "w", "stage": "s", "record": "R"}
    for verb, key in wanted.items():
        for command in COMMANDS:
            if command.id.partition(".")[2] == verb and command.page != "any":
                assert key in command.keys, command.id


def test_saving_is_ctrl_s_and_the_list_of_commands_opens_with_the_librarys_key():
    for command in COMMANDS:
        if command.label in ("save", "record it") or command.id == "diary.keep":
            assert "ctrl+s" in command.keys, command.id
    from textual.app import App

    assert by_key("rack")[App.COMMAND_PALETTE_BINDING].id == "any.palette"
    assert KEY_WORDS["ctrl+s"] == "^S"


async def test_the_foot_uses_its_width(household, sit):
    assert len(footer_of("rack")) > 12
    async with sit(household(), size=(160, 24)) as seat:
        foot = seat.lines()[-1].rstrip()
        assert len(foot) > 130
        for words in ("? keys", "w weigh", "p places", "d diary"):
            assert words in foot


async def test_ctrl_p_and_slash_work(household, sit):
    async with sit(household()) as seat:
        await seat.press("slash")
        await seat.type("belly")
        assert "“belly”" in seat.lines()[0]
        await seat.press("escape", "ctrl+p")
        assert seat.app.screen.NAME == "palette"
