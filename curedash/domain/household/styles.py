"""Styles: where a piece is going, found by id, made anew, or read from a person's own table."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass, fields, replace
from functools import cache
from math import isfinite

from curedash.domain.dosing import limits
from curedash.domain.dosing.formulas import ingoing_mg_per_kg
from curedash.domain.dosing.request import METHODS
from curedash.domain.dosing.salts import resolve_curing_salt
from curedash.domain.errors import NotFound, Refused
from curedash.domain.facts.styles import STYLES, StyleRow
from curedash.domain.wording import listed, no_such

BASES = ("hang", "green")
SHAPES = ("slab", "round", "sphere")
_MAX_ID = 60


@dataclass(frozen=True, slots=True)
class Style(StyleRow):
    """One style: how it is salted, where it dries, the loss it is pulled at, and its ways."""

    @property
    def flags(self) -> tuple[str, ...]:
        """The ways of this style as words, in the order of the fields."""
        return tuple(
            field.name.replace("_", "-")
            for field in fields(self)
            if field.type == "bool" and getattr(self, field.name) and field.name != "has_rest"
        )

    @property
    def nitrite_mg_per_kg(self) -> float | None:
        """The style's own ingoing nitrite as NaNO2 [mg/kg]; None for a style without."""
        if self.no_nitrite or not self.cure_pct:
            return None
        salt = resolve_curing_salt(self.curing_salt)
        return ingoing_mg_per_kg(self.cure_pct, salt.nitrite_fraction, 100) or None

    @property
    def eaten(self) -> str | None:
        """How it is eaten; belly that is cooked counts as fried. None for a style just made."""
        if not self.cook_before_eating:
            return "as-is" if self.product_classes else None
        return "fried" if "belly" in self.cut.casefold() else "cooked-soon"

    @property
    def skin_on(self) -> bool:
        """Whether the cut is salted with its skin on."""
        return "skin on" in self.cut.casefold()

    def class_for(self, rule_set: str | None) -> str | None:
        """Give the product class under a rule set, or None where the style names none."""
        return dict(self.product_classes).get(rule_set or "")


def dose_fields(chosen: Style | None) -> dict[str, object]:
    """What a style says to a dose besides its amounts, as fields of a `DoseRequest`.

    Parameters
    ----------
    chosen : the style, or None

    Returns
    -------
    its own nitrite and salt, whether it is made without nitrite, whether it ferments; a style
    just made, of which nothing is known, says nothing

    Source
    ------
    `domain/facts/styles.py`

    Example
    -------
    >>> dose_fields(style("salami-thin"))["fermented"], dose_fields(None)
    (True, {})
    """
    if chosen is None or not chosen.product_classes:
        return {}
    return {
        "style_nitrite_mg_per_kg": chosen.nitrite_mg_per_kg,
        "style_salt_pct": chosen.salt_pct,
        "style_without_nitrite": chosen.no_nitrite,
        "fermented": chosen.fermented,
    }


@cache
def styles() -> tuple[Style, ...]:
    """Give the library of styles.

    Returns
    -------
    the styles, in the order of the library

    Source
    ------
    `domain/facts/styles.py`, each with its own source

    Example
    -------
    >>> len(styles())
    19
    """
    return tuple(Style(**asdict(row)) for row in STYLES)


def style(style_id: str) -> Style:
    """Find a style of the library by id or by name.

    Parameters
    ----------
    style_id : id or name, in any case; an unknown one raises `NotFound`

    Returns
    -------
    the style

    Source
    ------
    `domain/facts/styles.py`

    Example
    -------
    >>> style("bresaola").name, style("Bresaola").loss_lo_pct
    ('air-dried beef', 35)
    """
    wanted = style_id.strip().casefold()
    for known in styles():
        if wanted in (known.id, known.name.casefold()):
            return known
    raise NotFound(no_such("style", style_id[:40], (row.id for row in STYLES)))


def new_style(name: str) -> Style:
    """Make a style nobody has written down yet: 30 to 40 % of the hang weight, nothing else known.

    Parameters
    ----------
    name : what the person calls it, one line of at most 60 characters

    Returns
    -------
    the style, its id made of the name

    Source
    ------
    the usual range for lean whole muscle, from memory

    Example
    -------
    >>> new_style("Goose leg").id, new_style("Goose leg").loss_hi_pct
    ('goose-leg', 40.0)
    """
    shown = " ".join(name.split())
    style_id = "-".join("".join(c if c.isalnum() else " " for c in shown.casefold()).split())
    if not style_id or len(shown) > _MAX_ID or not shown.isprintable():
        raise Refused("A style needs a name of 1 to 60 characters with a letter in it.")
    return Style(style_id, shown, cure_pct=0.0, source="made here, range not yet edited")


def style_from(values: Mapping[str, object]) -> Style:
    """Read a style from a person's own table; what is left out keeps its default.

    Parameters
    ----------
    values : fields of a style by name; `id` and `name` are needed, `like` names a style to copy

    Returns
    -------
    the style; an unknown field, a wrong kind of value or one out of range raises `Refused`

    Source
    ------
    the person's own table

    Example
    -------
    >>> mine = style_from({"id": "eye", "name": "my eye", "like": "bresaola", "loss_lo_pct": 33})
    >>> mine.loss_lo_pct, mine.loss_hi_pct, mine.species
    (33, 40, 'beef')
    """
    given = dict(values)
    like = given.pop("like", None)
    kinds = {field.name: field.type for field in fields(Style)}
    for name, value in given.items():
        if name not in kinds:
            raise Refused(f"A style has no field {name[:40]!r}; it has {listed(kinds)}.")
        _check_kind(name, str(kinds[name]), value)
    if "product_classes" in given:
        given["product_classes"] = _classes(given["product_classes"])
    start = style(str(like)) if like is not None else Style("", "")
    made = replace(start, **given)  # type: ignore[arg-type]
    check_style(made)
    return made


def _check_numbers(made: Style) -> None:
    """Its days, its salts and the air it wants."""
    if not made.weigh_every_days > 0 or made.min_age_days < 0:
        raise Refused(
            "Give more than 0 days between weigh-ins, and a minimum age of 0 days or more."
        )
    if not 0 <= made.salt_lo_pct <= made.salt_pct <= made.salt_hi_pct <= 30:
        raise Refused(
            "Give the salt of a style as low, usual, high from 0 to 30 %: 2.25, 2.75, 3.5."
        )
    if not 0 <= made.cure_pct <= 30:
        raise Refused("The curing salt of a style is 0 to 30 % of the meat, for example 0.25.")
    if not -10 <= made.temp_lo_c <= made.temp_hi_c <= 45:
        raise Refused(
            "Give the temperatures of the style's place as coldest and warmest, between -10 and"
            " 45 °C: 10 to 15."
        )
    if not 0 <= made.rh_lo_pct <= made.rh_hi_pct <= 100:
        raise Refused(
            "Give the humidity of the style's place as driest and most humid, between 0 and 100 %:"
            " 70 to 80."
        )


def check_style(made: Style) -> None:
    """Refuse a style whose numbers cannot be: the range upside down, a base unknown.

    Parameters
    ----------
    made : the style

    Returns
    -------
    nothing; `Refused` says what is wrong and what to give

    Source
    ------
    the project's own bounds (design values)

    Example
    -------
    >>> check_style(style("coppa"))
    """
    if not made.id or not made.name:
        raise Refused("A style needs an id and a name, for example id = 'eye', name = 'my eye'.")
    if not 0 < made.loss_lo_pct <= made.loss_hi_pct < 80:
        raise Refused("The loss of a style runs from low to high between 0 and 80 %: 35 to 40.")
    if made.base not in BASES:
        raise Refused(f"The base of a style is {listed(BASES, 'or')}.")
    if made.method not in dict(METHODS):
        raise Refused(f"The method of a style is {listed(dict(METHODS), 'or')}.")
    _check_numbers(made)
    if made.shape not in SHAPES:
        raise Refused(f"The shape of a style is {listed(SHAPES, 'or')}.")
    if made.planned_days is not None and not 0 <= made.planned_days <= 3650:
        raise Refused("The days planned with a style lie between 0 and 3650.")
    resolve_curing_salt(made.curing_salt)


def usual_cure_pct(chosen: Style, rule_set: str | None) -> float:
    """Give the curing salt a style starts with under a rule set, cut to 0.01 % within its limit.

    Parameters
    ----------
    chosen : the style
    rule_set : id of a rule set, or None for the style's own figure

    Returns
    -------
    curing salt [% of meat]; 0 for a style without

    Source
    ------
    `domain/facts/styles.py` and the nitrite limits

    Example
    -------
    >>> usual_cure_pct(style("bresaola"), "us"), usual_cure_pct(style("bresaola"), "eu")
    (0.25, 0.19)
    """
    own = chosen.nitrite_mg_per_kg
    product_class = chosen.class_for(rule_set)
    if own is None or rule_set is None or product_class is None:
        return chosen.cure_pct if own is not None else 0.0
    limit = limits.limit_for(rule_set, product_class, "nitrite")
    if limit is None or not limit.comparable or limit.mg_per_kg is None:
        return chosen.cure_pct
    salt = resolve_curing_salt(chosen.curing_salt)
    if "nitrate" in limit.agent:
        per_pct = ingoing_mg_per_kg(1, salt.nitrite_fraction + salt.nitrate_salt_fraction, 100)
        most = limit.mg_per_kg / per_pct
    else:
        basis = "NaNO2" if limit.basis == "as salts" else limit.basis
        per_pct = ingoing_mg_per_kg(1, salt.nitrite_fraction, 100)
        most = limits.nitrite_as_nano2(limit.mg_per_kg, basis) / per_pct
    return min(chosen.cure_pct, int(most * 100 + 1e-6) / 100)


def _classes(told: object) -> tuple[tuple[str, str], ...]:
    """Product classes from a table, or from the pairs that a kept style holds."""
    pairs = list(told.items()) if isinstance(told, Mapping) else told
    if not isinstance(pairs, (list, tuple)) or not all(
        isinstance(pair, (list, tuple)) and len(pair) == 2 and all(isinstance(x, str) for x in pair)
        for pair in pairs
    ):
        raise Refused("product_classes is a table of rule set and class: us = 'dry-cured'.")
    for rule_set, product_class in pairs:
        limits.known_rule_set(rule_set)
        limits.known_product_class(product_class)
    return tuple((str(rule_set), str(product_class)) for rule_set, product_class in pairs)


_KINDS: dict[str, tuple[type, ...]] = {
    "str": (str,),
    "float": (int, float),
    "int": (int,),
    "int | None": (int, type(None)),
    "bool": (bool,),
}


def _check_kind(name: str, kind: str, value: object) -> None:
    if name == "product_classes":
        return  # read by itself
    wanted = _KINDS[kind]
    wrong = not isinstance(value, wanted) or (isinstance(value, bool) and bool not in wanted)
    if wrong or (isinstance(value, float) and not isfinite(value)):
        plain = {"str": "text", "float": "a number", "bool": "true or false"}
        raise Refused(f"{name} of a style takes {plain.get(kind, 'a whole number')}.")
