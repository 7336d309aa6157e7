"""The shelf of curing salts in lines, as a document, and the label that goes on a jar."""

from typing import Any

from curedash.domain.dosing import CuringSalt, Premix
from curedash.domain.wording import facts
from curedash.present.numbers import parts
from curedash.present.words import cells, plain, wrapped
from curedash.services.dosing.jars import Jar

LABEL_WIDTH = 44
_WARNING = ("NOT TABLE SALT", "Weigh it, never spoon it.", "Keep it locked and labelled.")


def strength_words(salt: CuringSalt) -> str:
    """``nitrite 6.25 %, nitrate 4 %, salt 89.75 %``; what is not known is said."""
    shares = (("nitrite", salt.nitrite_pct), ("nitrate", salt.nitrate_pct), ("salt", salt.nacl_pct))
    words = [f"{name} {'unknown' if share is None else f'{share:.4g} %'}" for name, share in shares]
    as_salt = f" (as {salt.nitrate_as})" if salt.nitrate_pct and salt.nitrate_as == "KNO3" else ""
    return ", ".join(words) + as_salt


def jar_line(jar: Jar) -> str:
    """One jar of the household."""
    return f"{plain(jar.salt.name)}: {strength_words(jar.salt)}{opened_words(jar)}"


def opened_words(jar: Jar) -> str:
    """Since when a jar is open and what is noted of it, behind its strength."""
    opened = "" if jar.opened_on is None else f", opened {jar.opened_on.isoformat()}"
    return opened + (f"; {plain(jar.note)}" if jar.note else "")


def generic_line(salt: CuringSalt) -> str:
    """One generic type with where its strength was read."""
    unverified = "not checked against a label" if salt.how == "memory" else ""
    source = facts(salt.source, unverified)
    words = f"{salt.id}: {salt.name}: {strength_words(salt)} ({source})"
    return facts(words, salt.note)


def jar_document(jar: Jar) -> dict[str, Any]:
    """One jar as JSON."""
    opened = None if jar.opened_on is None else jar.opened_on.isoformat()
    return salt_document(jar.salt) | {"own": True, "opened_on": opened}


def salt_document(salt: CuringSalt) -> dict[str, Any]:
    """One curing salt as JSON; unknown is null."""
    return {
        **parts(salt, "id", "name"),
        "own": False,
        **parts(salt, "nitrite_pct", "nitrate_pct", "nacl_pct"),
        "nitrate_as": salt.nitrate_as or None,
        "opened_on": None,
        **parts(salt, "source", "how"),
        "note": salt.note or None,
    }


def mixed_lines(jar: Jar, made: Premix) -> list[str]:
    """A pre-mix just made: what to weigh, and what it is from then on."""
    return [made.recipe, jar_line(jar)]


def jar_label(jar: Jar) -> list[str]:
    """The label of a jar as text, framed, to be printed or copied by hand."""
    inner = LABEL_WIDTH - 4
    text = [plain(jar.salt.name).upper(), "curing salt", *_strengths(jar.salt)]
    if jar.opened_on is not None:
        text.append(f"opened {jar.opened_on.isoformat()}")
    if jar.note:
        text += wrapped(plain(jar.note), inner, 3)
    lines = [part for line in (*text, "", *_WARNING) for part in wrapped(line, inner, 2) or [""]]
    edge = "+" + "-" * (LABEL_WIDTH - 2) + "+"
    return [edge, *(f"| {line}{' ' * (inner - cells(line))} |" for line in lines), edge]


def _strengths(salt: CuringSalt) -> list[str]:
    nitrate = _share(salt.nitrate_pct)
    if salt.nitrate_pct and salt.nitrate_as == "KNO3":
        nitrate = f"{nitrate} as KNO3"
    nitrite, salt_share = _share(salt.nitrite_pct), _share(salt.nacl_pct)
    return [f"nitrite {nitrite}", f"nitrate {nitrate}", f"salt {salt_share}"]


def _share(share: float | None) -> str:
    return "not stated" if share is None else f"{share:.4g} %"
