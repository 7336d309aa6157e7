"""What a household's finished pieces say about the next one.

A finished piece is read once, by itself, under a weak prior; only what its own weigh-ins say is
kept. A new piece then starts from the household's mean, as far as that is known, instead of from
that of all households.
"""

from __future__ import annotations

from collections.abc import Sequence

from curedash.domain.drying.forecast.drying_body import AirDay, Body, air_of
from curedash.domain.drying.forecast.matrix import Matrix, add, inverse, product, times
from curedash.domain.drying.forecast.posterior import Belief, Point, fit
from curedash.domain.facts import forecast_prior as prior
from curedash.domain.record import record


@record
class FinishedPiece:
    """A finished lot as it was weighed: days since hanging [d], net weights [g], size, air."""

    day: tuple[float, ...]
    net_g: tuple[float, ...]
    diameter_mm: float | None = None
    length_mm: float | None = None
    moisture_pct: float | None = None
    in_bag: bool | None = None
    air: tuple[AirDay, ...] = ()


@record
class PieceFit:
    """What one finished piece says: evidence (a precision), its pull, its air, bagged or not."""

    evidence: Matrix
    pull: tuple[float, ...]
    place: tuple[float, float, float] | None  # days, mean humidity [0–1], mean temperature [°C]
    in_bag: bool | None


def read_piece(
    points: Sequence[Point], body: Body, days: Sequence[AirDay], in_bag: bool | None
) -> PieceFit:
    """Read what a finished piece says by itself, from three weigh-ins on."""
    air = air_of(days)
    sd = list(prior.WEAK_SD)
    if not days:
        sd[4] = prior.NO_AIR_RH_SD_PCT / 100.0
    precision = [[1.0 / sd[i] ** 2 if i == j else 0.0 for j in range(5)] for i in range(5)]
    post = fit(points, body, air, Belief(prior.POPULATION_MEAN, precision))
    evidence = add(post.precision, precision, -1.0)
    own, usual = times(post.precision, post.mode), times(precision, prior.POPULATION_MEAN)
    pull = tuple(x - y for x, y in zip(own, usual, strict=True))
    place = (float(len(air.by_day)), air.rh, air.temp_c) if air.by_day else None
    return PieceFit(evidence, pull, place, in_bag)


def belief_for(
    fits: Sequence[PieceFit],
    *,
    has_air: bool,
    guessed_size: bool = False,
    in_bag: bool | None = None,
) -> Belief:
    """Prior of a new piece: all households, drawn towards this one's finished pieces."""
    between, within = ([list(row) for row in rows] for rows in (prior.BETWEEN, prior.WITHIN))
    if not has_air and not any(f.place for f in fits):
        between[4][4] = (prior.NO_AIR_RH_SD_PCT / 100.0) ** 2
        within[4][4] = 1e-4
    precision = inverse(between)
    pull = times(precision, prior.POPULATION_MEAN)
    apart = inverse(within)
    for one in fits:
        if in_bag is not None and one.in_bag is not None and one.in_bag != in_bag:
            continue
        # The mean as seen through one piece, which itself scatters around it.
        mixed = product(apart, inverse(add(one.evidence, apart)))
        precision = add(precision, add(apart, product(mixed, apart), -1.0))
        pull = [x + y for x, y in zip(pull, times(mixed, one.pull), strict=True)]
    spread = inverse(precision)
    mean = times(spread, pull)
    total = add(spread, within)
    if guessed_size:
        # A wrong radius r acts like r² on diffusion and r on the film.
        square = prior.NO_SIZE_LOG_SD**2
        total[0][0] += 4.0 * square
        total[1][1] += square
        total[0][1] += 2.0 * square
        total[1][0] += 2.0 * square
    return Belief(tuple(mean), inverse(total))


def place_of(fits: Sequence[PieceFit]) -> tuple[float, float, float] | None:
    """Days, mean humidity and mean temperature of the place over the finished pieces."""
    known = [f.place for f in fits if f.place]
    days = sum(p[0] for p in known)
    if not days:
        return None
    return (days, sum(p[0] * p[1] for p in known) / days, sum(p[0] * p[2] for p in known) / days)
