"""Several pieces at once: one dose for all of them, or one opened pack shared between them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import ceil

from curedash.domain.dosing.compute import compute_dose
from curedash.domain.dosing.request import DoseRequest
from curedash.domain.dosing.result import Dose, Ingredient
from curedash.domain.errors import Refused


@dataclass(frozen=True, slots=True)
class PackShare:
    """What all pieces together take of the packs, and what stays in the last one."""

    used_g: float
    packs_opened: int
    left_g: float


def group_request(requests: Sequence[DoseRequest]) -> DoseRequest:
    """Make one dose for several pieces that are salted and bagged together.

    Parameters
    ----------
    requests : the pieces' requests, at least one, alike but for their green weights

    Returns
    -------
    one request for the sum of the weights, which says that it is for all of them

    Source
    ------
    sum

    Example
    -------
    >>> both = [DoseRequest(green_g=180), DoseRequest(green_g=195)]
    >>> group_request(both).green_g, group_request(both).pieces
    (375, 2)
    """
    if not requests:
        raise Refused("A group dose needs at least one piece; give its green weight.")
    first = requests[0]
    if any(replace(other, green_g=first.green_g) != first for other in requests):
        raise Refused("A group dose needs pieces dosed alike; dose the odd one by itself.")
    return replace(
        first, green_g=sum(r.green_g for r in requests), pieces=sum(r.pieces for r in requests)
    )


def bag_doses(requests: Sequence[DoseRequest]) -> tuple[Dose, ...]:
    """Dose pieces that lie in one bag together, and tell each piece its share by green weight.

    The scale weighs the sum, so that is what is rounded and held against the limit; the shares,
    told to a hundredth of a gram, add up to it.

    Parameters
    ----------
    requests : the pieces' requests, at least one, alike but for their green weights [g] and counts

    Returns
    -------
    one dose a piece, in their order; salt [%] and nitrite [mg/kg] are those of the whole bag

    Source
    ------
    proportion

    Example
    -------
    >>> both = [DoseRequest(green_g=180, salt_pct=3), DoseRequest(green_g=195, salt_pct=3)]
    >>> [round(dose.ingredients[0].weigh_g, 2) for dose in bag_doses(both)]
    [5.28, 5.72]
    """
    whole = group_request([replace(request, pieces=1) for request in requests])
    dose = compute_dose(replace(whole, pieces=sum(request.pieces for request in requests)))
    greens = [request.green_g for request in requests]
    each = zip(*(_shares(item, greens) for item in dose.ingredients), strict=True)
    return tuple(
        replace(dose, request=request, ingredients=items)
        for request, items in zip(requests, each, strict=True)
    )


def _shares(item: Ingredient, greens: Sequence[float]) -> list[Ingredient]:
    """One ingredient in parts; rounding each running sum makes the parts add up."""
    total_g, so_far_g, told_g = sum(greens), 0.0, 0.0
    found = []
    for green_g in greens:
        so_far_g += green_g
        upto_g = item.weigh_g if so_far_g == total_g else item.weigh_g * so_far_g / total_g
        weigh_g = round(round(upto_g, 2) - told_g, 2)
        told_g += weigh_g
        found.append(replace(item, exact_g=item.exact_g * green_g / total_g, weigh_g=weigh_g))
    return found


def share_packs(requests: Sequence[DoseRequest], packs: float) -> tuple[DoseRequest, ...]:
    """Share a number of whole or part packs between pieces by their green weights.

    Parameters
    ----------
    requests : the pieces' requests, at least one
    packs : packs to use up on all of them, above 0

    Returns
    -------
    the requests, each with its share of the packs

    Source
    ------
    proportion

    Example
    -------
    >>> pieces = [DoseRequest(green_g=1000), DoseRequest(green_g=3000)]
    >>> [one.packs for one in share_packs(pieces, 2)]
    [0.5, 1.5]
    """
    total_g = sum(request.green_g for request in requests)
    if total_g <= 0 or not packs > 0:
        raise Refused("Sharing packs needs green weights and a number of packs above 0.")
    return tuple(replace(request, packs=packs * request.green_g / total_g) for request in requests)


def pack_share(doses: Sequence[Dose]) -> PackShare | None:
    """Add up what several doses take of the same packs.

    Parameters
    ----------
    doses : the doses of the pieces

    Returns
    -------
    grams used, packs to open and what stays in the last one [g]; None where no pack is used

    Source
    ------
    sum

    Example
    -------
    >>> pack_share([]) is None
    True
    """
    packed = [item for dose in doses for item in dose.ingredients if item.kind == "pack"]
    pack_g = next((d.request.pack_g for d in doses if d.request.pack_g), None)
    if not packed or pack_g is None:
        return None
    used_g = sum(item.weigh_g for item in packed)
    opened = max(1, ceil(used_g / pack_g - 1e-9))
    return PackShare(used_g, opened, max(0.0, opened * pack_g - used_g))
