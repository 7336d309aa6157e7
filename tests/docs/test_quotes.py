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
MOST_FILLED = 8  # words that one filled-in part may have
LITERAL = 1 / 3  # of the words quoted, at least so many are the program's own, not filled in


def words_in(text: str) -> list[str]:
    return re.findall(r"\0|[A-Za-zÀ-ÿ’'-]+|[^\sA-Za-z\0]+", text.casefold())


@cache
def templates() -> list[list[str]]:
    """Every sentence of the page of sentences as words; a filled-in part is one gap."""
    page = (ROOT / "docs/reference/words.md").read_text(encoding="utf-8")
    texts = re.findall(r"^- (.*)$", page, re.MULTILINE)
    return [words_in(re.sub(r"\{[^}]*\}", f" {GAP} ", text.replace("\\", ""))) for text in texts]


def quotes(page: Path) -> Iterator[str]:
    """The words in italics of three or more, without ``…`` for what is left out."""
    text = page.read_text(encoding="utf-8")
    text = re.sub(r"```[\s\S]*?```|^    .*$|`[^`\n]*`", "", text, flags=re.MULTILINE)
    for block in text.split("\n\n"):
        for found in re.findall(r"(?<![*\w])\*([^*\s](?:[^*]*[^*\s])?)\*(?![*\w])", block):
            yield from (part for part in re.split(r"\s*…\s*", found) if len(part.split()) >= SHORT)


def most_literal(quote: list[str], template: list[str]) -> int:
    """How many words of a quote inside a template are not filled in; -1: it is not inside."""
    best: dict[tuple[int, int], int] = {}

    def match(i: int, j: int) -> int:
        if i == len(quote):
            return 0
        if j == len(template):
            return -1
        if (i, j) not in best:
            best[i, j] = -1
            if template[j] == GAP:
                ends = range(i, min(len(quote), i + MOST_FILLED) + 1)
                best[i, j] = max(match(end, j + 1) for end in ends)
            elif template[j] == quote[i]:
                after = match(i + 1, j + 1)
                best[i, j] = after + 1 if after >= 0 else -1
        return best[i, j]

    return max((match(0, j) for j in range(len(template))), default=-1)


def is_printed(quote: str) -> bool:
    asked = words_in(quote)
    return any(most_literal(asked, each) >= LITERAL * len(asked) for each in templates())


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_what_is_quoted_is_printed(page: Path) -> None:
    assert [quote for quote in quotes(page) if not is_printed(quote)] == []


def test_the_tutorial_quotes_the_program() -> None:
    assert len(list(quotes(PAGES[0]))) >= 5


def test_what_nobody_prints_would_be_found() -> None:
    assert is_printed("cure time is up (one week per inch); can wait")
    assert not is_printed("cure time is past its moment")
    assert not is_printed("your meat is ready to be eaten now")
