"""A pre-mix: curing salt diluted in table salt, so that a kitchen scale can weigh it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import ceil

from curedash.domain.dosing.compute import compute_dose
from curedash.domain.dosing.plan import cure_pct_of
from curedash.domain.dosing.request import DoseRequest
from curedash.domain.dosing.result import REFUSED
from curedash.domain.dosing.rounding import FEW_DIVISIONS, best_scale, to_division
from curedash.domain.dosing.salts import CuringSalt
from curedash.domain.errors import Refused

PARTS = (1, 2, 3, 4, 5, 7, 9, 14, 19)
# Weigh the curing salt of a pre-mix in at least this many divisions (design value: ±1 %).
DIVISIONS_IN_A_PREMIX = 50
# A dose of the pre-mix in as many divisions as the salt allows: 2.5, 5 or 10 % error.
ENOUGH_DIVISIONS = (FEW_DIVISIONS, 10, 5)


@dataclass(frozen=True, slots=True)
class Premix:
    """A jar to make: how much of each goes in, and the salt it becomes."""

    salt: CuringSalt
    parts_plain: float
    curing_salt_g: float
    plain_salt_g: float

    @property
    def recipe(self) -> str:
        """How to make it, as one sentence."""
        return (
            f"Weigh {self.curing_salt_g:g} g curing salt and {self.plain_salt_g:g} g fine table "
            "salt and mix well. Shake the jar before each use: fine salts settle."
        )

    @property
    def label(self) -> tuple[str, ...]:
        """The lines for the jar's label."""
        return (
            self.salt.name,
            f"nitrite {self.salt.nitrite_pct:.4g} %  nitrate {self.salt.nitrate_pct:.4g} %",
            "NOT TABLE SALT. Weigh it, keep it locked.",
        )


def premix(salt: CuringSalt, parts_plain: float, batch_g: float) -> Premix:
    """Dilute a curing salt 1 : k in plain salt and state the strength it becomes.

    Parameters
    ----------
    salt : a curing salt of known strength
    parts_plain : parts of plain salt to one part of curing salt, above 0, at most 100
    batch_g : weight of the whole pre-mix [g], above 0

    Returns
    -------
    the pre-mix, a curing salt with its own strength and name

    Source
    ------
    mass balance

    Example
    -------
    >>> from curedash.domain.dosing.salts import resolve_curing_salt
    >>> jar = premix(resolve_curing_salt("no1"), 4, 100)
    >>> jar.salt.nitrite_pct, jar.curing_salt_g, jar.plain_salt_g
    (1.25, 20.0, 80.0)
    """
    if not salt.strength_known or salt.nitrite_pct is None or salt.nitrate_pct is None:
        raise Refused(f"The strength of {salt.name} is not known: read it off the label.")
    if not 0 < parts_plain <= 100:
        raise Refused("Dilute a curing salt with 0.1 to 100 parts of table salt, for example 4.")
    if not 0 < batch_g <= 50_000:
        raise Refused("A pre-mix weighs more than 0 and at most 50 kg, for example 200 g.")
    whole = 1 + parts_plain
    nacl_pct = None if salt.nacl_pct is None else (salt.nacl_pct + 100 * parts_plain) / whole
    mixed = replace(
        salt,
        id=f"{salt.id}-1-{parts_plain:g}",
        name=f"pre-mix 1:{parts_plain:g} of {salt.name}",
        nitrite_pct=salt.nitrite_pct / whole,
        nitrate_pct=salt.nitrate_pct / whole,
        nacl_pct=nacl_pct,
        note="",
    )
    return Premix(mixed, parts_plain, batch_g / whole, batch_g * parts_plain / whole)


def premix_for(request: DoseRequest) -> tuple[Premix, DoseRequest] | None:
    """Find the weakest dilution that a request's scale weighs well, and the request with it.

    Parameters
    ----------
    request : a request whose curing salt is too little for the scale

    Returns
    -------
    the pre-mix and the request that uses it, or None where none fits within the salt asked for

    Source
    ------
    `premix` of this module; 20 divisions of the pre-mix, else 10 or 5 (design values)

    Example
    -------
    >>> from curedash.domain.dosing.salts import resolve_curing_salt
    >>> asked = DoseRequest(green_g=300, salt_pct=2.75, cure_pct=0.25,
    ...                     curing_salt=resolve_curing_salt("no1"), scale_division_g=0.1)
    >>> jar, better = premix_for(asked)
    >>> jar.parts_plain, better.cure_pct
    (2, 0.75)
    """
    salt, cure_pct = request.curing_salt, cure_pct_of(request)
    if salt is None or not salt.strength_known or not cure_pct or request.method == "pack":
        return None
    exact_g = next(
        (i.exact_g for i in compute_dose(request).ingredients if i.kind == "curing-salt"), 0.0
    )
    division_g = best_scale(request.shelf_of_scales, exact_g).division_g
    for divisions in ENOUGH_DIVISIONS:
        for parts in PARTS:
            if exact_g * (1 + parts) < divisions * division_g:
                continue
            jar = premix(salt, parts, _batch_g(exact_g, parts, division_g))
            better = _with_jar(request, jar, cure_pct)
            if compute_dose(better).verdict != REFUSED:
                return jar, better
            break  # a weaker one needs more salt still
    return None


def _with_jar(request: DoseRequest, jar: Premix, cure_pct: float) -> DoseRequest:
    return replace(
        request,
        curing_salt=jar.salt,
        cure_pct=round(cure_pct * (1 + jar.parts_plain), 6),
        wanted_nitrite_mg_per_kg=None,
        wanted_nitrate_mg_per_kg=None,
    )


def _batch_g(exact_g: float, parts: float, division_g: float) -> float:
    """Ten doses, or more where the curing salt in them would be too little to weigh well."""
    cure_g = max(10 * exact_g, DIVISIONS_IN_A_PREMIX * division_g)
    return to_division(ceil(cure_g / division_g) * division_g, division_g) * (1 + parts)
