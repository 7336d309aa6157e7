"""Every sentence a person can meet: plain words, none too long; each command in a help group."""

import ast
import importlib.util
import re
import sys
from functools import cache
from pathlib import Path
from types import ModuleType

import pytest

from curedash.cli.verbs import GROUPS, VERBS
from curedash.tui.chassis.commands import COMMANDS

ROOT = Path(__file__).resolve().parents[2]
#: words of an old dialect → what to write
RETIRED = {
    r"\bin spite of\b": "even if, although",
    r"\bput right\b": "correct",
    r"\bwhat is not meat\b": "tare (hook, net, string)",
    r"\bof that not meat\b": "tare (hook, net, string)",
    r"\bpast its moment\b": "overdue",
    r"\bout of the question\b": "out of range",
    r"\bstands?\b(?!-in)": "is shown, is used, means",
    r"\bkept (quiet|wrong|for|as|with)\b": "snoozed, wrong, saved",
    r"\b(is|are|was) told\b|\btold (to|in|of)\b": "shown, noted",
    r"(?<!here )\bis no (?!longer)[A-Za-z]+ ?[;:.,]": "is not a …",
    r"\bput (the |a )?\w+ right\b": "correct",
    r"\bwants\b": "needs, takes",
    r"\banew\b": "again",
    r"\ball the same\b": "anyway",
    r"\bforet(ell|old)": "forecast",
    r"\b(take|took|taken|takes) (it|that|them|both|a change|the last one)? ?back\b": "undo",
    r"\b(put|puts) (it )?back\b": "redo",
    r"\bheld against\b": "checked against",
    r"\bbench\b": "page, sheet",
    r"\bcounts? no more\b": "is void",
    r"\bknown are\b|; there is \{|\bnone yet\b.*there is": "choose … or … (wording.no_such)",
    r"\bwhat is said\b": "the message",
    r"\bmade known\b|\bknown by\b": "added",
    r"\bhalf[- ]typed\b": "unfinished",
    r"\brim hardens\b|\blevelling\b": "case hardening, stalled",
    r"\bnothing (was |is )?stored\b|\b(is|are) stored[.;,]": "saved",
    r"\bscale division\b|\bresolution\b|\bcapacity\b": "smallest step, maximum",
    r"(?<!air )(?<!read, )\boutages?\b": "failure",
    r"\bparted by\b": "separated by",
    r"\b(was|were|pieces}?) taken in\b": "added",
    r"\bwrite (it )?down what you\b": "record what you decide",
    r"\bsaid once\b": "unchecked",
    r"\btakes? (it|the sheet) in\b": "add",
    r"\bdose to come\b": "dose still to be weighed out",
    r"\bgoes from x? ?\d": "takes a number from",
    r"\b(it|what) touched\b": "affected, changed",
    r"\b(move|style) asks\b|\bdoes not say it\b": "you are asked, its style has",
    r"\btakes days\b": "takes a number of days",
    r"\brun 0 to\b": "run from 0 to",
    r"; tried again\b": "it is tried again",
    r"\bleast (days|age)\b": "fewest, minimum",
    r"\b(not|was) written down\b": "recorded",
    r"^noted for\b": "recorded for",
    r"; stored in\b": "the file has",
    r"\ba rough one too\b": "a rough one will do",
    r"\brated for\b": "made for",
    r"\bmade without\.": "made without it",
    r"\bsaved in (1|x) lots?\b": "recorded in",
    r"\btable salt to one,": "to one of it",
    r"\brestore\b.*\bbrings? (one|it) back\b": "restore",
    r"\bbring it back\b|^bring back$": "restore it",
    r"\bjust note it\b": "just record it",
    r", take (a|an) (letter|F-key)": "so use a letter",
    r"\bunfinished pieces\b": "unfinished files",
    r"\bof it\.$": "of this batch",
    r"\bhas to end after it began: give --from the earlier\b": "give the earlier time with --from",
    r"\bnothing of it was lost\b|\bnever destroys\b": "say what is saved",
    r"\bdoes not dry now\b": "is not drying now",
    r"\bis used after it\b": "is used next",
}
MOST_WORDS = 20
#: sentences of parts that a list fills in, or of several short ones joined by signs
LONG = ("lethal at 22 mg/kg", "% were right", "may read x but not change it")


def words() -> ModuleType:
    spec = importlib.util.spec_from_file_location("words", ROOT / "docs" / "words.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules["words"] = module
    spec.loader.exec_module(module)
    return module


@cache
def said() -> list[tuple[str, str]]:
    """Where each sentence is and its words; what is filled in is one letter."""
    return [
        (f"{each.file}:{each.line}", re.sub(r"\{[^}]*\}", "x", each.text))
        for each in words().found()
        if not each.file.startswith(("store/", "papers/service_units"))
    ]


def test_the_page_finds_a_sentence_of_every_front() -> None:
    files = {where.split("/")[0] for where, _ in said()}
    assert {"cli", "tui", "present", "services", "papers", "domain", "feeds"} <= files
    assert len(said()) > 2500


def test_a_sentence_inside_what_is_filled_in_is_found() -> None:
    tree = ast.parse("""f"hung with {tare or 'what hangs beside it'} ({mass:>6.1f} g)\"""")
    assert [text for _, text in words()._texts(tree)] == [
        "hung with {it} ({mass} g)",
        "what hangs beside it",
    ]


@pytest.mark.parametrize("retired", RETIRED)
def test_no_sentence_has_a_retired_word(retired: str) -> None:
    found = [f"{where}: {text}" for where, text in said() if re.search(retired, text, re.I)]
    assert found == [], f"write: {RETIRED[retired]}"


def test_a_retired_word_would_be_found() -> None:
    for retired, sample in zip(
        RETIRED,
        (
            "keep it in spite of a question",
            "tare put right",
            "how much is what is not meat",
            "of that not meat",
            "1 d past its moment",
            "out of the question",
            "it stands here",
            "kept quiet",
            "silence is told",
            "“x” is no pH;",
            "put the tare right",
            "a pack wants a weight",
            "open it anew",
            "save it all the same",
            "the window foretold it",
            "u takes it back",
            "y puts it back",
            "held against a limit",
            "the mis-dose bench",
            "that weigh-in counts no more",
            "no such class; known are x",
            "what is said there",
            "a place made known",
            "a half-typed form",
            "over 16 % a rim hardens",
            "nothing was stored",
            "name, resolution, capacity",
            "the last outage",
            "several, parted by commas",
            "nothing was taken in",
            "then write down what you decide",
            "what is said once",
            "--yes takes it in once more",
            "a flag of a dose to come",
            "--days goes from 1 to 60",
            "each lot it touched",
            "the reason, if the move asks for one",
            "--weigh-every takes days",
            "days since hanging run 0 to 2000",
            "it failed; tried again",
            "0 for no least age",
            "No ingredient was written down",
            "noted for C2",
            "shown; stored in mm",
            "the day, a rough one too",
            "what the pack is rated for",
            "this style is made without.",
            "saved in 1 lot",
            "salt, parts of table salt to one, weight",
            "'curedash restore' lists them and brings one back.",
            "bring it back",
            "just note it",
            "letters are typed there, take an F-key",
            "3 unfinished pieces (1 MB)",
            "Undo the last change of it.",
            "It has to end after it began: give --from the earlier of the two times.",
            "Esc never destroys anything.",
            "C1 does not dry now",
            "941 is used after it",
        ),
        strict=True,
    ):
        assert re.search(retired, sample), retired


def test_no_sentence_is_longer_than_twenty_words() -> None:
    long = [
        f"{where}: {part}"
        for where, text in said()
        for part in re.split(r"(?<=[.!?;:])\s", text)
        if len(re.findall(r"[A-Za-z0-9’'%–-]+", part)) > MOST_WORDS
        and not any(words in part for words in LONG)
    ]
    assert long == []


def test_labels_of_the_foot_are_short() -> None:
    assert [c.label for c in COMMANDS if len(c.label) > 20] == []
    assert [c.help for c in COMMANDS if len(c.help) > 60] == []


def test_every_command_is_in_one_group_of_the_help() -> None:
    grouped = [verb for verbs in GROUPS.values() for verb in verbs]
    assert grouped == list(VERBS)


def test_reading_ease_is_flesch_s() -> None:
    """By hand: 6 words, 6 syllables, 1 sentence: 206.835 - 6.09 - 84.6 (Flesch 1948)."""
    ease = words().reading_ease
    assert ease("The cat sat on the mat.") == pytest.approx(116.145)
    assert (
        ease("Weigh it.")
        > 100
        > 30
        > ease("Equilibrium immobilisation necessitates documentation.")
    )


def test_the_page_has_every_sentence() -> None:
    page = (ROOT / "docs" / "reference" / "words.md").read_text(encoding="utf-8")
    made = words().page()
    missing = sorted(set(made.splitlines()) - set(page.splitlines()))
    assert missing == [], "run: python docs/make.py words"
