"""A letter has one meaning on every page; what is done with cold hands is lower case."""

import ast
import re
from collections import defaultdict
from pathlib import Path

import pytest

import curedash
from curedash.tui.chassis.apply_preferences import take, usable
from curedash.tui.chassis.commands import (
    COMMANDS,
    KEY_WORDS,
    RENAMED,
    by_key,
    footer_of,
    key_of,
    use_keys,
)

#: pages on which letters are typed
TYPED = ("new_batch", "misdose", "palette")
#: what is done beside the meat, with cold or salted hands
COLD_HANDS = (
    *("weigh", "turned", "stage", "opened", "rebase", "move", "note", "feel", "hold", "reading"),
    *("round", "undo", "redo", "new", "edit", "later"),
)


def meanings() -> dict[str, set[str]]:
    found: dict[str, set[str]] = defaultdict(set)
    for command in COMMANDS:
        for key in command.keys:
            found[key].add(command.id.partition(".")[2])
    return {key: verbs for key, verbs in found.items() if len(key) == 1}


def test_a_letter_means_one_thing_on_all_pages():
    assert {key: verbs for key, verbs in meanings().items() if len(verbs) > 1} == {}


def test_a_verb_has_one_letter_on_all_pages():
    """But where letters are typed; none has a letter here and no key at all there."""
    letters: dict[str, set[str]] = defaultdict(set)
    for command in COMMANDS:
        if command.page not in TYPED:
            own = "".join(key for key in command.keys if len(key) == 1)
            letters[command.id.partition(".")[2]].add(own)
    assert {verb: own for verb, own in letters.items() if len(own - {""}) > 1} == {}


def test_what_is_done_with_cold_hands_is_lower_case():
    for command in COMMANDS:
        if command.id.partition(".")[2] in COLD_HANDS and command.page not in TYPED:
            assert command.keys[0].islower(), command.id


def test_a_command_without_a_key_is_in_the_list_or_offered_by_one_that_has_a_key():
    listed = {command.id for command in COMMANDS if command.page == "any"}
    for command in COMMANDS:
        if not command.keys and f"any.{command.id.partition('.')[2]}" not in listed:
            verb, _, number = command.within.partition(" ")
            offered = next(c for c in COMMANDS if c.id == f"{command.page}.{verb}")
            assert offered.keys, command.id
            assert command.key_words == f"{key_of(offered.id)} {number}" == key_of(command.id)


@pytest.mark.parametrize("old", RENAMED)
def test_a_persons_own_key_under_an_old_name_is_still_read(old):
    names = {command.id for command in COMMANDS}
    assert old not in names
    assert RENAMED[old] in names
    taken, troubles = usable({old: ("f7",)})
    assert (taken, troubles) == ({RENAMED[old]: ("f7",)}, [])


def test_an_own_key_that_a_letter_of_today_has_is_named_in_one_sentence():
    taken, troubles = usable({"lot.tare": ("E",), "lot.void": ("v",), "rack.weigh": ("G",)})
    assert taken == {"rack.weigh": ("G",)}
    assert troubles == [
        "lot.tare: E is lot.finish already; the default key is used.",
        "lot.remove: v is lot.view already; the default key is used.",
    ]


async def test_an_own_key_under_an_old_name_works_and_is_changed_in_settings(
    household, sit, tmp_path, monkeypatch
):
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path))
    view = tmp_path / "curedash" / "view.toml"
    view.parent.mkdir()
    view.write_text('[keys]\n"rack.new-batch" = "I"\n', encoding="utf-8")
    try:
        assert take()[1] == ()
        async with sit(household()) as seat:
            await seat.press("I")
            assert seat.app.screen.NAME == "new_batch"
            await seat.press("escape", "S")
            seat.app.screen._bind("rack.new-batch G")
            assert "rack.new-batch" not in view.read_text(encoding="utf-8")
            assert '"rack.new" = ["G"]' in view.read_text(encoding="utf-8")
    finally:
        use_keys({})


async def test_correcting_leads_to_the_newest_weigh_in_the_tare_the_start_and_a_swap(
    household, sit
):
    async with sit(household()) as seat:
        await seat.press("enter", "e", "1")
        assert "what the scale showed" in seat.text()
        await seat.type("1175\r\r\r")
        newest = "SELECT gross_g FROM weigh_in WHERE voided_at IS NULL AND lot_id = 1"
        assert seat.ask(f"{newest} ORDER BY at DESC LIMIT 1") == [(1175.0,)]
        await seat.press("e", "2")
        assert "C1: tare corrected" in seat.text()
        await seat.press("escape", "escape", "e", "3")
        assert "which weight was wrong" in seat.text()
        await seat.press("escape", "escape", "q", "e", "4")
        assert "swap" in seat.text().lower()


async def test_without_a_weigh_in_none_can_be_corrected(household, sit):
    async with sit(household()) as seat:
        seat.app.screen.go_to(7)
        await seat.press("e", "1")
        assert "has no weigh-in yet; w weighs it." in seat.text()


async def test_only_the_rows_of_this_batch_place_or_stage_then_all_again(household, sit):
    async with sit(household()) as seat:
        every = len(seat.app.screen.list.keys)
        for number, words in (("1", "batch C"), ("2", "Chamber"), ("3", "drying")):
            await seat.press("L", number)
            assert words in seat.lines()[0]
            assert len(seat.app.screen.list.keys) < every
            await seat.press("L", "enter")
            assert len(seat.app.screen.list.keys) == every
        await seat.press("L", "3", "L", "2")
        assert "Chamber: " in seat.lines()[0]


async def test_tab_weighs_without_the_tare_also_while_a_weight_is_typed(household, sit):
    async with sit(household()) as seat:
        await seat.type("1153")
        await seat.press("tab")
        assert "the meat alone" in seat.text()
        await seat.press("enter")
        assert seat.ask("SELECT gross_g, tare_g FROM weigh_in ORDER BY id DESC LIMIT 1") == [
            (1153.0, 0.0)
        ]


def test_what_is_done_everywhere_has_one_key_everywhere():
    wanted = {"undo": "u", "redo": "y", "keys": "f1", "reading": "g", "misdose": "D", "turned": "t"}
    wanted |= {"history": "H", "find": "slash", "weigh": "w", "stage": "s", "record": "R"}
    wanted |= {"new": "n", "edit": "e", "note": "l", "order": "o", "view": "v", "alike": "L"}
    wanted |= {"remove": "X", "pack": "V"}
    for verb, key in wanted.items():
        for command in COMMANDS:
            if command.id.partition(".")[2] == verb and command.page != "any":
                assert key in command.keys, command.id


def test_saving_is_ctrl_s_and_the_list_of_commands_opens_with_the_librarys_key():
    for command in COMMANDS:
        if command.label in ("save", "record it") or command.id == "diary.save":
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


#: words and units of one letter, answers to a question while it is asked, a sign of a legend
NO_KEYS = {"a", "A", "g", "d", "h"} | {"y", "b"} | {"x"}
NAMES_A_KEY = re.compile(
    r"(?:^|[ (“])([A-Za-z])(?:: [a-z]|, or | (?:makes|adds|says|gives|removes|takes|opens|records|"
    r"changes|shows|weighs|ends|leads|leaves|corrects|puts|moves|is for|again|on the Rack)\b)"
)


def test_sentences_that_name_a_key_read_it_from_the_registry():
    """A letter written into a sentence would be wrong where somebody bound another."""
    found = []
    for room in ("tui", "present"):
        for path in (Path(curedash.__file__).parent / room).rglob("*.py"):
            tree = ast.parse(path.read_text(encoding="utf-8"))
            docs = {ast.get_docstring(node, clean=False) for node in _documented(tree)}
            for node in ast.walk(tree):
                if isinstance(node, ast.Constant) and isinstance(node.value, str):
                    if node.value in docs or path.name == "commands.py" or "k keeps" in node.value:
                        continue
                    found += [
                        (path.name, letter)
                        for letter in NAMES_A_KEY.findall(node.value)
                        if letter not in NO_KEYS
                    ]
    assert found == []


def _documented(tree: ast.Module) -> list:
    kinds = (ast.Module, ast.ClassDef, ast.FunctionDef, ast.AsyncFunctionDef)
    return [node for node in ast.walk(tree) if isinstance(node, kinds)]
