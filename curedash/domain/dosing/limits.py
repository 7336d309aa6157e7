"""Limits for nitrite and nitrate: by rule set and class, each compared in its own basis.

Nitrite is stated as NaNO2 and nitrate as NaNO3 everywhere in the program; only the comparison
itself happens in the basis the limit is printed in.
"""

from __future__ import annotations

from math import isfinite

from curedash.domain.errors import Refused
from curedash.domain.facts import molar_mass
from curedash.domain.facts import nitrite_limits as facts
from curedash.domain.record import record
from curedash.domain.wording import no_such

# How much of one molecule is in another of the same family, by mass.
_IN_NANO2 = {
    "NaNO2": 1.0,
    "NO2 ion": molar_mass.NO2 / molar_mass.NANO2,
    "KNO2": molar_mass.KNO2 / molar_mass.NANO2,
}
_IN_NANO3 = {
    "NaNO3": 1.0,
    "NO3 ion": molar_mass.NO3 / molar_mass.NANO3,
    "KNO3": molar_mass.KNO3 / molar_mass.NANO3,
}

# Above this no dose is accepted under any rule set; above the second one a caution is due [mg/kg].
CEILING_NITRITE_MG_PER_KG = 625.0
HIGH_NITRITE_MG_PER_KG = 200.0
# Under this a long-dried piece has hardly any preservative effect from nitrite [mg/kg].
FLOOR_NITRITE_MG_PER_KG = 40.0

# What converting a dose between NaNO2 and the ion can add to a value that is at its limit [mg/kg].
CONVERSION_ROUNDING_MG_PER_KG = 0.03

NOT_CHECKED = "figure not checked against the text of the rule"
COMPARABLE_KINDS = ("ingoing", "added")


@record
class Limit:
    """One limit as printed; ``comparable`` is False for residual and finished-product figures."""

    rule_set: str
    product_class: str
    agent: str
    kind: str
    basis: str
    mg_per_kg: float | None
    source: str
    how: str
    min_mg_per_kg: float | None = None
    applies_from: str = ""

    @property
    def comparable(self) -> bool:
        """Whether an ingoing dose can be held against this limit at all."""
        return self.kind in COMPARABLE_KINDS and self.mg_per_kg is not None

    @property
    def unverified(self) -> bool:
        """Whether the figure was written from memory and not seen."""
        return self.how == "memory"


def rule_sets() -> tuple[tuple[str, str], ...]:
    """Give the rule sets one can pick, each with its plain label.

    Returns
    -------
    pairs of id and label, in the order they are offered

    Source
    ------
    the rule sets of `domain/facts/nitrite_limits.py`

    Example
    -------
    >>> rule_sets()[0]
    ('us', 'United States')
    """
    return facts.RULE_SET_LABELS


def product_classes(rule_set: str) -> tuple[tuple[str, str], ...]:
    """Give the product classes of one rule set, each with its plain label; floors are left out.

    Parameters
    ----------
    rule_set : id of a rule set; an unknown one is refused

    Returns
    -------
    pairs of id and label, in the order of the table

    Source
    ------
    the rows of `domain/facts/nitrite_limits.py`

    Example
    -------
    >>> [name for name, _label in product_classes("ca")]
    ['cured-meat', 'side-bacon', 'slow-cured']
    """
    known_rule_set(rule_set)
    labels = dict(facts.PRODUCT_CLASS_LABELS)
    names = dict.fromkeys(
        row.product_class for row in facts.NITRITE_LIMITS if row.rule_set == rule_set
    )
    return tuple((name, labels[name]) for name in names if name not in facts.FLOOR_CLASSES)


def known_rule_set(rule_set: str) -> str:
    """Return the id itself if a rule set of that name exists, else refuse and list them.

    Parameters
    ----------
    rule_set : id of a rule set

    Returns
    -------
    the same id

    Source
    ------
    the rule sets of `domain/facts/nitrite_limits.py`

    Example
    -------
    >>> known_rule_set("eu")
    'eu'
    """
    names = [name for name, _label in facts.RULE_SET_LABELS]
    if rule_set not in names:
        raise Refused(no_such("rule set", rule_set, names))
    return rule_set


def known_product_class(product_class: str) -> str:
    """Return the id itself if some rule set has that class, else refuse; floors are refused too.

    Parameters
    ----------
    product_class : id of a product class

    Returns
    -------
    the same id

    Source
    ------
    the rows of `domain/facts/nitrite_limits.py`

    Example
    -------
    >>> known_product_class("dry-cured")
    'dry-cured'
    """
    if product_class in facts.FLOOR_CLASSES:
        raise Refused(
            f"{product_class!r} is a floor, not a product class; pick a class such as dry-cured."
        )
    names = [name for name, _label in facts.PRODUCT_CLASS_LABELS]
    if product_class not in names:
        raise Refused(no_such("product class", product_class, names))
    return product_class


def limit_for(rule_set: str, product_class: str, agent: str) -> Limit | None:
    """Find the one row for an agent; a row that counts both agents together serves either.

    Parameters
    ----------
    rule_set : id of a rule set
    product_class : id of a product class
    agent : "nitrite" or "nitrate"

    Returns
    -------
    the limit, or None where this rule set has no figure: another row never steps in

    Source
    ------
    the rows of `domain/facts/nitrite_limits.py`

    Example
    -------
    >>> limit_for("us", "dry-cured", "nitrite").mg_per_kg
    625
    >>> limit_for("eu", "dry-cured", "nitrite") is None
    True
    """
    if agent not in ("nitrite", "nitrate"):
        raise Refused(f"A limit is for nitrite or nitrate, not for {agent!r}.")
    for row in facts.NITRITE_LIMITS:
        if (
            row.rule_set == rule_set
            and row.product_class == product_class
            and agent in row.agent.split("+")
            and row.max_mg_per_kg is not None
        ):
            return Limit(*row)
    return None


def nitrite_in_basis(nano2_mg_per_kg: float, basis: str) -> float:
    """Restate nitrite given as NaNO2 as the same amount of another nitrite substance.

    Parameters
    ----------
    nano2_mg_per_kg : nitrite as NaNO2 [mg/kg], 0 or more
    basis : "NaNO2", "NO2 ion" or "KNO2"; anything else is refused

    Returns
    -------
    the same nitrite stated in that basis [mg/kg]

    Source
    ------
    molar masses of `domain/facts/molar_mass.py`

    Example
    -------
    >>> round(nitrite_in_basis(120, "NO2 ion"), 3)
    80.015
    """
    return _amount(nano2_mg_per_kg) * _factor(_IN_NANO2, basis)


def nitrite_as_nano2(mg_per_kg: float, basis: str) -> float:
    """Restate nitrite given in another substance as NaNO2.

    Parameters
    ----------
    mg_per_kg : nitrite in that basis [mg/kg], 0 or more
    basis : "NaNO2", "NO2 ion" or "KNO2"; anything else is refused

    Returns
    -------
    nitrite as NaNO2 [mg/kg]

    Source
    ------
    molar masses of `domain/facts/molar_mass.py`

    Example
    -------
    >>> round(nitrite_as_nano2(80, "NO2 ion"), 2)
    119.98
    """
    return _amount(mg_per_kg) / _factor(_IN_NANO2, basis)


def nitrate_in_basis(nano3_mg_per_kg: float, basis: str) -> float:
    """Restate nitrate given as NaNO3 as the same amount of another nitrate substance.

    Parameters
    ----------
    nano3_mg_per_kg : nitrate as NaNO3 [mg/kg], 0 or more
    basis : "NaNO3", "NO3 ion" or "KNO3"; anything else is refused

    Returns
    -------
    the same nitrate stated in that basis [mg/kg]

    Source
    ------
    molar masses of `domain/facts/molar_mass.py`

    Example
    -------
    >>> round(nitrate_in_basis(84.07, "KNO3"), 2)
    100.0
    """
    return _amount(nano3_mg_per_kg) * _factor(_IN_NANO3, basis)


def nitrate_as_nano3(mg_per_kg: float, basis: str) -> float:
    """Restate nitrate given in another substance as NaNO3.

    Parameters
    ----------
    mg_per_kg : nitrate in that basis [mg/kg], 0 or more
    basis : "NaNO3", "NO3 ion" or "KNO3"; anything else is refused

    Returns
    -------
    nitrate as NaNO3 [mg/kg]

    Source
    ------
    molar masses of `domain/facts/molar_mass.py`

    Example
    -------
    >>> round(nitrate_as_nano3(100, "KNO3"), 2)
    84.07
    """
    return _amount(mg_per_kg) / _factor(_IN_NANO3, basis)


def value_against(
    limit: Limit,
    nitrite_mg_per_kg: float,
    nitrate_mg_per_kg: float,
    nitrate_salt_mg_per_kg: float | None = None,
) -> float:
    """Give what a dose amounts to in the limit's own basis, both agents added where it says so.

    Parameters
    ----------
    limit : the limit to be held against
    nitrite_mg_per_kg : nitrite as NaNO2 [mg/kg], 0 or more
    nitrate_mg_per_kg : nitrate as NaNO3 [mg/kg], 0 or more
    nitrate_salt_mg_per_kg : nitrate as the salt really weighed in [mg/kg]; None means as NaNO3.
        It matters only for limits stated "as salts"

    Returns
    -------
    the value to compare [mg/kg, in limit.basis]

    Source
    ------
    the basis column of `domain/facts/nitrite_limits.py`

    Example
    -------
    >>> value_against(limit_for("ca", "cured-meat", "nitrite"), 120, 60)
    180.0
    """
    nitrate_salt = nitrate_mg_per_kg if nitrate_salt_mg_per_kg is None else nitrate_salt_mg_per_kg
    total = 0.0
    if "nitrite" in limit.agent:
        basis = "NaNO2" if limit.basis == "as salts" else limit.basis
        total += nitrite_in_basis(nitrite_mg_per_kg, basis)
    if "nitrate" in limit.agent:
        if limit.basis == "as salts":
            total += _amount(nitrate_salt)
        else:
            total += nitrate_in_basis(nitrate_mg_per_kg, limit.basis)
    return total


def exceeds(value_mg_per_kg: float, limit_mg_per_kg: float) -> bool:
    """Tell whether a value is above a limit by more than converting between bases can make it.

    Parameters
    ----------
    value_mg_per_kg : the value in the limit's own basis [mg/kg], 0 or more
    limit_mg_per_kg : the limit as printed [mg/kg]

    Returns
    -------
    True when the limit is broken: the value is more than 0.03 mg/kg above it

    Source
    ------
    120 mg/kg as NaNO2 is 80.015 as NO2 ion by the molar masses, and is meant by a printed 80;
    the 0.03 mg/kg that this needs is the only tolerance (design value)

    Example
    -------
    >>> exceeds(80.015, 80), exceeds(80.8, 80), exceeds(156.25, 156.25), exceeds(200.9, 200)
    (False, True, False, True)
    """
    return _amount(value_mg_per_kg) > limit_mg_per_kg + CONVERSION_ROUNDING_MG_PER_KG


def breaks(
    limit: Limit | None,
    nitrite_mg_per_kg: float,
    nitrate_mg_per_kg: float,
    nitrate_salt_mg_per_kg: float | None = None,
) -> bool:
    """Tell whether a dose is above a limit it can be compared with.

    Parameters
    ----------
    limit : the limit, or None where no figure is known
    nitrite_mg_per_kg : nitrite as NaNO2 [mg/kg], 0 or more
    nitrate_mg_per_kg : nitrate as NaNO3 [mg/kg], 0 or more
    nitrate_salt_mg_per_kg : nitrate as the salt weighed in [mg/kg]; None means as NaNO3

    Returns
    -------
    True when the limit is comparable and broken

    Source
    ------
    `exceeds` and `value_against` of this module

    Example
    -------
    >>> breaks(limit_for("us", "comminuted", "nitrite"), 157.8, 0)
    True
    """
    if limit is None or not limit.comparable or limit.mg_per_kg is None:
        return False
    value = value_against(limit, nitrite_mg_per_kg, nitrate_mg_per_kg, nitrate_salt_mg_per_kg)
    return exceeds(value, limit.mg_per_kg)


def _amount(mg_per_kg: float) -> float:
    if not isfinite(mg_per_kg) or mg_per_kg < 0:
        raise Refused(f"{mg_per_kg} mg/kg is not an amount; give 0 or more.")
    return mg_per_kg


def _factor(table: dict[str, float], basis: str) -> float:
    try:
        return table[basis]
    except KeyError:
        raise Refused(no_such("basis", basis, table)) from None
