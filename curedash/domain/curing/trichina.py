"""Freezing pork against trichina as a logged step: which row of the table counts, how far it is.

Only domestic pork under a name of the trade gets credit; nothing here says anything about drying.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, isfinite

from curedash.domain.errors import Refused
from curedash.domain.facts import trichina as facts
from curedash.domain.facts.units import MM_PER_IN
from curedash.domain.quantity_text import celsius, millimetres, phrase
from curedash.domain.typed.unit_sizes import f_to_c

_WILD_PIG = ("wild", "feral", "boar", "razorback", "warthog", "javelina", "peccary", "bushpig")
WILD = (*_WILD_PIG, "bear", "game", "venison", "deer")


@dataclass(frozen=True, slots=True)
class FreezingCount:
    """How a freezing step is used against its row: days counted, days to go, and what to say."""

    row: facts.FreezingRow | None
    counted_days: float
    to_go_days: float | None
    messages: tuple[str, ...]
    begun: bool = True  # False: a row fits, but the meat was not known to be chilled first


def freezing_row(warmest_c: float, thickness_mm: float) -> facts.FreezingRow | None:
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
        raise Refused(
            "{warmest} is not a reading of a freezer; give for example {usual}.",
            warmest=celsius(warmest_c),
            usual=celsius(-18),
        )
    if not isfinite(thickness_mm) or thickness_mm <= 0:
        raise Refused(
            "A thickness of {thick} makes no sense; give more than 0.",
            thick=millimetres(thickness_mm),
        )
    inches = thickness_mm / MM_PER_IN
    fitting = [row for row in facts.TRICHINA_FREEZING if inches <= row.max_thickness_in + 1e-9]
    if not fitting:
        return None
    thinnest_class = min(row.max_thickness_in for row in fitting)
    reached = [
        row for row in fitting if row.max_thickness_in == thinnest_class and warmest_c <= row.temp_c
    ]
    return min(reached, key=lambda row: row.temp_c) if reached else None


def is_domestic_pork(species: str) -> bool:
    """Say whether meat is domestic pork under one of the names of the trade.

    Parameters
    ----------
    species : what it is, in words

    Returns
    -------
    True for a name of the list, whatever its case; False for every other word, and for none

    Source
    ------
    `DOMESTIC_PORK` in `domain/facts/trichina.py`

    Example
    -------
    >>> is_domestic_pork("Pork"), is_domestic_pork("feral hog"), is_domestic_pork("")
    (True, False, False)
    """
    return " ".join(species.casefold().split()) in facts.DOMESTIC_PORK


def names_pork(species: str) -> bool:
    """Say whether a word names pork at all, to be told of trichina; no credit follows from it.

    Parameters
    ----------
    species : what it is, in words

    Returns
    -------
    True for pork, pig, hog or swine among the words and nothing wild

    Source
    ------
    definition

    Example
    -------
    >>> names_pork("hog"), names_pork("feral hog"), names_pork("beef")
    (True, False, False)
    """
    said = species.casefold()
    if any(word in said for word in WILD):
        return False
    return any(word in ("pork", "pig", "hog", "swine") for word in said.split()) or (
        is_domestic_pork(species)
    )


def no_credit_reason(species: str) -> str | None:
    """Say why meat gets no credit for freezing.

    Parameters
    ----------
    species : what it is, in words

    Returns
    -------
    one sentence, or None for domestic pork

    Source
    ------
    `NO_CREDIT_SOURCE` in `domain/facts/trichina.py`

    Example
    -------
    >>> no_credit_reason("beef")
    'The table covers domestic pork only: no credit for beef.'
    """
    if is_domestic_pork(species):
        return None
    said = " ".join(species.split())[:40]
    if not said:
        return "The table covers domestic pork only: no credit until you say what meat it is."
    if any(word in said.casefold() for word in WILD):
        return (
            "The table covers domestic pork only: wild game gets no credit, because some worms"
            " in it survive freezing."
        )
    return f"The table covers domestic pork only: no credit for {said}."


def freezing_count(
    days: float,
    warmest_c: float,
    thickness_mm: float,
    species: str = "",
    chilled_c: float | None = None,
) -> FreezingCount:
    """Count a freezing step against its row.

    Parameters
    ----------
    days : days at that temperature or colder [d], 0 or more
    warmest_c : warmest reading of the freezer during the step [°C]
    thickness_mm : thickest spot [mm], above 0
    species : what it is; only domestic pork gets credit, no word gets none
    chilled_c : temperature of the meat when the count began [°C], None where nobody measured;
        warmer than 4 °C or unknown, no day is counted

    Returns
    -------
    the row, the days counted and to go (None without credit), and what there is to say

    Source
    ------
    `domain/facts/trichina.py`

    Example
    -------
    >>> freezing_count(12, -18, 80, "pork", chilled_c=3).to_go_days
    8
    """
    if not isfinite(days) or days < 0:
        raise Refused(f"{days:g} days makes no sense; give 0 or more.")
    row = freezing_row(warmest_c, thickness_mm)
    reason = no_credit_reason(species)
    if reason is not None:
        return FreezingCount(None, 0.0, None, (reason,))
    if row is None:
        text = "The table has no row for {warmest} at that thickness: no day counts."
        said = phrase(text, warmest=celsius(warmest_c))
        return FreezingCount(None, 0.0, None, (said,))
    begun = chilled_c is not None and chilled_c <= facts.CHILL_FIRST_C
    messages = [] if begun else [_not_begun(chilled_c)]
    counted = days if begun else 0.0
    text = "{days} of {full} d at {temp} or colder, up to {thick} in thick."
    temp = celsius(f_to_c(row.temp_f), f"{row.temp_c:g} °C")
    full, thick = f"{row.days}", f"{row.max_thickness_in}"
    messages.append(phrase(text, days=f"{counted:.3g}", full=full, temp=temp, thick=thick))
    to_go = max(0, ceil(row.days - counted - 1e-9))
    return FreezingCount(row, counted, to_go, tuple(messages), begun)


def _not_begun(chilled_c: float | None) -> str:
    """Why no day counts yet, and what makes it begin."""
    chilled = celsius(facts.CHILL_FIRST_C)
    if chilled_c is None:
        text = (
            "Nothing is counted yet: how cold was the meat? The count begins once the pork is at"
            " {chilled} or colder."
        )
        return phrase(text, chilled=chilled)
    text = (
        "Nothing is counted yet: the meat was at {was}. The count begins once the pork is at"
        " {chilled} or colder; give that time and temperature."
    )
    return phrase(text, was=celsius(chilled_c), chilled=chilled)
