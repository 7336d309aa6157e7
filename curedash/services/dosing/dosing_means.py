"""What a household doses with: its rule set, its scales, its own jars and styles."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from sqlite3 import Connection

from curedash.domain.dosing import CuringSalt, Scale
from curedash.domain.errors import NotFound, Unclear
from curedash.domain.facts.trade_names import STYLE_WORDS
from curedash.domain.household.styles import Style, new_style, style
from curedash.domain.household.styles import styles as library_styles
from curedash.domain.typed.names import fitting, nearest
from curedash.domain.wording import listed
from curedash.services.dosing import jars
from curedash.services.household import styles
from curedash.store import settings

MOST_OFFERED = 4  # names in one question


@dataclass(frozen=True, slots=True)
class DosingDefaults:
    """What stands where nothing else was said; all empty without a file."""

    rule_set: str | None = None
    scales: tuple[Scale, ...] = ()
    jars: tuple[CuringSalt, ...] = ()
    styles: tuple[Style, ...] = ()


def dosing_defaults(conn: Connection) -> DosingDefaults:
    """Read the household's rule set, scales, jars and own styles."""
    return DosingDefaults(
        settings.get(conn, "rule_set"),
        tuple(Scale(division_g, max_g, name) for name, division_g, max_g in settings.scales(conn)),
        jars.shelf(conn),
        styles.own_styles(conn),
    )


@lru_cache(1000)  # a form asks what its style is at every key, for every line
def _fitting(name: str, own: tuple[tuple[str, str], ...]) -> tuple[str, ...]:
    return tuple(fitting(name, _names(own)))


def _names(own: tuple[tuple[str, str], ...]) -> dict[str, Sequence[str]]:
    """Each style with all that it is called, the household's own by id and name."""
    return {**_library(), **{key: (key, name) for key, name in own}}


def find_style(
    name: str, defaults: DosingDefaults | None = None, *, may_be_new: bool = True, asks: bool = True
) -> tuple[Style, bool]:
    """Find a style by id, name, a word of the trade or the beginnings of its words.

    Parameters
    ----------
    name : as typed; the household's own styles come before the library's
    may_be_new : make a style anew of a name that fits none
    asks : whether a name that fits several is a question; a form offers them and goes on instead

    Returns
    -------
    the style, and whether it is new

    Raises
    ------
    Unclear: it fits several; NotFound: it fits none and may not be new, with the nearest
    """
    own = {each.id: each for each in (() if defaults is None else defaults.styles)}
    pairs = tuple([(each.id, each.name) for each in own.values()])
    found = _fitting(name, pairs)
    ours = [key for key in found if key in own]
    if len(found) > 1 and len(ours) != 1 and asks:
        names = listed((_called(key, own) for key in found[:MOST_OFFERED]), "or")
        raise Unclear(f"“{name.strip()[:40]}” can be {names}: type one of them.")
    if len(found) == 1 or len(ours) == 1:
        key = (ours or found)[0]
        return own.get(key) or style(key), False
    if may_be_new:
        return new_style(name), True
    near = listed((_called(key, own) for key in nearest(name, _names(pairs))), "or")
    known = f"the closest is {near}" if near else "'curedash style list' names them all"
    raise NotFound(f"There is no style “{name.strip()[:40]}”; {known}. --new-style adds one.")


@cache
def _library() -> dict[str, tuple[str, ...]]:
    """Every style of the library with all that it is called."""
    return {each.id: tuple(_calls(each)) for each in library_styles()}


def _calls(style: Style) -> Iterator[str]:
    """All that a style is called, alone and with its meat before it."""
    for name in (style.id, style.name, *STYLE_WORDS.get(style.id, ())):
        yield name
        if style.species and style.species not in name.split():
            yield f"{style.species} {name}"


def _called(key: str, own: dict[str, Style]) -> str:
    return (own.get(key) or style(key)).name
