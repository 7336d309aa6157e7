"""Copies of the household file in words: when by the clock on the wall, of what kind, with what."""

from __future__ import annotations

from datetime import tzinfo
from typing import Any

from curedash.domain.times import moment
from curedash.present.numbers import parts
from curedash.present.words import MONTHS, count, moment_words
from curedash.services.file.backup import KINDS, Copy, Held
from curedash.store.inspect import Contents


def made_words(copy: Copy, zone: tzinfo) -> str:
    """``24 Nov 2026 19:30`` in the household's zone; a daily copy has its day alone."""
    if not copy.timed:
        year, month, day = copy.made_at[:10].split("-")
        return f"{int(day)} {MONTHS[int(month) - 1]} {year}"
    local = moment(copy.made_at).astimezone(zone)
    return f"{local.day} {MONTHS[local.month - 1]} {local.year} {local:%H:%M}"


def held_words(found: Held, zone: tzinfo) -> str:
    """``12 lots, 140 weigh-ins, the newest entry of 24 Nov 18:30``, or what is wrong with it."""
    return found.trouble or contents_words(found.contents, zone)


def contents_words(holds: Contents | None, zone: tzinfo) -> str:
    """What a file holds."""
    if holds is None:
        return "its contents are unknown"
    newest = "none" if holds.newest_at is None else moment_words(holds.newest_at, zone)
    return f"{counts_words(holds)}, newest entry {newest}"


def counts_words(holds: Contents | None) -> str:
    """``12 lots, 140 weigh-ins``."""
    if holds is None:
        return "its contents are unknown"
    return f"{count(holds.lots, 'lot')}, {count(holds.weigh_ins, 'weigh-in')}"


def copy_line(number: int, found: Held, zone: tzinfo) -> str:
    """One copy for the shell, with the number that restores it."""
    copy = found.copy
    return (
        f"{number:>2}  {made_words(copy, zone):<17}  {KINDS[copy.kind]:<20}  {copy.path}"
        f"  {held_words(found, zone)}"
    )


def copy_document(found: Held) -> dict[str, Any]:
    """One copy as JSON; a daily one has a day and no hour."""
    copy, holds = found.copy, found.contents
    names = ("lots", "weigh_ins", "newest_at")
    return {
        "file": copy.path,
        "kind": copy.kind,
        "day": copy.made_at[:10],
        "made_at": copy.made_at if copy.timed else None,
        "size_bytes": copy.size_bytes,
        **(dict.fromkeys(names) if holds is None else parts(holds, *names)),
        "trouble": found.trouble,
    }
