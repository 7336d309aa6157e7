"""The fields of a style as a person edits them: what each is called, shown, and how it is read."""

from __future__ import annotations

from collections.abc import Callable
from operator import attrgetter
from typing import Any

from curedash.domain.dosing import METHODS
from curedash.domain.errors import Refused
from curedash.domain.household.styles import BASES, SHAPES, Style
from curedash.domain.record import record
from curedash.domain.typed import units as typed_units
from curedash.domain.typed.numbers import as_float
from curedash.present.display_units import degrees, temp_letter
from curedash.present.words import NOTHING, plain

Values = dict[str, Any]
MOST_DAYS = 3650.0


@record
class StyleField:
    """One line of a style: ``read`` turns what was typed into fields of it, or refuses it."""

    id: str
    label: str
    shown: Callable[[Style], str]
    typed: Callable[[Style], str]  # as it would be typed; the id of the answer of a choice
    read: Callable[[str], Values]
    help: str = ""
    options: tuple[tuple[str, str], ...] = ()


def field_of(field_id: str) -> StyleField:
    """The field of this id."""
    return next(each for each in STYLE_FIELDS if each.id == field_id)


def _text(field_id: str, label: str, help: str = "") -> StyleField:
    typed = attrgetter(field_id)

    return StyleField(
        field_id,
        label,
        lambda style: plain(typed(style)) or NOTHING,
        typed,
        lambda text: {field_id: " ".join(text.split())},
        help,
    )


def _days(field_id: str, label: str, help: str, *, whole: bool = True) -> StyleField:
    def typed(style: Style) -> str:
        value = getattr(style, field_id)
        return "" if value is None else f"{value:g}"

    def read(text: str) -> Values:
        if not text.strip() and field_id == "planned_days":
            return {field_id: None}
        days = _number(text.casefold().removesuffix("days").removesuffix("d"))
        return {field_id: round(days) if whole else days}

    return StyleField(
        field_id, label, lambda style: f"{typed(style) or NOTHING} days", typed, read, help
    )


def _number(text: str) -> float:
    try:
        value = as_float(text.strip())
    except ValueError:
        raise Refused(f"“{text.strip()[:20]}” is not a number of days, e.g. 7.") from None
    if not 0 <= value <= MOST_DAYS:
        raise Refused(f"Give days from 0 to {MOST_DAYS:g}.")
    return value


def _range(
    field_id: str,
    label: str,
    ends: tuple[str, str],
    read: Callable[[str], tuple[float, float]],
    unit: str,
    help: str,
) -> StyleField:
    def shown(style: Style) -> str:
        low, high = (getattr(style, end) for end in ends)
        return f"{low:g}–{high:g} {unit}"

    def typed(style: Style) -> str:
        low, high = (getattr(style, end) for end in ends)
        return f"{low:g}..{high:g}%"

    return StyleField(
        field_id, label, shown, typed, lambda text: dict(zip(ends, read(text), strict=True)), help
    )


def _choice(field_id: str, label: str, options: tuple[tuple[str, str], ...]) -> StyleField:
    words, typed = dict(options), attrgetter(field_id)

    return StyleField(
        field_id,
        label,
        lambda style: words.get(typed(style), typed(style)),
        typed,
        lambda answer: {field_id: answer},
        options=options,
    )


def _way(field_id: str, label: str) -> StyleField:
    def typed(style: Style) -> str:
        return "yes" if getattr(style, field_id) else "no"

    return StyleField(
        field_id,
        label,
        typed,
        typed,
        lambda answer: {field_id: answer == "yes"},
        options=(("no", "no"), ("yes", "yes")),
    )


def _salt(text: str) -> Values:
    """``2.75``, or with the range around it ``2.25..2.75..3.5``."""
    parts = [typed_units.parse_pct(part) for part in text.split("..")]
    if len(parts) not in (1, 3):
        raise Refused("Give the salt as 2.75, or with its range as 2.25..2.75..3.5.")
    names = ("salt_lo_pct", "salt_pct", "salt_hi_pct") if len(parts) == 3 else ("salt_pct",)
    return dict(zip(names, parts, strict=True))


def _air_words(style: Style) -> str:
    low, high = (f"{round(degrees(end), 1):g}" for end in (style.temp_lo_c, style.temp_hi_c))
    return f"{low}..{high}{temp_letter()}"


STYLE_FIELDS: tuple[StyleField, ...] = (
    _text("name", "name"),
    _text("species", "animal"),
    _text("cut", "usual cut"),
    _choice("method", "salting method", METHODS),
    StyleField("salt", "salt", lambda s: f"{s.salt_pct:g} % ({s.salt_lo_pct:g}–{s.salt_hi_pct:g})",
               lambda s: f"{s.salt_lo_pct:g}..{s.salt_pct:g}..{s.salt_hi_pct:g}%", _salt,
               "2.75, or with its range 2.25..2.75..3.5"),
    _text("curing_salt", "curing salt", "no1, no2 or a label strength such as 6.25/0"),
    StyleField("cure", "curing salt %", lambda s: f"{s.cure_pct:g} %", lambda s: f"{s.cure_pct:g}",
               lambda text: {"cure_pct": typed_units.parse_pct(text)},
               "percent of the meat, e.g. 0.25; 0 for none"),
    _way("no_nitrite", "without nitrite"),
    _range("loss", "pulled at", ("loss_lo_pct", "loss_hi_pct"), typed_units.parse_pct_range,
           "% lost", "a range of loss, e.g. 33..38%"),
    _choice("base", "loss counted from", tuple((each, f"{each} weight") for each in BASES)),
    _days("min_age_days", "not before day", "from salting, e.g. 60; 0 for no minimum"),
    _days("planned_days", "salting to slicing", "about how many days; empty: not known"),
    _days("weigh_every_days", "weighed every", "days between two weigh-ins, e.g. 7", whole=False),
    StyleField(
        "temp",
        "air of its place",
        lambda s: _air_words(s).replace("..", "–").replace(temp_letter(), f" °{temp_letter()}"),
        _air_words,
        lambda text: dict(
            zip(
                ("temp_lo_c", "temp_hi_c"),
                typed_units.parse_temp_range_c(text, default_unit=temp_letter()),
                strict=True,
            )
        ),
        "a range of temperature, e.g. 10..15C",
    ),
    _range("rh", "", ("rh_lo_pct", "rh_hi_pct"), typed_units.parse_rh_range_pct, "% RH",
           "a range of humidity, e.g. 70..80%"),
    _choice("shape", "shape", tuple((each, each) for each in SHAPES)),
    _way("has_rest", "rests after cure"),
    _way("fermented", "fermented"),
    _way("cook_before_eating", "cooked before eating"),
    _way("by_date_only", "by date, not by weight"),
    _way("weighed_as_group", "weighed as a group"),
    _text("source", "from"),
)  # fmt: skip
