"""What a household doses with: its rule set, its scales, its own jars and styles."""

import sqlite3
from dataclasses import dataclass

from curedash.domain.dose import CuringSalt, Scale
from curedash.domain.errors import NotFound
from curedash.domain.styles import Style, new_style, style, style_from
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
        tuple(_jar(row) for row in settings.jars(conn)),
        tuple(style_from(body) for body in settings.styles(conn).values()),
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


def _jar(row: dict[str, object]) -> CuringSalt:
    note = " ".join(str(row[key]) for key in ("opened_on", "note") if row.get(key))
    return CuringSalt(
        str(row["id"]),
        str(row["name"]),
        _share(row["nitrite_pct"]),
        _share(row["nitrate_pct"]),
        _share(row["nacl_pct"]),
        str(row["nitrate_as"] or "label"),
        "own jar's label",
        "read",
        note,
    )


def _share(value: object) -> float | None:
    return float(value) if isinstance(value, (int, float)) else None
