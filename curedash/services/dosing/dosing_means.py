"""What a household doses with: its rule set, its scales, its own jars and styles."""

import sqlite3
from dataclasses import dataclass

from curedash.domain.dosing import CuringSalt, Scale
from curedash.domain.errors import NotFound
from curedash.domain.household.styles import Style, new_style, style
from curedash.services.dosing import jars
from curedash.services.household import styles
from curedash.store import settings


@dataclass(frozen=True, slots=True)
class DosingDefaults:
    """What stands where nothing else was said; all empty without a file."""

    rule_set: str | None = None
    scales: tuple[Scale, ...] = ()
    jars: tuple[CuringSalt, ...] = ()
    styles: tuple[Style, ...] = ()


def dosing_defaults(conn: sqlite3.Connection) -> DosingDefaults:
    """Read the household's rule set, scales, jars and own styles."""
    return DosingDefaults(
        settings.get(conn, "rule_set"),
        tuple(Scale(division_g, max_g, name) for name, division_g, max_g in settings.scales(conn)),
        jars.shelf(conn),
        styles.own_styles(conn),
    )


def find_style(name: str, defaults: DosingDefaults | None = None) -> tuple[Style, bool]:
    """Find a style among the household's own and the library's; an unknown one is made anew.

    Returns
    -------
    the style, and whether it is new
    """
    wanted = name.strip().casefold()
    for own in () if defaults is None else defaults.styles:
        if wanted in (own.id.casefold(), own.name.casefold()):
            return own, False
    try:
        return style(name), False
    except NotFound:
        return new_style(name), True
