"""Each word of the trade is explained once, in the same words, by ``?`` and in the glossary."""

import re
from pathlib import Path

import pytest

from curedash.present.glossary import EXPLAINED_ON, TERMS
from curedash.present.words import Line
from curedash.tui.chassis.commands import SCREENS
from curedash.tui.screens.keys import term_entries

ROOT = Path(__file__).resolve().parents[2]
TRADE = {
    "case hardening", "stalled", "bloom", "purge", "equalise", "hang weight", "green weight",
    "tare", "cure time", "pick-up", "overhaul",
}  # fmt: skip


def words_of(lines: list[Line]) -> str:
    return " ".join(" ".join(text.strip() for text, _tone in line) for line in lines)


def test_the_words_of_the_trade_are_there() -> None:
    assert set(TERMS) >= TRADE


@pytest.mark.parametrize("width", [60, 80, 120])
@pytest.mark.parametrize("page", EXPLAINED_ON)
def test_each_is_explained_once_by_the_question_mark(page: str, width: int) -> None:
    assert page in SCREENS
    shown = [words_of(entry) for entry in term_entries(page, width)]
    for term, meaning in TERMS.items():
        assert [words for words in shown if f"{term} {meaning}" in words] != [], term
    assert len(shown) == len(TERMS)
    assert (
        max(len(text) for e in term_entries(page, width) for line in e for text, _ in line) < width
    )


@pytest.mark.parametrize("term", TERMS)
def test_each_is_explained_once_in_the_glossary(term: str) -> None:
    page = (ROOT / "docs/reference/glossary.md").read_text(encoding="utf-8")
    assert page.count(f"| {term} | {TERMS[term]} |") == 1


def test_the_glossary_and_the_list_of_words_have_the_same_words() -> None:
    table = (ROOT / "docs/reference/nomenclature.md").read_text(encoding="utf-8")
    rows = set(re.findall(r"^\| ([^|]+?) \|", table, re.MULTILINE))
    assert set(TERMS) <= rows


def test_no_screen_says_it_in_another_way() -> None:
    """The screens use the word where the trade has one."""
    page = (ROOT / "docs/reference/words.md").read_text(encoding="utf-8")
    for instead in (
        r"\bhard rim\b",
        r"levell?ing\b(?!-)",
        r"\bnot meat on it\b",
        r"\brim hardens\b",
    ):
        assert re.findall(f"(?m)^- .*{instead}.*$", page) == [], instead
