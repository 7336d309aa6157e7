"""When a piece is ready: a pull window from its weigh-ins, its size, its place, its household."""

from curedash.domain.drying.forecast.drying_body import FROM_NOW_ON, AirDay
from curedash.domain.drying.forecast.evidence import Evidence, evidence
from curedash.domain.drying.forecast.household_prior import FinishedPiece, PieceFit
from curedash.domain.drying.forecast.own_record import LotScore, OwnRecord, learned, score_lot
from curedash.domain.drying.forecast.posterior import VERSION, Posterior
from curedash.domain.drying.forecast.pull_forecast import (
    LEAST_WEIGH_INS,
    REACHED,
    RULE_OF_THUMB,
    Basis,
    Forecast,
    forecast,
    read_finished,
)
from curedash.domain.drying.forecast.unsure_start import never_weighed, over_starts
