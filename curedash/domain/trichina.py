"""Freezing pork against trichina as a logged step: which row of the table counts, how far it is.

No row covers wild game, and nothing here says anything about drying.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, isfinite

from curedash.domain.errors import Refused
from curedash.domain.facts.trichina import CHILL_FIRST_C, TRICHINA_FREEZING, FreezingRow
from curedash.domain.facts.units import MM_PER_IN
from curedash.domain.said import celsius, millimetres, say
from curedash.domain.unit_sizes import f_to_c

GAME_SPECIES = ("wild boar", "boar", "bear", "venison", "deer", "game", "wild")
PORK_SPECIES = ("pork", "pig", "hog", "swine")


@dataclass(frozen=True, slots=True)
class FreezingCount:
    """How a freezing step stands against its row: days counted, days to go, and what to say."""

    row: FreezingRow | None
    counted_days: float
    to_go_days: float | None
    messages: tuple[str, ...]


def freezing_row(warmest_c: float, thickness_mm: float) -> FreezingRow | None:
    """Find the row that counts: the coldest one the freezer's warmest reading still reaches.

    Parameters
    ----------
    warmest_c : warmest reading of the freezer during the step [°C]
    thickness_mm : thickest spot of the pork or its stack [mm], above 0

    Returns
    -------
    the row, or None: warmer than −15 °C or thicker than 27 in gives no credit

    Source
    ------
    `domain/facts/trichina.py`

    Example
    -------
    >>> row = freezing_row(-18, 80)
    >>> row.temp_c, row.days
    (-15, 20)
    """
    if not isfinite(warmest_c) or not -100 <= warmest_c <= 60:
        raise Refused(say("{warmest} is no reading of a freezer; give for example {usual}.",
                          warmest=celsius(warmest_c), usual=celsius(-18)))  # fmt: skip
    if not isfinite(thickness_mm) or thickness_mm <= 0:
        raise Refused(say("A thickness of {thick} makes no sense; give more than 0.",
                          thick=millimetres(thickness_mm)))  # fmt: skip
    inches = thickness_mm / MM_PER_IN
    fitting = [row for row in TRICHINA_FREEZING if inches <= row.max_thickness_in + 1e-9]
    if not fitting:
        return None
    thinnest_class = min(row.max_thickness_in for row in fitting)
    reached = [
        row for row in fitting if row.max_thickness_in == thinnest_class and warmest_c <= row.temp_c
    ]
    return min(reached, key=lambda row: row.temp_c) if reached else None


def is_pork(species: str) -> bool:
    """Say whether meat is pork that the table speaks of, not game.

    Parameters
    ----------
    species : what it is, in words

    Returns
    -------
    True for pork of whatever name; False for game, other meat, and where nothing is said

    Source
    ------
    definition

    Example
    -------
    >>> is_pork("pork"), is_pork("wild boar"), is_pork("beef")
    (True, False, False)
    """
    said = species.casefold()
    if any(name in said for name in GAME_SPECIES):
        return False
    return any(name in said for name in PORK_SPECIES)


def freezing_count(
    days: float,
    warmest_c: float,
    thickness_mm: float,
    species: str = "pork",
    chilled_c: float | None = None,
) -> FreezingCount:
    """Count a freezing step against its row.

    Parameters
    ----------
    days : days at that temperature or colder [d], 0 or more
    warmest_c : warmest reading of the freezer during the step [°C]
    thickness_mm : thickest spot [mm], above 0
    species : what it is; only pork gets credit, wild game least of all; empty counts as pork
    chilled_c : temperature of the meat when the step began [°C], None where nobody measured

    Returns
    -------
    the row, the days counted and to go (None without credit), and what there is to say

    Source
    ------
    `domain/facts/trichina.py`

    Example
    -------
    >>> freezing_count(12, -18, 80).to_go_days
    8
    """
    if not isfinite(days) or days < 0:
        raise Refused(f"{days:g} days makes no sense; give 0 or more.")
    row = freezing_row(warmest_c, thickness_mm)
    messages = []
    if any(word in species.casefold() for word in GAME_SPECIES):
        return FreezingCount(
            None, days, None, ("The table covers pork only: wild game gets no credit.",)
        )
    if species.strip() and not any(word in species.casefold() for word in PORK_SPECIES):
        text = f"The table covers pork only: no credit for {species.strip()[:40]}."
        return FreezingCount(None, days, None, (text,))
    if chilled_c is None or chilled_c > CHILL_FIRST_C:
        messages.append(say("The count begins once the pork is at {chilled} or colder.",
                            chilled=celsius(CHILL_FIRST_C)))  # fmt: skip
    if row is None:
        messages.append(say("{warmest} at that thickness is in no row: no credit.",
                            warmest=celsius(warmest_c)))  # fmt: skip
        return FreezingCount(None, days, None, tuple(messages))
    to_go = max(0, ceil(row.days - days - 1e-9))
    messages.append(
        say(
            "{days} of {full} d at {temp} or colder, up to {thick} in thick.",
            days=f"{days:.3g}",
            full=f"{row.days}",
            temp=celsius(f_to_c(row.temp_f), f"{row.temp_c:g} °C"),
            thick=f"{row.max_thickness_in}",
        )
    )
    return FreezingCount(row, days, to_go, tuple(messages))
