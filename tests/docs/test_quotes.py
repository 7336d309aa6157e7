"""What the pages quote of the screens, in italics, is what the program prints."""

import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
PAGES = [
    ROOT / "docs/tutorial/first-batch.md",
    ROOT / "docs/troubleshooting.md",
    *sorted((ROOT / "docs/guide").glob("*.md")),
]
SHORT = 3  # words: fewer are a name or a stress
GAP = "\0"


def words_in(text: str) -> list[str]:
    """The words and signs of a text; what is filled in, in braces, is one gap."""
    text = re.sub(r"\{[^}]*\}", f" {GAP} ", text)
    return re.findall(r"\0|[A-Za-zÀ-ÿ’'-]+|[^\sA-Za-z\0]+", text)


@cache
def templates() -> list[list[str]]:
    """Every sentence of the page of sentences as words."""
    page = (ROOT / "docs/reference/words.md").read_text(encoding="utf-8")
    texts = re.findall(r"^- (.*)$", page, re.MULTILINE)
    return [words_in(text.replace("\\", "")) for text in texts]


def quotes(page: Path) -> Iterator[str]:
    """The words in italics of three or more, without ``…`` for what is left out."""
    text = page.read_text(encoding="utf-8")
    text = re.sub(r"```[\s\S]*?```|^    .*$|`[^`\n]*`", "", text, flags=re.MULTILINE)
    for block in text.split("\n\n"):
        for found in re.findall(r"(?<![*\w])\*([^*\s](?:[^*]*[^*\s])?)\*(?![*\w])", block):
            yield from (part for part in re.split(r"\s*…\s*", found) if len(part.split()) >= SHORT)


def is_printed(quote: str) -> bool:
    """Whether these are, word for word, the words of one sentence of the program.

    What the program fills in is in braces in both; the first letter may be a capital or not.
    """
    asked = words_in(quote)
    return any(
        _alike(asked, each[start : start + len(asked)])
        for each in templates()
        for start in range(len(each) - len(asked) + 1)
    )


def _alike(asked: list[str], said: list[str]) -> bool:
    first, other = asked[0], said[0]
    return asked[1:] == said[1:] and first[:1].casefold() + first[1:] == (
        other[:1].casefold() + other[1:]
    )


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_what_is_quoted_is_printed(page: Path) -> None:
    assert [quote for quote in quotes(page) if not is_printed(quote)] == []


def test_the_tutorial_quotes_the_program() -> None:
    assert len(list(quotes(PAGES[0]))) >= 5


def test_what_nobody_prints_would_be_found() -> None:
    assert is_printed("cure time is up ({one week per inch}); can wait")
    assert not is_printed("cure time is up (one week per inch); can wait"), "filled in, so braces"
    assert not is_printed("cure time is past its moment")
    assert not is_printed("your meat is ready to be eaten now")
    assert not is_printed("Cure Time is up")
