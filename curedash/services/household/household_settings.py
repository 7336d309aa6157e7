"""What a household settles once and may change later: zone, rule set, scales, copies kept."""

import math
import re
from collections.abc import Sequence
from sqlite3 import Connection

from curedash.domain.dosing import Scale
from curedash.domain.dosing.limits import rule_sets
from curedash.domain.errors import NotFound, Refused
from curedash.domain.household.styles import Style
from curedash.domain.record import as_dict, record
from curedash.domain.records import Place
from curedash.domain.typed.numbers import as_float, tidy
from curedash.domain.typed.units import parse_temp_c
from curedash.domain.typed.weights import parse_weights_g
from curedash.domain.typed.words import on_one_line
from curedash.domain.wording import listed, no_such
from curedash.services.dosing.jars import Jar, jars
from curedash.services.file import backup
from curedash.services.household import household, packs
from curedash.services.household.styles import own_styles
from curedash.services.needs.alert_rules import StandingRule, all_rules
from curedash.services.places import places
from curedash.store import settings
from curedash.store.work import By, at_once, change

MAX_NAME = 40
_FILLERS = ("up", "to", "max", "from", "by", "in", "steps", "of")


@record
class OwnScale:
    """A scale of the household."""

    name: str
    division_g: float
    max_g: float | None


@record
class HouseholdSettings:
    """Everything the household settled."""

    zone: str
    zone_kept: bool  # in the file; else it is this machine's
    rule_set: str | None
    scales: tuple[OwnScale, ...]
    places: tuple[Place, ...]
    copies_kept: int
    keep_days: int | None  # a pack keeps so long by the household's own rule [d]
    jars: tuple[Jar, ...]
    styles: "tuple[Style, ...]"
    rules: tuple[StandingRule, ...]


def read_settings(conn: Connection) -> HouseholdSettings:
    """Read what was settled; defaults where nothing was."""
    return HouseholdSettings(
        household.zone_name(conn),
        settings.get(conn, "zone") is not None,
        settings.get(conn, "rule_set"),
        tuple(OwnScale(*scale) for scale in settings.scales(conn)),
        tuple(places.all_of(conn)),
        backup.kept(conn),
        packs.keep_days(conn),
        jars(conn),
        own_styles(conn),
        tuple(all_rules(conn)),
    )


# ── one by one ────────────────────────────────────────────────────────────────────────────


def rule_set_label(rule_set: str) -> str:
    """The plain name of a rule set.

    Example
    -------
    >>> rule_set_label("ca")
    'Canada'
    """
    return dict(rule_sets()).get(rule_set, rule_set)


@at_once
def set_rule_set(conn: Connection, by: By, typed: str) -> str:
    """Choose the rule set that new batches begin with; by id or by name.

    Raises
    ------
    NotFound: names those there are
    """
    wanted = typed.strip().casefold()
    for rule_set, label in rule_sets():
        if wanted in (rule_set, label.casefold()):
            household.choose(conn, by, "rule_set", rule_set)
            return rule_set
    raise NotFound(no_such("rule set", typed[:40], (rule_set for rule_set, _ in rule_sets())))


@at_once
def set_zone(conn: Connection, by: By, typed: str) -> None:
    """Choose the zone in which days are counted.

    Raises
    ------
    Refused: a zone this machine does not know
    """
    household.choose(conn, by, "zone", typed.strip())


@at_once
def set_copies(conn: Connection, by: By, typed: str) -> int:
    """Choose how many daily copies stay.

    Raises
    ------
    Refused: no whole number from 1 to 1000
    """
    text = typed.strip()
    if not (text.isascii() and text.isdecimal()) or len(text) > 6:
        raise Refused(f"Give how many daily copies to keep, 1 to {backup.MOST_KEPT}; usually 14.")
    backup.keep(conn, by, int(text))
    return int(text)


@at_once
def set_keep_days(conn: Connection, by: By, typed: str) -> int:
    """Choose how many days a pack keeps by the household's own rule; 0 for no rule.

    Raises
    ------
    Refused: no whole number from 0 to 3650
    """
    text = typed.strip().casefold().removesuffix("days").removesuffix("d").strip()
    if not (text.isascii() and text.isdecimal()) or len(text) > 6:
        raise Refused("Give how many days a pack keeps by your rule, 1 to 3650; 0 for no rule.")
    packs.choose_keep_days(conn, by, int(text))
    return int(text)


def typed_scale(text: str) -> OwnScale:
    """Read a scale as typed: name, division, and how much it carries if that is known.

    Parameters
    ----------
    text : ``kitchen 1 g 5 kg``, ``fine 0.1 g up to 500 g``, ``0.1 oz 11 lb``

    Returns
    -------
    the scale; without a name it is called by its division

    Raises
    ------
    Refused: no division in it, or a maximum that is not above the division

    Example
    -------
    >>> typed_scale("fine 0.1 g up to 500 g")
    OwnScale(name='fine', division_g=0.1, max_g=500.0)
    >>> typed_scale("kitchen 1 5kg")
    OwnScale(name='kitchen', division_g=1.0, max_g=5000.0)
    """
    words = text.replace(",", ".").split()
    first = next((n for n, word in enumerate(words) if word[0] in "0123456789.½¼¾"), len(words))
    name = " ".join(words[:first])
    numbers = " ".join(word for word in words[first:] if word.casefold() not in _FILLERS)
    if not numbers:
        raise Refused(
            "Give name, smallest step and maximum, e.g. kitchen 1 g 5 kg or fine 0.1 g 500 g."
        )
    if re.search(r"[\d\s]k?g\b", numbers, re.IGNORECASE):  # a bare number is grams
        numbers = re.sub(r"(\d)(?=\s+[\d.])", r"\1 g", numbers)
    weights_g = parse_weights_g(numbers)
    if len(weights_g) > 2:
        raise Refused("Give name, smallest step and maximum, e.g. kitchen 1 g 5 kg.")
    most = weights_g[1] if len(weights_g) == 2 else None
    return _checked(OwnScale(name or f"{numbers.split()[0]} scale", weights_g[0], most))


def typed_scales(text: str) -> tuple[OwnScale, ...]:
    """Read one scale, or several parted by a comma and a blank.

    Parameters
    ----------
    text : as for :func:`typed_scale`; ``0.1/200`` is a division and a maximum

    Returns
    -------
    the scales, each with a name of its own

    Raises
    ------
    Refused: as for :func:`typed_scale`; two scales of one name

    Example
    -------
    >>> [scale.name for scale in typed_scales("0.1/200, kitchen 1 5kg")]
    ['0.1 scale', 'kitchen']
    """
    parts = re.split(r";\s*|,\s+", text.strip())
    found = tuple(typed_scale(part.replace("/", " ")) for part in parts)
    if len({scale.name.casefold() for scale in found}) < len(found):
        raise Refused("Two of them have one name; type a name before each step.")
    return found


def scales_of(shelf: Sequence[Scale]) -> tuple[OwnScale, ...]:
    """Scales a batch is dosed with as the household's own, each called by its division."""
    found = {f"{tidy(scale.division_g)} g scale": scale for scale in shelf}
    return tuple(OwnScale(name, one.division_g, one.max_g) for name, one in found.items())


@at_once
def add_scales(conn: Connection, by: By, scales: Sequence[OwnScale]) -> None:
    """Add several scales in one change; one that is there just so is left as it is.

    Raises
    ------
    Refused: as for :func:`add_scale`
    """
    known = {OwnScale(*scale) for scale in settings.scales(conn)}
    scales = [scale for scale in scales if scale not in known]
    if not scales:
        return
    with change(conn, by, "add scale", subject=listed([scale.name for scale in scales])) as work:
        for scale in scales:
            _require_free(conn, scale)
            settings.add_scale(work, scale.name, scale.division_g, scale.max_g)


@at_once
def add_scale(conn: Connection, by: By, scale: OwnScale) -> None:
    """Add a scale.

    Raises
    ------
    Refused: a name in use, a division that makes no sense
    """
    _require_free(conn, scale)
    with change(conn, by, "add scale", subject=scale.name) as work:
        settings.add_scale(work, scale.name, scale.division_g, scale.max_g)


def _require_free(conn: Connection, scale: OwnScale) -> None:
    _checked(scale)
    if scale.name.casefold() in (name.casefold() for name in settings.scale_ids(conn)):
        raise Refused(
            f"There is a scale “{scale.name}” already; change it, or give this one another name."
        )


@at_once
def change_scale(conn: Connection, by: By, name: str, scale: OwnScale) -> None:
    """Give a scale another name, division or maximum.

    Raises
    ------
    NotFound: no such scale; Refused: a name in use, a division that makes no sense
    """
    _checked(scale)
    scale_id = _scale_id(conn, name)
    known = settings.scale_ids(conn).items()
    others = {other.casefold() for other, other_id in known if other_id != scale_id}
    if scale.name.casefold() in others:
        raise Refused(f"There is a scale “{scale.name}” already; give this one another name.")
    with change(conn, by, "change scale", subject=scale.name) as work:
        settings.change_scale(work, scale_id, **as_dict(scale))


@at_once
def remove_scale(conn: Connection, by: By, name: str) -> None:
    """Forget a scale; batches keep the division they were dosed with.

    Raises
    ------
    NotFound: no such scale
    """
    scale_id = _scale_id(conn, name)
    with change(conn, by, "remove scale", subject=name) as work:
        settings.drop_scale(work, scale_id)


def typed_threshold(text: str, unit: str, *, apart: bool = False) -> float | None:
    """Read the value of an alert rule: a number in its unit (38F for °C), or ``off`` (None).

    Parameters
    ----------
    unit : of the rule
    apart : the rule is a difference of temperatures; °F are then fifths of nine

    Raises
    ------
    Refused: neither a number nor off
    """
    text = text.strip()
    if text.casefold() == "off":
        return None
    if unit == "°C" and text[-1:] in "CcFf" and text:
        if not apart:
            return parse_temp_c(text)
        size = parse_temp_c(text[:-1].rstrip("° ") + "C")
        return size / 1.8 if text[-1] in "Ff" else size
    bare = text.removesuffix(unit).removesuffix("%")
    try:
        value = as_float(bare)
    except ValueError:
        value = math.nan
    if math.isnan(value) or abs(value) > 1e6:
        raise Refused(f"“{text[:20]}” is neither a number of {unit} nor off.")
    return value


def _scale_id(conn: Connection, name: str) -> int:
    known = settings.scale_ids(conn)
    for own, scale_id in known.items():
        if own.casefold() == name.strip().casefold():
            return scale_id
    raise NotFound(no_such("scale", name[:40], known))


def _checked(scale: OwnScale) -> OwnScale:
    name = on_one_line(scale.name)
    if not 0 < len(name) <= MAX_NAME:
        raise Refused(f"A scale's name has 1 to {MAX_NAME} characters.")
    if not 0 < scale.division_g <= 100:
        raise Refused("The smallest step that the scale shows is more than 0 and at most 100 g.")
    if scale.max_g is not None and scale.max_g <= scale.division_g:
        raise Refused(
            "The maximum of a scale is more than its smallest step, e.g. kitchen 1 g 5 kg."
        )
    return OwnScale(name, scale.division_g, scale.max_g)
