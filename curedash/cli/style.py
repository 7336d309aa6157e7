"""``curedash style``: the library of styles, shown, copied and edited."""

from __future__ import annotations

from typing import Any

from curedash.cli.command import JSON_BARE, Chosen, Command, Group, Word, several, switch
from curedash.cli.context import Context
from curedash.cli.dose_flags import number
from curedash.cli.toml_file import read_toml
from curedash.domain.errors import UsageError
from curedash.domain.typed.units import (
    parse_pct,
    parse_pct_range,
    parse_rh_range_pct,
    parse_temp_range_c,
)
from curedash.domain.wording import facts
from curedash.present.household.styles import style_document, style_line, style_lines, style_toml
from curedash.services.household.styles import (
    add_style,
    all_styles,
    copy_style,
    remove_style,
    require_style,
    set_style,
)

#: flags that are fields of a style and kept as typed
_WORDS = (
    *("name", "species", "cut", "method", "base"),
    *("curing_salt", "shape", "source", "disagree"),
)
_WAYS = (
    "by-date-only",
    "two-stage",
    "fermented",
    "cook-before-eating",
    "no-nitrite",
    "weighed-as-group",
    "has-rest",
)
_NAMED = Word("style", "id or name of the style, e.g. bresaola")
#: what of a style may be edited
_EDITS = (
    Word("--name", "name of the style, e.g. 'my eye'"),
    Word("--species", "usual species, e.g. beef"),
    Word("--cut", "usual cut, e.g. 'eye of round'"),
    Word("--method", "how it is salted, as in 'dose --method'"),
    Word("--salt PCT", "total salt in percent, e.g. 2.75, or with its range: 2.25..2.75..3.5"),
    Word("--curing-salt ID", "a generic type such as no2, or a label strength such as 5.88/0"),
    Word("--cure PCT", "curing salt in percent of the meat, e.g. 0.25"),
    Word("--loss RANGE", "loss it is pulled at, e.g. 33..38%%"),
    Word("--base", "the weight that the loss is counted from", choices=("hang", "green")),
    Word("--min-age DAYS", "minimum days from salting to slicing, e.g. 60; 0 for none"),
    Word("--planned-days DAYS", "usual days from salting to slicing, e.g. 75"),
    Word("--weigh-every DAYS", "days between two weigh-ins, e.g. 7"),
    Word("--temp RANGE", "temperature of its place, e.g. 10..15C"),
    Word("--rh RANGE", "humidity of its place, e.g. 70..80%%"),
    Word("--shape", "slab, round (tied) or sphere", choices=("slab", "round", "sphere")),
    several(
        "--class RULES=CLASS",
        "product class under a rule set, e.g. us=dry-cured; repeatable",
        dest="classes",
    ),
    Word("--source", "where its figures come from"),
    Word("--disagree", "what other sources say instead"),
    several("--way", "a trait of the style, e.g. fermented; repeatable", choices=_WAYS),
    several(
        "--not", "a trait that the style does not have; repeatable", dest="nots", choices=_WAYS
    ),
    JSON_BARE,
)


def _list(chosen: Chosen, context: Context) -> None:

    found = all_styles(context.open_if_there())
    context.each(chosen.json, found, style_document, style_line)


_LIST = Command(
    "style list",
    "Every style; your own are marked with a star.",
    "curedash style list --json",
    JSON_BARE,
    run=_list,
)


def _show(chosen: Chosen, context: Context) -> None:

    known = require_style(context.open_if_there(), chosen.style)
    if chosen.toml:
        context.data(style_toml(known.style))
        return
    _print(context, known.style.id, chosen.json)


_SHOW = Command(
    "style show",
    "Show one style: its figures, their sources, and where sources disagree.",
    "curedash style show bresaola",
    _NAMED,
    switch("--toml", "print it as a file for 'style add'"),
    JSON_BARE,
    run=_show,
)


def _add(chosen: Chosen, context: Context) -> None:

    made = add_style(context.open(create=True), context.by(), read_toml(chosen.file))
    _print(context, made.id, chosen.json)


_ADD = Command(
    "style add",
    "Save a style from a TOML file; 'like' names one to start from.",
    "curedash style add eye.toml",
    Word("file", "a TOML file, e.g. eye.toml"),
    JSON_BARE,
    run=_add,
)


def _copy(chosen: Chosen, context: Context) -> None:

    conn = context.open(create=True)
    made = copy_style(conn, context.by(), chosen.style, chosen.id, _edits(chosen))
    _print(context, made.id, chosen.json)


_COPY = Command(
    "style copy",
    "Copy a style under a new id, to be edited.",
    "curedash style copy bresaola lean --name 'my eye' --loss 33..38",
    _NAMED,
    Word("id", "id of the copy: small letters, digits and hyphens"),
    *_EDITS,
    run=_copy,
)


def _set(chosen: Chosen, context: Context) -> None:

    conn = context.open(create=True)
    made = set_style(conn, context.by(), chosen.style, _edits(chosen))
    _print(context, made.id, chosen.json)


_SET = Command(
    "style set",
    "Change a style; a style of the library becomes your own.",
    "curedash style set bresaola --loss 33..38 --weigh-every 5",
    _NAMED,
    *_EDITS,
    run=_set,
)


def _remove(chosen: Chosen, context: Context) -> None:

    left = remove_style(context.open(), context.by(), chosen.style)
    again = "" if left is None else f"the library's {left.style.id} is used again"
    context.out(facts(f"{chosen.style} is deleted", "its lots stay as they are", again))


_REMOVE = Command(
    "style remove",
    "Delete a style of your own; the library's is used again.",
    "curedash style remove eye",
    _NAMED,
    run=_remove,
)


def _print(context: Context, style_id: str, as_json: bool) -> None:

    known = require_style(context.open_if_there(), style_id)
    context.answer(as_json, style_document(known), style_lines(known))


def _edits(chosen: Chosen) -> dict[str, Any]:
    """The fields that the flags change."""
    typed = {field: getattr(chosen, field) for field in _WORDS}
    found: dict[str, Any] = {field: text for field, text in typed.items() if text is not None}
    found |= _numbers(chosen) | _ranges(chosen)
    if chosen.classes:
        found["product_classes"] = dict(_class(text) for text in chosen.classes)
    found |= {way.replace("-", "_"): True for way in chosen.way or ()}
    return found | {way.replace("-", "_"): False for way in chosen.nots or ()}


def _numbers(chosen: Chosen) -> dict[str, Any]:

    found: dict[str, Any] = {}
    if chosen.cure is not None:
        found["cure_pct"] = parse_pct(chosen.cure)
    if chosen.weigh_every is not None:
        found["weigh_every_days"] = number(
            chosen.weigh_every, "--weigh-every takes a number of days, e.g. 7."
        )
    for flag, field in (("min_age", "min_age_days"), ("planned_days", "planned_days")):
        text = getattr(chosen, flag)
        if text is not None:
            way = f"--{flag.replace('_', '-')} takes a number of days, e.g. 28."
            found[field] = round(number(text, way))
    return found


def _ranges(chosen: Chosen) -> dict[str, Any]:

    found: dict[str, Any] = {}
    if chosen.salt is not None:
        parts = [parse_pct(part) for part in chosen.salt.split("..")]
        if len(parts) not in (1, 3):
            raise UsageError("Give the salt as 2.75, or with its range as 2.25..2.75..3.5.")
        names = ("salt_lo_pct", "salt_pct", "salt_hi_pct") if len(parts) == 3 else ("salt_pct",)
        found |= dict(zip(names, parts, strict=True))
    for flag, read, field in (
        ("loss", parse_pct_range, "loss_{}_pct"),
        ("temp", parse_temp_range_c, "temp_{}_c"),
        ("rh", parse_rh_range_pct, "rh_{}_pct"),
    ):
        text = getattr(chosen, flag)
        if text is not None:
            low, high = read(text)
            found |= {field.format("lo"): low, field.format("hi"): high}
    return found


def _class(text: str) -> tuple[str, str]:
    rules, equals, name = text.partition("=")
    if not equals:
        raise UsageError("Give a product class as RULES=CLASS, for example --class us=dry-cured.")
    return rules.strip(), name.strip()


COMMAND = Group(
    "Say 'curedash style' and then list, show, add, copy, set or remove.",
    *(_LIST, _SHOW, _ADD, _COPY, _SET, _REMOVE),
)
