"""Styles in lines, as a document and as TOML that can be edited and read back."""

import json
from dataclasses import asdict, fields
from typing import Any

from curedash.domain.dosing import METHODS
from curedash.domain.household.styles import Style
from curedash.domain.wording import facts
from curedash.present.display_units import temp_range
from curedash.present.words import plain
from curedash.services.household.styles import KnownStyle

_HOW = {
    "read": "read",
    "quoted": "known only as quoted by others",
    "derived": "derived",
    "memory": "from memory, not checked against a text",
    "own": "your own",
}


def style_line(known: KnownStyle) -> str:
    """One style in a line of the list."""
    style = known.style
    mark = "*" if known.own else " "
    flags = f"  {', '.join(style.flags)}" if style.flags else ""
    loss = f"{style.loss_lo_pct:g}–{style.loss_hi_pct:g} % of {style.base}"
    return f"{mark} {style.id:<16} {plain(style.name):<26} {loss:<19}{flags}".rstrip()


def style_lines(known: KnownStyle) -> list[str]:
    """One style whole: its ways, where they come from, how sources disagree."""
    style = known.style
    lines = [
        facts(f"{plain(style.name)} ({style.id})", "your own" if known.own else ""),
        f"  usual cut: {plain(' · '.join(x for x in (style.species, style.cut) if x)) or 'any'}",
        f"  {dict(METHODS)[style.method]}, salt {style.salt_pct:g} % "
        f"({style.salt_lo_pct:g}–{style.salt_hi_pct:g}), {_cure_words(style)}",
        f"  pulled at {style.loss_lo_pct:g}–{style.loss_hi_pct:g} % of the {style.base} weight, "
        f"not before day {style.min_age_days}, weighed every {style.weigh_every_days:g} d",
        f"  place {temp_range(style.temp_lo_c, style.temp_hi_c)}, "
        f"{style.rh_lo_pct:g}–{style.rh_hi_pct:g} % RH; {style.shape}",
    ]
    if style.planned_days is not None:
        lines.append(f"  about {style.planned_days} d from salting to slicing")
    if style.product_classes:
        classes = ", ".join(f"{rules} {name}" for rules, name in style.product_classes)
        lines.append(f"  product class: {classes}")
    if style.flags:
        lines.append(f"  {', '.join(style.flags)}")
    lines.append(f"  from: {plain(style.source)} ({_HOW.get(style.how, style.how)})")
    if style.disagree:
        lines.append(f"  others: {plain(style.disagree)}")
    return lines + [f"  {line}" for line in _differences(known)]


def style_document(known: KnownStyle) -> dict[str, Any]:
    """One style as JSON."""
    values = asdict(known.style) | {"product_classes": dict(known.style.product_classes)}
    return values | {"own": known.own, "flags": list(known.style.flags)}


def style_toml(style: Style) -> str:
    """One style as TOML, to be edited and read back by ``curedash style add``."""
    lines = []
    for field in fields(style):
        value = getattr(style, field.name)
        if field.name == "product_classes" or value is None:
            continue
        lines.append(f"{field.name} = {_toml(value)}")
    lines += ["", "[product_classes]"]
    lines += [f"{json.dumps(rules)} = {_toml(name)}" for rules, name in style.product_classes]
    return "\n".join(lines)


def _toml(value: object) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
    return repr(value)


def _cure_words(style: Style) -> str:
    if style.no_nitrite or not style.cure_pct:
        return "no curing salt"
    return f"curing salt {style.curing_salt} {style.cure_pct:g} %"


def _differences(known: KnownStyle) -> list[str]:
    """What the household changed of the library's style."""
    if not known.own or known.library is None:
        return []
    found = []
    for field in fields(known.style):
        mine, theirs = getattr(known.style, field.name), getattr(known.library, field.name)
        if mine != theirs and field.name not in ("source", "how"):
            found.append(f"{field.name}: {_shown(mine)}, library {_shown(theirs)}")
    return found


def _shown(value: object) -> str:
    if isinstance(value, float):
        return f"{value:g}"
    return plain(str(value)) or "none"
