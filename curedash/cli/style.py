"""``curedash style``: the library of styles, shown, copied and edited."""

from __future__ import annotations

from curedash.cli.context import Context
from curedash.cli.parser import Parser
from curedash.domain.errors import UsageError
from curedash.domain.wording import clauses, listed

TYPE_CHECKING = False
if TYPE_CHECKING:
    import argparse
    from typing import Any


def run(argv: list[str], context: Context) -> int:
    """List or show styles; add one from TOML, copy one, change one, take one back."""
    words = {
        "list": _list,
        "show": _show,
        "add": _add,
        "copy": _copy,
        "set": _set,
        "remove": _remove,
    }
    if not argv or argv[0] not in words:
        raise UsageError(f"Say 'curedash style' and then {listed(PARSERS, 'or')}.")
    return words[argv[0]](argv[1:], context)


def _list(argv: list[str], context: Context) -> int:
    chosen = _list_parser().parse_args(argv)
    from curedash.present.household.styles import style_document, style_line
    from curedash.services.household.styles import all_styles

    found = all_styles(context.open_if_there())
    if chosen.json:
        context.json([style_document(known) for known in found])
    else:
        for known in found:
            context.out(style_line(known))
    return 0


def _list_parser() -> Parser:
    parser = Parser(
        "style list", "Every style; your own are marked with a star.", "curedash style list --json"
    )
    parser.add_argument("--json", action="store_true")
    return parser


def _show(argv: list[str], context: Context) -> int:
    chosen = _show_parser().parse_args(argv)
    from curedash.present.household.styles import style_toml
    from curedash.services.household.styles import require_style

    known = require_style(context.open_if_there(), chosen.style)
    if chosen.toml:
        context.data(style_toml(known.style))
        return 0
    return _print(context, known.style.id, chosen.json)


def _show_parser() -> Parser:
    parser = Parser(
        "style show",
        "Show one style: its figures, their sources, and where sources disagree.",
        "curedash style show bresaola",
    )
    parser.add_argument("style")
    parser.add_argument("--toml", action="store_true", help="as a file for 'style add'")
    parser.add_argument("--json", action="store_true")
    return parser


def _add(argv: list[str], context: Context) -> int:
    chosen = _add_parser().parse_args(argv)
    from curedash.cli.toml_file import read_toml
    from curedash.services.household.styles import add_style

    told = read_toml(chosen.file)
    made = add_style(context.open(create=True), context.by(), told)
    return _print(context, made.id, chosen.json)


def _add_parser() -> Parser:
    parser = Parser(
        "style add",
        "Save a style from a TOML file; 'like' names one to start from.",
        "curedash style add eye.toml",
    )
    parser.add_argument("file")
    parser.add_argument("--json", action="store_true")
    return parser


def _copy(argv: list[str], context: Context) -> int:
    chosen = _copy_parser().parse_args(argv)
    from curedash.services.household.styles import copy_style

    conn = context.open(create=True)
    made = copy_style(conn, context.by(), chosen.style, chosen.id, _edits(chosen))
    return _print(context, made.id, chosen.json)


def _copy_parser() -> Parser:
    parser = Parser(
        "style copy",
        "Copy a style under a new id, to be edited.",
        "curedash style copy bresaola lean --name 'my eye' --loss 33..38",
    )
    parser.add_argument("style")
    parser.add_argument("id", help="of the copy: small letters, digits and hyphens")
    _edit_flags(parser)
    return parser


def _set(argv: list[str], context: Context) -> int:
    chosen = _set_parser().parse_args(argv)
    from curedash.services.household.styles import set_style

    conn = context.open(create=True)
    made = set_style(conn, context.by(), chosen.style, _edits(chosen))
    return _print(context, made.id, chosen.json)


def _set_parser() -> Parser:
    parser = Parser(
        "style set",
        "Change a style; a style of the library becomes your own.",
        "curedash style set bresaola --loss 33..38 --weigh-every 5",
    )
    parser.add_argument("style")
    _edit_flags(parser)
    return parser


def _remove(argv: list[str], context: Context) -> int:
    chosen = _remove_parser().parse_args(argv)
    from curedash.services.household.styles import remove_style

    left = remove_style(context.open(), context.by(), chosen.style)
    again = "" if left is None else f"the library's {left.style.id} is used again"
    context.out(clauses(f"{chosen.style} is deleted", "its lots stay as they are", again, by="; "))
    return 0


def _remove_parser() -> Parser:
    parser = Parser(
        "style remove",
        "Delete a style of your own; the library's is used again.",
        "curedash style remove eye",
    )
    parser.add_argument("style")
    return parser


def _print(context: Context, style_id: str, as_json: bool) -> int:
    from curedash.present.household.styles import style_document, style_lines
    from curedash.services.household.styles import require_style

    known = require_style(context.open_if_there(), style_id)
    if as_json:
        context.json(style_document(known))
    else:
        for line in style_lines(known):
            context.out(line)
    return 0


#: flag → field of a style, for what is kept as it is typed
_WORDS = {
    "name": "name",
    "species": "species",
    "cut": "cut",
    "method": "method",
    "base": "base",
    "curing_salt": "curing_salt",
    "shape": "shape",
    "source": "source",
    "disagree": "disagree",
}
_WAYS = (
    "by-date-only",
    "two-stage",
    "fermented",
    "cook-before-eating",
    "no-nitrite",
    "weighed-as-group",
    "has-rest",
)


def _edit_flags(parser: Parser) -> None:
    add = parser.add_argument
    add("--name")
    add("--species")
    add("--cut")
    add("--method", help="how it is salted, as in 'dose --method'")
    add("--salt", metavar="PCT", help="or a range around it: 2.25..2.75..3.5")
    add("--curing-salt", metavar="ID", help="a generic type or a label strength")
    add("--cure", metavar="PCT")
    add("--loss", metavar="RANGE", help="loss it is pulled at, e.g. 33..38%%")
    add("--base", choices=("hang", "green"))
    add("--min-age", metavar="DAYS")
    add("--planned-days", metavar="DAYS", help="from salting to slicing")
    add("--weigh-every", metavar="DAYS")
    add("--temp", metavar="RANGE", help="temperature of its place, e.g. 10..15C")
    add("--rh", metavar="RANGE", help="humidity of its place, e.g. 70..80%%")
    add("--shape", choices=("slab", "round", "sphere"))
    add(
        "--class",
        dest="classes",
        action="append",
        metavar="RULES=CLASS",
        help="product class under a rule set, e.g. us=dry-cured; repeatable",
    )
    add("--source", help="where it comes from")
    add("--disagree", help="what other sources say")
    add("--way", action="append", choices=_WAYS, help="this is part of it; repeatable")
    add(
        "--not",
        dest="nots",
        action="append",
        choices=_WAYS,
        help="this is not part of it; repeatable",
    )
    add("--json", action="store_true")


def _edits(chosen: argparse.Namespace) -> dict[str, Any]:
    """The fields that the flags change."""
    found: dict[str, Any] = {
        field: getattr(chosen, flag)
        for flag, field in _WORDS.items()
        if getattr(chosen, flag) is not None
    }
    found |= _numbers(chosen) | _ranges(chosen)
    if chosen.classes:
        found["product_classes"] = dict(_class(text) for text in chosen.classes)
    found |= {way.replace("-", "_"): True for way in chosen.way or ()}
    return found | {way.replace("-", "_"): False for way in chosen.nots or ()}


def _numbers(chosen: argparse.Namespace) -> dict[str, Any]:
    from curedash.cli.dose_flags import number
    from curedash.domain.typed.units import parse_pct

    found: dict[str, Any] = {}
    if chosen.cure is not None:
        found["cure_pct"] = parse_pct(chosen.cure)
    if chosen.weigh_every is not None:
        found["weigh_every_days"] = number(chosen.weigh_every, "--weigh-every takes days, e.g. 7.")
    for flag, field in (("min_age", "min_age_days"), ("planned_days", "planned_days")):
        text = getattr(chosen, flag)
        if text is not None:
            found[field] = round(number(text, f"--{flag.replace('_', '-')} takes days, e.g. 28."))
    return found


def _ranges(chosen: argparse.Namespace) -> dict[str, Any]:
    from curedash.domain.typed.units import (
        parse_pct,
        parse_pct_range,
        parse_rh_range_pct,
        parse_temp_range_c,
    )

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


#: the second words, each with what it takes
PARSERS = {
    "list": _list_parser,
    "show": _show_parser,
    "add": _add_parser,
    "copy": _copy_parser,
    "set": _set_parser,
    "remove": _remove_parser,
}
