"""The style library with the household's own styles: shown, copied, edited, taken back."""

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from sqlite3 import Connection
from typing import Any

from curedash.domain.errors import NotFound, Refused
from curedash.domain.household import styles as library
from curedash.domain.household.styles import Style, check_style, style_from
from curedash.domain.wording import no_such
from curedash.store import batches, settings
from curedash.store.work import By, at_once, change

MAX_ID = 60
MAX_TEXT = 300


@dataclass(frozen=True, slots=True)
class KnownStyle:
    """A style as the household has it, and the library's of the same id behind it."""

    style: Style
    own: bool
    library: Style | None


def all_styles(conn: Connection | None) -> tuple[KnownStyle, ...]:
    """Own styles first, by name; then the library's that the household has not made its own."""
    known = {style.id: style for style in library.styles()}
    own = sorted(own_styles(conn), key=lambda style: style.name.casefold())
    taken = {style.id for style in own}
    return (
        *(KnownStyle(style, True, known.get(style.id)) for style in own),
        *(KnownStyle(style, False, style) for style in known.values() if style.id not in taken),
    )


def own_styles(conn: Connection | None) -> tuple[Style, ...]:
    """The household's own styles; none without a file."""
    if conn is None:
        return ()
    return tuple(style_from(body) for body in settings.styles(conn).values())


def require_style(conn: Connection | None, name: str) -> KnownStyle:
    """The style of this id or name, own ones first.

    Raises
    ------
    NotFound: names the styles there are
    """
    wanted = name.strip().casefold()
    known = all_styles(conn)
    for found in known:
        if wanted in (found.style.id.casefold(), found.style.name.casefold()):
            return found
    raise NotFound(no_such("style", name[:40], (found.style.id for found in known)))


@at_once
def add_style(conn: Connection, by: By, values: Mapping[str, Any]) -> Style:
    """Keep a style read from a person's own table.

    Parameters
    ----------
    values : fields of a style; ``id`` and ``name`` are needed, ``like`` names a style to start from

    Raises
    ------
    Refused: an unknown field, a value that cannot be, an id in use; NotFound: ``like`` is unknown
    """
    told = dict(values)
    like = told.pop("like", None)
    if isinstance(told.get("id"), str) and told["id"] in settings.styles(conn):
        raise Refused(f"There is a style {told['id']} of yours already; change it with style set.")
    start: dict[str, Any] = {"source": "the household's own", "how": "own"}
    if like is not None:
        start = _copied(require_style(conn, str(like)).style)
    return _keep(conn, by, "add style", _changed(start, told))


@at_once
def copy_style(
    conn: Connection, by: By, name: str, new_id: str, values: Mapping[str, Any] | None = None
) -> Style:
    """Copy a style under a new id, some fields changed at once.

    Raises
    ------
    NotFound: no such style; Refused: an id in use
    """
    start = _copied(require_style(conn, name).style)
    taken = {found.style.id for found in all_styles(conn)}
    if new_id in taken:
        raise Refused(f"There is a style {new_id} already; give the copy another id.")
    told = {"name": new_id} | dict(values or {}) | {"id": new_id}
    return _keep(conn, by, "copy style", _changed(start, told))


@at_once
def set_style(conn: Connection, by: By, name: str, values: Mapping[str, Any]) -> Style:
    """Change fields of a style; one of the library becomes the household's own by that.

    Raises
    ------
    NotFound: no such style; Refused: nothing to change, a value that cannot be
    """
    if not values:
        raise Refused("Say what to change, for example --loss 33..38.")
    if {"id", "like"} & values.keys():
        raise Refused("The id of a style cannot change; copy the style under a new id.")
    known = require_style(conn, name)
    start = asdict(known.style) if known.own else _copied(known.style)
    return _keep(conn, by, "set style", _changed(start, values))


@at_once
def remove_style(conn: Connection, by: By, name: str) -> KnownStyle | None:
    """Forget an own style; the library's of that id, if there is one, is used again.

    Returns
    -------
    the library's style of that id, or None

    Raises
    ------
    NotFound: no such style; Refused: it is the library's own
    """
    known = require_style(conn, name)
    if not known.own:
        raise Refused(
            f"{known.style.id} is a style of the library, not your own; it cannot be removed."
        )
    with change(conn, by, "remove style", subject=known.style.id) as work:
        settings.drop_style(work, known.style.id)
    return None if known.library is None else KnownStyle(known.library, False, known.library)


@at_once
def remove_unused(conn: Connection, by: By, style_id: str) -> KnownStyle | None:
    """Forget an own style as :func:`remove_style` does, if no batch was made by it.

    Raises
    ------
    NotFound: no such style; Refused: batches have it and the library has none of that id
    """
    known = require_style(conn, style_id)
    users = [batch.code for batch in batches.all_batches(conn) if batch.style == known.style.id]
    if users and known.library is None:
        some = ", ".join(users[:5]) + (" …" if len(users) > 5 else "")
        raise Refused(f"“{known.style.name}” cannot be removed: batch {some} uses it.")
    return remove_style(conn, by, known.style.id)


def _copied(style: Style) -> dict[str, Any]:
    """The fields of a style for a copy, which says where it came from."""
    source = style.source if style.how == "own" else f"own, from {style.id} ({style.source})"
    return asdict(style) | {"source": source[:MAX_TEXT], "how": "own"}


def _changed(start: Mapping[str, Any], values: Mapping[str, Any]) -> dict[str, Any]:
    """The fields with some changed; a new usual salt widens the range it lay in."""
    made = {**start, **values}
    salt_pct = values.get("salt_pct")
    if isinstance(salt_pct, (int, float)):
        for name, outer in (("salt_lo_pct", min), ("salt_hi_pct", max)):
            if name not in values and name in start:
                made[name] = outer(start[name], salt_pct)
    return made


def _keep(conn: Connection, by: By, verb: str, values: Mapping[str, Any]) -> Style:
    made = style_from(values)
    _check_words(made)
    check_style(made)
    with change(conn, by, verb, subject=made.id) as work:
        settings.put_style(work, made.id, asdict(made))
    return made


def _check_words(made: Style) -> None:
    """An id that can be typed, and words that fit on a line."""
    plain = made.id.replace("-", "")
    if len(made.id) > MAX_ID or not plain.isalnum() or made.id != made.id.lower():
        raise Refused("The id of a style has small letters, digits and hyphens, e.g. eye-of-round.")
    for name, text, most in (
        ("name", made.name, MAX_ID),
        ("species", made.species, MAX_ID),
        ("cut", made.cut, MAX_ID),
        ("source", made.source, MAX_TEXT),
        ("disagree", made.disagree, MAX_TEXT),
    ):
        if len(text) > most or not (text.isprintable() and text == text.strip()):
            raise Refused(f"{name} of a style is one line of at most {most} characters.")
