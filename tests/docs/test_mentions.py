"""What the pages mention is there: commands, second words, options, headings that links lead to."""

import re
import shlex
from collections.abc import Iterator
from pathlib import Path

from curedash.cli.completion import GLOBALS
from curedash.cli.verbs import VERBS, parser_of, second_words

ROOT = Path(__file__).resolve().parents[2]
PAGES = [ROOT / "README.md", ROOT / "DEVELOPERS.md", *sorted((ROOT / "docs").rglob("*.md"))]
MADE = ("commands.md", "formulas.md", "json.md", "keys.md", "schema.md")


def mentioned(page: Path) -> Iterator[str]:
    """Command lines of a page, in a sentence or in a block of any kind."""
    text = page.read_text(encoding="utf-8").replace("\\\n", " ")
    for code in re.findall(r"`([^`]+)`", re.sub(r"^```.*?^```", "", text, flags=re.M | re.S)):
        if re.match(r"curedash [a-z-]", code):
            yield code.replace("\n", " ")
    for block in re.findall(r"^```\w*\n(.*?)^```", text, re.M | re.S):
        yield from re.findall(r"(?:^|[\s$(/])(curedash [a-z-][^|)#\n]*)", block)


def wrong(line: str) -> str | None:
    """What such a line names that is not there."""
    words = shlex.split(line.replace("…", ""))[1:]
    while words and words[0] in ("--db", "--now"):
        words = words[2:]
    words = words[words[:1] == ["help"] :]
    if not words or words[0] in GLOBALS:
        return None
    if "--" in words:  # what follows is for the watcher
        ahead = words.index("--")
        behind = wrong(shlex.join(["curedash", "watch", *words[ahead + 1 :]]))
        return behind or wrong(shlex.join(["curedash", *words[:ahead]]))
    verb, rest = words[0], words[1:]
    if verb not in VERBS:
        return verb
    seconds = second_words(verb)
    if seconds and rest and rest[0] not in (*seconds, "--help"):
        return f"{verb} {rest[0]}"
    known = {*GLOBALS, "-o"}
    if not seconds or (rest[:1] and rest[0] in seconds):
        known |= set(parser_of([verb, *rest[:1]] if seconds else [verb]).options())
    flags = [word.partition("=")[0] for word in rest if re.match(r"--?[a-z]", word)]
    flags = flags[: flags.index("--exec") + 1] if "--exec" in flags else flags
    return next((f"{verb} {flag}" for flag in flags if flag not in known), None)


def test_every_command_a_page_names_is_there_and_every_command_is_named() -> None:
    named, bad = set(), []
    for page in PAGES:
        if page.name in MADE:
            continue
        for line in mentioned(page):
            named.add(line.split()[1])
            if (word := wrong(line)) is not None:
                bad.append(f"{page.relative_to(ROOT)}: {word} in {line!r}")
    assert bad == []
    assert [verb for verb in VERBS if verb not in named] == []


def test_a_command_that_is_not_there_is_noticed() -> None:
    assert wrong("curedash brew C2") == "brew"
    assert wrong("curedash jar mix") == "jar mix"
    assert wrong("curedash lots --colour") == "lots --colour"


def anchor(heading: str) -> str:
    """The name a heading has in a link."""
    kept = re.sub(r"[^\w\- ]", "", heading.strip().lower())
    return kept.replace(" ", "-")


def test_links_to_headings_lead_to_one() -> None:
    heads = {
        page: {
            anchor(line.lstrip("#"))
            for line in page.read_text(encoding="utf-8").splitlines()
            if line.startswith("#")
        }
        for page in PAGES
    }
    broken = []
    for page in PAGES:
        for file, name in re.findall(r"\]\(([^)#:]*)#([^)]+)\)", page.read_text(encoding="utf-8")):
            target = (page.parent / file).resolve() if file else page
            if name not in heads.get(target, set()):
                broken.append(f"{page.relative_to(ROOT)} → {file}#{name}")
    assert broken == []


def test_every_page_can_be_reached_from_the_readme() -> None:
    seen: set[Path] = set()
    ahead = [ROOT / "README.md"]
    while ahead:
        page = ahead.pop()
        if page in seen:
            continue
        seen.add(page)
        for target in re.findall(r"\]\(([^)#]+\.md)[^)]*\)", page.read_text(encoding="utf-8")):
            if "://" not in target:
                ahead.append((page.parent / target).resolve())
    assert {page for page in PAGES if page not in seen} == set()
