"""What the pull windows said before, in words and as a JSON document."""

from __future__ import annotations

from curedash.present.words import day, days

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Sequence
    from typing import Any

    from curedash.services.windows_told import Score, Told


def past_lines(told: Sequence[Told], scores: Sequence[Score]) -> list[str]:
    """Scores first, all of them and by style and place; then a line a window."""
    if not told:
        return ["No window that was told has met its day yet: a lot has to reach its target first."]
    lines = [_score(one) for one in scores]
    return [*lines, *(f"{one.lot.code}: {told_words(one)}" for one in told)]


def told_words(one: Told) -> str:
    """Such as ``on 4 Oct: 9–15 Oct; it was 16 Oct``."""
    return f"on {day(one.told_on)}: {days(one.first, one.last)}; it was {day(one.reached)}"


def _score(one: Score) -> str:
    whose = "all" if one.style is None else f"{one.style}, {one.place or 'no place'}"
    windows = "1 window" if one.windows == 1 else f"{one.windows} windows"
    lots = "1 lot" if one.lots == 1 else f"{one.lots} lots"
    return (
        f"{whose}: {windows} of {lots}, {one.inside_pct:.0f} % held the day,"
        f" {one.early_pct:.0f} % opened after it, {one.late_pct:.0f} % closed before it,"
        f" middle off by {one.error_pct:.0f} % of the days left"
    )


def past_document(told: Sequence[Told], scores: Sequence[Score]) -> dict[str, Any]:
    """The same as JSON."""
    return {
        "scores": [
            {
                "style": one.style,
                "place": one.place,
                "windows": one.windows,
                "lots": one.lots,
                "inside_pct": round(one.inside_pct, 1),
                "early_pct": round(one.early_pct, 1),
                "late_pct": round(one.late_pct, 1),
                "error_pct": round(one.error_pct, 1),
            }
            for one in scores
        ],
        "windows": [
            {
                "lot": one.lot.code,
                "told_on": one.told_on.isoformat(),
                "pull_window": [one.first.isoformat(), one.last.isoformat()],
                "median_date": one.middle.isoformat(),
                "reached_on": one.reached.isoformat(),
                "inside": one.inside,
            }
            for one in told
        ],
    }
