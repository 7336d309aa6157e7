"""What a person compares with a scale, as the scale will show it, with what is on it named."""

from datetime import date, datetime, tzinfo

from curedash.domain.drying.inspections import undecided
from curedash.domain.drying.lot_figures import target_net_g
from curedash.domain.records import LotState
from curedash.domain.times import local_day
from curedash.present.display_units import mass, mass_range
from curedash.present.words import ABOUT, day, plain


def tare_words(lot: LotState) -> str:
    """What hangs on the scale beside the meat: ``with hook and net (28 g)``.

    Empty when nothing does.
    """
    if not lot.tare_g:
        return ""
    return f"with {plain(lot.tare_what or '') or 'its tare'} ({mass(lot.tare_g)})"


def pull_range_g(lot: LotState) -> tuple[float, float] | None:
    """The target range as the scale shows it, lighter first [g].

    None where none is known, and for a lot that waits for a decision: it is not to be pulled.
    """
    target = target_net_g(lot)
    if target is None or lot.by_date or undecided(lot) is not None:
        return None
    return target[0] + lot.tare_g, target[1] + lot.tare_g


def pull_at(lot: LotState) -> str | None:
    """The weight a lot is pulled at or below: ``1025 g``, ``≈ 1025 g`` from an estimated base."""
    found = pull_range_g(lot)
    if found is None:
        return None
    return f"{ABOUT + ' ' if is_about(lot) else ''}{mass(found[1], whole=True)}"


def pull_range(lot: LotState) -> str | None:
    """The whole range: ``948–1025 g``."""
    found = pull_range_g(lot)
    if found is None:
        return None
    about = ABOUT + " " if is_about(lot) else ""
    return f"{about}{mass_range(found[0], found[1], whole=True)}"


def is_about(lot: LotState) -> bool:
    """Whether the target depends on an estimated weight."""
    return lot.hang_pm_g is not None and lot.target_base == "hang"


def is_guessed(lot: LotState) -> bool:
    """Whether nobody weighed what the target depends on: then it is felt, not pulled."""
    return lot.start_from is not None and lot.target_base == "hang"


def pull_verb(lot: LotState) -> str:
    """What one does at its pull weight: ``pull``, or ``feel it`` where that is a guess."""
    return "feel it" if is_guessed(lot) else "pull"


def pull_words(lot: LotState) -> str | None:
    """``pull at 1025 g or less on the scale``; of an estimated hang weight ``feel it at ≈ …``."""
    grams = pull_at(lot)
    return None if grams is None else f"{pull_verb(lot)} at {grams} or less on the scale"


def name_of(lot: LotState) -> str:
    """Code, piece and batch: ``C2 thick end, Beef eye``."""
    head = f"{lot.code} {plain(lot.piece)}".strip()
    return f"{head}, {plain(lot.batch_name)}"


def dated(on: date) -> str:
    """A day with its year, as paper needs it: ``2 Dec 2026``."""
    return f"{day(on)} {on.year}"


def dated_from(utc: str, zone: tzinfo) -> str:
    """The calendar day of a stored moment, with its year."""
    return dated(local_day(utc, zone))


def moment_dated(utc: str, zone: tzinfo) -> str:
    """A stored moment with its year: ``2 Dec 2026 18:30``."""
    local = datetime.fromisoformat(utc).astimezone(zone)
    return f"{dated(local.date())} {local:%H:%M}"


def dated_window(first: date, last: date) -> str:
    """A window of days with the year: ``2–8 Dec 2026``.

    Example
    -------
    >>> dated_window(date(2026, 12, 2), date(2026, 12, 8))
    '2–8 Dec 2026'
    >>> dated_window(date(2026, 12, 19), date(2027, 1, 4))
    '19 Dec 2026–4 Jan 2027'
    """
    if first == last:
        return dated(first)
    if (first.year, first.month) == (last.year, last.month):
        return f"{first.day}–{dated(last)}"
    if first.year == last.year:
        return f"{day(first)}–{dated(last)}"
    return f"{dated(first)}–{dated(last)}"
