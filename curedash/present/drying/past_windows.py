"""Earlier pull windows, in words and as a JSON document."""

from __future__ import annotations

from curedash.domain.drying.lot_figures import STALLED
from curedash.domain.wording import count
from curedash.present.numbers import parts, rounded_parts
from curedash.present.weighing.on_scale import dated, dated_window
from curedash.present.words import day, days

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Sequence
    from typing import Any

    from curedash.services.drying.past_windows import EarlierWindow, PastWindow, Score


def past_lines(past: Sequence[PastWindow], scores: Sequence[Score]) -> list[str]:
    """Scores first, all of them and by style and place; then a line a window."""
    if not past:
        return ["No earlier window can be judged yet: a lot has to reach its target first."]
    lines = score_lines(scores)
    return [*lines, *(f"{one.lot.code}: {past_window_words(one)}" for one in past)]


def past_window_words(one: PastWindow) -> str:
    """Such as ``on 4 Oct: 9–15 Oct; it was 16 Oct``."""
    said = STALLED if one.stalled else days(one.first, one.last)
    return f"on {day(one.told_on)}: {said}; it was {day(one.reached)}"


def earlier_words(one: EarlierWindow) -> str:
    """``on 13 Nov: 29 Nov–6 Dec``, of a lot that is not there yet."""
    return f"on {day(one.told_on)}: {STALLED if one.stalled else days(one.first, one.last)}"


def past_window_dated(one: PastWindow) -> str:
    """The same with the years, for paper."""
    said = STALLED if one.stalled else dated_window(one.first, one.last)
    return f"on {dated(one.told_on)}: {said}; it was {dated(one.reached)}"


def held_words(past: Sequence[PastWindow]) -> str:
    """``4 of 5 were right``; empty without a window."""
    windows = [one for one in past if not one.stalled]
    held = sum(one.inside for one in windows)
    return f"{held} of {len(windows)} were right" if windows else ""


def score_lines(scores: Sequence[Score]) -> list[str]:
    """A line a style and place, all of them together first."""
    return [_score(one) for one in scores]


def _score(one: Score) -> str:
    whose = "all" if one.style is None else f"{one.style}, {one.place or 'no place'}"
    windows, lots = count(one.windows, "window"), count(one.lots, "lot")
    return (
        f"{whose}: {windows} of {lots}, {one.inside_pct:.0f} % were right,"
        f" {one.early_pct:.0f} % opened too late, {one.late_pct:.0f} % closed too early,"
        f" middle off by {one.off_days:.1f} d, {one.error_pct:.0f} % of the days left"
    )


def past_document(past: Sequence[PastWindow], scores: Sequence[Score]) -> dict[str, Any]:
    """The same as JSON."""
    return {
        "scores": score_documents(scores),
        "windows": [
            {
                "lot": one.lot.code,
                "told_on": one.told_on.isoformat(),
                "pull_window": [one.first.isoformat(), one.last.isoformat()],
                "median_date": one.middle.isoformat(),
                "reached_on": one.reached.isoformat(),
                "inside": one.inside,
                "stalled": one.stalled,
            }
            for one in past
        ],
    }


def score_documents(scores: Sequence[Score]) -> list[dict[str, Any]]:
    """The scores as JSON, all of them together first."""
    return [
        {
            **parts(one, "style", "place", "windows", "lots"),
            **rounded_parts(one, "inside_pct", "early_pct", "late_pct", "error_pct", decimals=1),
            "held": one.held,
            "off_days": round(one.off_days, 1),
        }
        for one in scores
    ]
