"""Dimensionless solutions of Fick's law: how full the core and the mean of a piece are at Fo.

Two boundaries. *weighed*: the whole dose lies on the surface at the start and none is lost, so
the middle comes up to the mean of the piece. *salt-box*: there is always more salt than the meat
can take, so the surface stays full.

Source: Crank, *The Mathematics of Diffusion*, 2nd ed., Oxford 1975, chapters 2 and 4 to 6.
"""

from __future__ import annotations

import math

from curedash.domain.errors import Refused
from curedash.domain.facts.bessel import (
    J0_AT_J1_ZEROS,
    J0_ZEROS,
    J1_AT_J0_ZEROS,
    J1_ZEROS,
    TAN_ZEROS,
)

SHAPES = ("slab", "round", "sphere")
BOUNDARIES = ("weighed", "salt-box")
# Below this Fo a centre holds less than 1e-20 of its final salt, and the series cancel badly.
_FO_EMPTY = 0.005
# Below this Fo thirty terms no longer carry the mean uptake; its short-time form does.
_FO_SHORT = 0.004
_KNOWN_FO: dict[tuple[float, str, str], float] = {}


def centre_weighed(shape: str, fo: float) -> float:
    """Salt at the core over its final value, for a dose laid on the surface and sealed in.

    Parameters
    ----------
    shape : slab, round or sphere
    fo : Fourier number D·t/L² [1], 0 or more; L is half the thickness or the radius

    Returns
    -------
    centre / final [1], 0–1; raises Refused outside the range

    Source
    ------
    Crank 1975, the source solutions of §2.2 (slab, reflected) and the no-flux eigenfunctions of
    chapters 5 and 6; slab ``1 + 2 Σ (−1)ⁿ exp(−n²π²Fo)``, round ``1 + Σ exp(−q²Fo)/J0(q)`` with
    J1(q) = 0, sphere ``1 + ⅔ Σ exp(−q²Fo)/cos q`` with tan q = q

    Example
    -------
    >>> round(centre_weighed("round", 0.2187), 3)
    0.9
    """
    _check(shape, fo)
    if fo < _FO_EMPTY:
        return 0.0
    if shape == "slab":
        terms = (2.0 * (-1) ** n * _exp(n * math.pi, fo) for n in range(1, 31))
    elif shape == "round":
        terms = (_exp(q, fo) / j for q, j in zip(J1_ZEROS, J0_AT_J1_ZEROS, strict=True))
    else:
        terms = (2.0 / 3.0 * _exp(q, fo) / math.cos(q) for q in TAN_ZEROS)
    return min(1.0, max(0.0, 1.0 + math.fsum(terms)))


def centre_salt_box(shape: str, fo: float) -> float:
    """Salt at the core over that of the surface, for a surface that stays full.

    Parameters
    ----------
    shape : slab, round or sphere
    fo : Fourier number D·t/L² [1], 0 or more

    Returns
    -------
    centre / surface [1], 0–1; raises Refused outside the range

    Source
    ------
    Crank 1975, eq. 4.17 (slab), 5.22 (cylinder), 6.19 (sphere)

    Example
    -------
    >>> [round(centre_salt_box(shape, 0.2), 4) for shape in SHAPES]
    [0.2277, 0.4985, 0.7229]
    """
    _check(shape, fo)
    if fo < _FO_EMPTY:
        return 0.0
    if shape == "slab":
        lines = ((n + 0.5) * math.pi for n in range(30))
        terms = (2.0 * (-1) ** n * _exp(q, fo) / q for n, q in enumerate(lines))
    elif shape == "round":
        terms = (2 * _exp(q, fo) / (q * j) for q, j in zip(J0_ZEROS, J1_AT_J0_ZEROS, strict=True))
    else:
        terms = (-2.0 * (-1) ** n * _exp(n * math.pi, fo) for n in range(1, 31))
    return min(1.0, max(0.0, 1.0 - math.fsum(terms)))


def mean_salt_box(shape: str, fo: float) -> float:
    """Mean salt of the whole piece over that of a surface that stays full.

    Parameters
    ----------
    shape : slab, round or sphere
    fo : Fourier number D·t/L² [1], 0 or more

    Returns
    -------
    mean / surface [1], 0–1; raises Refused outside the range

    Source
    ------
    Crank 1975, eq. 4.18, 5.23, 6.20; for very short times eq. 4.20, 5.25, 6.21

    Example
    -------
    >>> round(mean_salt_box("slab", 0.2), 3)
    0.504
    """
    _check(shape, fo)
    if fo < _FO_SHORT:
        return _mean_short(shape, fo)
    if shape == "slab":
        lines = ((n + 0.5) * math.pi for n in range(30))
        terms = (2.0 * _exp(q, fo) / (q * q) for q in lines)
    elif shape == "round":
        terms = (4.0 * _exp(q, fo) / (q * q) for q in J0_ZEROS)
    else:
        terms = (6.0 * _exp(n * math.pi, fo) / (n * math.pi) ** 2 for n in range(1, 31))
    return 1.0 - math.fsum(terms)


def fo_at_core_share(share: float, shape: str, boundary: str = "weighed") -> float:
    """Fourier number at which the core reaches a share of its final salt.

    Parameters
    ----------
    share : centre / final [1], 0.001–0.999; raises Refused outside
    shape : slab, round or sphere
    boundary : weighed or salt-box

    Returns
    -------
    Fo [1]

    Source
    ------
    inverse of `centre_weighed` or `centre_salt_box` by bisection

    Example
    -------
    >>> round(fo_at_core_share(0.90, "slab"), 4), round(fo_at_core_share(0.95, "sphere"), 4)
    (0.3035, 0.2039)
    """
    check_shape(shape)
    check_boundary(boundary)
    if not 0.001 <= share <= 0.999:
        raise Refused(f"A core share of {share:g} cannot be timed: give one from 0.001 to 0.999.")
    known = _KNOWN_FO.get((share, shape, boundary))
    if known is not None:
        return known
    curve = centre_weighed if boundary == "weighed" else centre_salt_box
    low, high = 0.0, 4.0
    for _ in range(60):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if curve(shape, middle) < share else (low, middle)
    _KNOWN_FO[(share, shape, boundary)] = high
    return high


def _exp(root: float, fo: float) -> float:
    return math.exp(-root * root * fo)


def _mean_short(shape: str, fo: float) -> float:
    root = math.sqrt(fo / math.pi)
    if shape == "slab":
        return 2.0 * root
    if shape == "round":
        return 4.0 * root - fo - fo * math.sqrt(fo) / (3.0 * math.sqrt(math.pi)) - fo * fo / 8.0
    return 6.0 * root - 3.0 * fo


def check_shape(shape: str) -> None:
    """Refuse a shape there is no solution for."""
    if shape not in SHAPES:
        raise Refused(f"No shape is called {shape!r}: choose slab, round or sphere.")


def _check(shape: str, fo: float) -> None:
    check_shape(shape)
    if not 0.0 <= fo < math.inf:
        raise Refused(f"A Fourier number of {fo:g} makes no sense: it is 0 or more.")


def check_boundary(boundary: str) -> None:
    """Refuse a boundary there is no solution for."""
    if boundary not in BOUNDARIES:
        raise Refused(f"No boundary is called {boundary!r}: choose weighed or salt-box.")
