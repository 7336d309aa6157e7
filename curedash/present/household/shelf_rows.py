"""Rows of Settings for alerts, jars and styles: what the household has on its shelf."""

from __future__ import annotations

from collections.abc import Sequence

from curedash.domain.curing.stages import WORDS
from curedash.domain.household.styles import Style
from curedash.domain.record import replace
from curedash.present.dosing.jars import opened_words
from curedash.present.household.settings_row import OWN, Cell, Row, head
from curedash.present.household.style_fields import STYLE_FIELDS
from curedash.present.places.air import is_difference, threshold
from curedash.present.words import plain
from curedash.services.dosing.jars import Jar
from curedash.services.household.styles import KnownStyle
from curedash.services.needs.alert_rules import StandingRule

LIMITS = ("24 h max", "6 h max", "24 h min")  # in the order of the parts of a stage's limits
JAR_HELP = "name and label, nitrite %/nitrate %: red jar 6.25/0"
PREMIX_HELP = (
    "curing salt, parts of table salt to one of it, weight of the mix, name: no1 4 200g weak"
)


# ── alerts ────────────────────────────────────────────────────────────────────────────────


def limit_rows(rules: Sequence[StandingRule], remove_key: str) -> list[Row]:
    """The limits of each stage as a grid: 24 h and 6 h at most, 24 h at least."""
    stages = list(dict.fromkeys(one.rule.stage for one in rules if one.rule.stage is not None))
    heads = tuple(Cell("", words, "") for words in LIMITS)
    title = replace(head("Alerts: temperature", ""), cells=heads)
    return [title, *(_stage_row(stage, rules, remove_key) for stage in stages)]


def alert_rows(rules: Sequence[StandingRule], remove_key: str) -> list[Row]:
    """Every other alert in a line of its own."""
    return [
        head("Alerts: the rest", "design values of this program; * is your own"),
        *(_alert_row(one, remove_key) for one in rules if one.rule.stage is None),
    ]


def _alert_row(standing: StandingRule, remove_key: str) -> Row:
    rule = standing.rule
    return Row("alert", rule.id, rule.words, _value(standing), _usual(standing, remove_key))


def _stage_row(stage: str, rules: Sequence[StandingRule], remove_key: str) -> Row:
    own = [one for one in rules if one.rule.stage == stage]
    cells = tuple(
        Cell(one.rule.id, _value(one), f"{one.rule.words}; {_usual(one, remove_key)}")
        for one in sorted(own, key=lambda one: one.rule.part or 0)
    )
    return Row("limits", stage, WORDS[stage], "", cells=cells)


def _value(standing: StandingRule) -> str:
    rule = standing.rule
    value = threshold(standing.value, rule.unit, apart=is_difference(rule.id))
    return value + (OWN if standing.own else "")


def _usual(standing: StandingRule, remove_key: str) -> str:
    rule = standing.rule
    usual = threshold(rule.default, rule.unit, apart=is_difference(rule.id))
    if rule.may_be_off and rule.default is not None:
        return f"usually {usual}, or off; {remove_key}: the usual value"
    return f"usually {usual}; {remove_key}: the usual value"


# ── jars ──────────────────────────────────────────────────────────────────────────────────


def jar_rows(jars: Sequence[Jar], new_key: str, remove_key: str) -> list[Row]:
    """Each own jar and pre-mix, then the ways to add one."""
    return [
        head(
            "Jars of curing salt",
            f"beside the generic types; {new_key} adds one, {remove_key} removes one",
        ),
        *(
            Row("jar", j.salt.id, plain(j.salt.name), strength_words(j) + opened_words(j), JAR_HELP)
            for j in jars
        ),
        Row("new-jar", "", "another jar" if jars else "a jar", "as its label says", JAR_HELP),
        Row(
            "new-premix",
            "",
            "a pre-mix",
            "curing salt diluted with table salt",
            PREMIX_HELP,
            brief="cut with table salt",
        ),
    ]


def strength_words(jar: Jar) -> str:
    """What a jar holds, as its label says: ``nitrite 6.25 %, nitrate 0 %``."""
    parts = (("nitrite", jar.salt.nitrite_pct), ("nitrate", jar.salt.nitrate_pct))
    return ", ".join(f"{name} {'?' if pct is None else f'{pct:.4g} %'}" for name, pct in parts)


def jar_text(jar: Jar) -> str:
    """A jar as it would be typed: ``red jar 6.25/0/93.75``."""
    salt = jar.salt
    shares = (salt.nitrite_pct, salt.nitrate_pct, salt.nacl_pct)
    return f"{salt.name} " + "/".join("?" if pct is None else f"{pct:.6g}" for pct in shares)


# ── styles ────────────────────────────────────────────────────────────────────────────────


def style_rows(
    known: Sequence[KnownStyle], opened: str | None, new_key: str, remove_key: str
) -> list[Row]:
    """Each style in a line, the household's own first; of the opened one its fields below it."""
    says = f"Enter opens one, {new_key} copies it; * marks your own, {remove_key} removes it"
    rows = [head("Styles", says)]
    for one in sorted(known, key=lambda each: not each.own):
        style, name = one.style, plain(one.style.name) + (OWN if one.own else "")
        words, help = _style_words(style), _style_help(one, remove_key)
        brief = words.replace(f" % of {style.base}", " %", 1)
        rows.append(Row("styles", style.id, name, words, help, brief=brief))
        if style.id == opened:
            rows += _field_rows(style)
    return rows


def _style_words(style: Style) -> str:
    loss = f"{style.loss_lo_pct:g}–{style.loss_hi_pct:g} % of {style.base}"
    cure = f", {style.curing_salt} {style.cure_pct:g} %" if style.cure_pct else ""
    return f"{loss}, salt {style.salt_pct:g} %{cure}"


def _style_help(one: KnownStyle, remove_key: str) -> str:
    if not one.own:
        return f"{plain(one.style.id)}: of the library; a change makes it your own"
    back = "the library's is used again" if one.library is not None else "it is gone"
    return f"{plain(one.style.id)}: your own; {remove_key} removes it, {back}"


def _field_rows(style: Style) -> list[Row]:
    return [
        Row("style-field", f"{style.id} {each.id}", f"  {each.label}", each.shown(style), each.help)
        for each in STYLE_FIELDS
    ]
