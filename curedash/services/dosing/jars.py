"""The shelf of curing salts: the household's own jars beside the generic types."""

import re
from dataclasses import dataclass
from datetime import date, timedelta
from sqlite3 import Connection

from curedash.domain.dosing import CuringSalt, Premix, curing_salts, label_salt, premix
from curedash.domain.dosing import resolve_curing_salt as resolve
from curedash.domain.errors import NotFound, Refused
from curedash.domain.times import moment
from curedash.domain.typed.numbers import as_float
from curedash.domain.typed.weights import parse_weight_g
from curedash.domain.typed.words import on_one_line
from curedash.domain.wording import listed, no_such
from curedash.store import settings
from curedash.store.work import By, Work, at_once, change

MAX_NAME = 60
MAX_NOTE = 500
NITRATE_AS = ("NaNO3", "KNO3")
_NUMBER = r"\d+(?:[.,]\d+)?"
_PREMIX = re.compile(
    rf"(?P<of>\S.*?)\s+(?P<parts>{_NUMBER})\s+(?P<weight>{_NUMBER}\s*(?:kg|g|oz|lb))"
    r"(?:\s+(?P<name>.*))?"
)


@dataclass(frozen=True, slots=True)
class Jar:
    """One jar as its label says."""

    salt: CuringSalt
    opened_on: date | None
    note: str


def jars(conn: Connection | None) -> tuple[Jar, ...]:
    """The household's own jars, by id; none without a file."""
    if conn is None:
        return ()
    return tuple(_jar(row) for row in settings.jars(conn))


def shelf(conn: Connection) -> tuple[CuringSalt, ...]:
    """The household's own jars as curing salts, for ``resolve_curing_salt``."""
    return tuple(jar.salt for jar in jars(conn))


def require_jar(conn: Connection, name: str) -> Jar:
    """The own jar of this name.

    Raises
    ------
    NotFound: names the jars there are
    """
    wanted = name.strip().casefold()
    known = jars(conn)
    for jar in known:
        if wanted in (jar.salt.id.casefold(), jar.salt.name.casefold()):
            return jar
    raise NotFound(no_such("jar", name[:40], (jar.salt.name for jar in known)))


@at_once
def add_jar(
    conn: Connection,
    by: By,
    name: str,
    strength: str,
    *,
    nitrate_as: str = "NaNO3",
    opened_on: date | None = None,
    note: str = "",
) -> Jar:
    """Put a jar on the shelf, as its label says.

    Parameters
    ----------
    strength : label strength such as ``6.25/0``, ``6.25/4/89.75`` or ``0.5/0.5/?``; a strength is
        never taken from elsewhere
    nitrate_as : the nitrate salt the label means
    opened_on : the day it was opened

    Raises
    ------
    Refused: a strength that cannot be, a name in use
    """
    strength = _as_label(strength)
    if nitrate_as not in NITRATE_AS:
        raise Refused(f"The nitrate on a label is {listed(NITRATE_AS, 'or')}.")
    if opened_on is not None and opened_on > moment(by.now).date() + timedelta(days=1):
        raise Refused(f"{opened_on.isoformat()} is in the future; give the day the jar was opened.")
    read = resolve(strength)
    return _keep(conn, by, "add jar", name, read, nitrate_as, opened_on, note)


@at_once
def change_jar(conn: Connection, by: By, name: str, new_name: str, strength: str) -> Jar:
    """Correct the name or the strength of a jar; batches keep what they were dosed with.

    Raises
    ------
    NotFound: no such jar; Refused: a strength that cannot be, a name in use
    """
    jar, clean = require_jar(conn, name), _name(new_name)
    read = resolve(_as_label(strength))
    if _id_of(clean) != jar.salt.id:
        _require_free(conn, clean)
    with change(conn, by, "change jar", subject=clean) as work:
        if _id_of(clean) != jar.salt.id:
            settings.drop_jar(work, jar.salt.id)
        nitrate_as = jar.salt.nitrate_as if jar.salt.nitrate_as in NITRATE_AS else NITRATE_AS[0]
        _put(work, clean, read, nitrate_as, jar.opened_on, jar.note or None)
    return require_jar(conn, clean)


def typed_jar(text: str) -> tuple[str, str]:
    """A jar as typed on one line: its name, then the strength on its label.

    Raises
    ------
    Refused: one of the two is missing

    Example
    -------
    >>> typed_jar("red jar 6.25/0")
    ('red jar', '6.25/0')
    """
    name, _, strength = text.strip().rpartition(" ")
    if "/" not in strength or not name.strip():
        raise Refused("Type its name, then nitrite %/nitrate % of its label: red jar 6.25/0.")
    return name.strip(), strength


def typed_premix(text: str) -> tuple[str, float, float, str]:
    """A pre-mix as typed on one line: salt, parts of table salt to one, weight, name.

    Returns
    -------
    the salt, the parts, the weight of the mix [g], the name (empty: made of both)

    Raises
    ------
    Refused: one of the first three is missing

    Example
    -------
    >>> typed_premix("no1 4 200g weak"), typed_premix("red jar 9 0.5 kg")
    (('no1', 4.0, 200.0, 'weak'), ('red jar', 9.0, 500.0, ''))
    """
    found = _PREMIX.fullmatch(text.strip())
    if found is None:
        raise Refused(
            "Type curing salt, parts of table salt to one of it, weight, name: no1 4 200g weak."
        )
    weight_g = parse_weight_g(found["weight"], marks_are_decimal=True)
    return found["of"], as_float(found["parts"]), weight_g, found["name"] or ""


@at_once
def add_premix(
    conn: Connection,
    by: By,
    of: str,
    parts_plain: float,
    batch_g: float,
    *,
    name: str = "",
    mixed_on: date | None = None,
) -> tuple[Jar, Premix]:
    """Dilute a curing salt in plain salt; the mix is a jar of its own strength from then on.

    Parameters
    ----------
    of : a jar, a generic type or a label strength
    parts_plain : parts of plain salt to one of curing salt
    batch_g : weight of the whole mix [g]
    name : what the jar is called; else made of both

    Returns
    -------
    the jar, and how much of each to weigh

    Raises
    ------
    Refused: an unknown strength, numbers that make no sense, a name in use
    """
    salt = resolve(of, shelf(conn))
    made = premix(salt, parts_plain, batch_g)
    note = f"{made.curing_salt_g:.4g} g of {salt.name} in {made.plain_salt_g:.4g} g table salt"
    called, nitrate_as = name or made.salt.name, made.salt.nitrate_as
    return _keep(conn, by, "mix jar", called, made.salt, nitrate_as, mixed_on, note), made


@at_once
def remove_jar(conn: Connection, by: By, name: str) -> Jar:
    """Take a jar off the shelf; batches keep the strength they were dosed with.

    Raises
    ------
    NotFound: no such jar
    """
    jar = require_jar(conn, name)
    with change(conn, by, "remove jar", subject=jar.salt.name) as work:
        settings.drop_jar(work, jar.salt.id)
    return jar


def _keep(
    conn: Connection,
    by: By,
    verb: str,
    name: str,
    salt: CuringSalt,
    nitrate_as: str,
    opened_on: date | None,
    note: str,
) -> Jar:
    clean = _name(name)
    _require_free(conn, clean)
    with change(conn, by, verb, subject=clean) as work:
        _put(work, clean, salt, nitrate_as, opened_on, _note(note, salt))
    return require_jar(conn, clean)


def _put(
    work: Work,
    name: str,
    salt: CuringSalt,
    nitrate_as: str,
    opened_on: date | None,
    note: str | None,
) -> None:
    """Write a jar, the shares on its label checked."""
    checked = label_salt(salt.nitrite_pct or 0.0, salt.nitrate_pct or 0.0, salt.nacl_pct)
    shares = {each: getattr(checked, each) for each in ("nitrite_pct", "nitrate_pct", "nacl_pct")}
    day = None if opened_on is None else opened_on.isoformat()
    jar = {"name": name, "nitrate_as": nitrate_as, "opened_on": day, "note": note}
    settings.put_jar(work, _id_of(name), **jar, **shares)


def _as_label(strength: str) -> str:
    """The strength, if it reads as a label; none is taken from elsewhere."""
    if "/" not in strength:
        raise Refused("Give the strength on the label as nitrite %/nitrate %, such as 6.25/0.")
    return strength


def _require_free(conn: Connection, name: str) -> None:
    """A jar may not hide a generic type or another jar."""
    taken = {word.casefold() for s in curing_salts() for word in (s.id, s.name)}
    if name.casefold() in taken or _id_of(name) in taken:
        raise Refused(f"“{name}” is a generic type; give your own jar another name, e.g. red jar.")
    own = {word.casefold() for salt in shelf(conn) for word in (salt.id, salt.name)}
    if name.casefold() in own or _id_of(name) in own:
        raise Refused(f"There is a jar “{name}” already; give this one another name.")


def _name(name: str) -> str:
    clean = on_one_line(name)
    if not clean or len(clean) > MAX_NAME or not _id_of(clean):
        raise Refused(f"A jar needs a name of 1 to {MAX_NAME} characters, e.g. red jar.")
    if "/" in clean:
        raise Refused("The name of a jar has no / in it: that would read as a strength.")
    return clean


def _note(note: str, salt: CuringSalt) -> str | None:
    clean = " ".join(note.split())
    if len(clean) > MAX_NOTE:
        raise Refused(f"A note on a jar has at most {MAX_NOTE} characters.")
    return "; ".join(part for part in (salt.note, clean) if part) or None


def _id_of(name: str) -> str:
    return "-".join("".join(c if c.isalnum() else " " for c in name.casefold()).split())


def _jar(row: dict[str, object]) -> Jar:
    opened = row.get("opened_on")
    note = str(row.get("note") or "")
    return Jar(
        CuringSalt(
            str(row["id"]),
            str(row["name"]),
            _share(row["nitrite_pct"]),
            _share(row["nitrate_pct"]),
            _share(row["nacl_pct"]),
            str(row["nitrate_as"] or "label"),
            "own jar's label",
            "read",
            note,
        ),
        date.fromisoformat(str(opened)) if opened else None,
        note,
    )


def _share(value: object) -> float | None:
    return float(value) if isinstance(value, (int, float)) else None
