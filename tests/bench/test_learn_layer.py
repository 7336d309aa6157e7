"""The learning of the layer: its numbers are those in use, and mean the same when they are used."""

import math
import random

import numpy as np
import pytest

from curedash.domain.drying.forecast import layer
from curedash.domain.facts import forecast_layer as facts
from tests.bench import learn_layer


def learned() -> learn_layer.Learned:
    """The numbers in use, as the learning holds them."""
    one = learn_layer.Learned.__new__(learn_layer.Learned)
    one.means, one.spreads = np.array(facts.MEANS), np.array(facts.SPREADS)
    one.nets = [[np.array(part).T for part in net] for net in facts.NETS]
    return one


def test_what_is_printed_is_what_is_in_use() -> None:
    assert learn_layer.apart(learned()) == (2016, 0, 0.0)


def test_a_number_that_is_other_than_the_one_in_use_is_counted() -> None:
    other = learned()
    other.nets[2][0][4, 7] += 0.02
    count, differ, most = learn_layer.apart(other)
    assert (count, differ) == (2016, 1)
    assert most == pytest.approx(0.02)


def test_the_forecast_goes_through_the_networks_as_the_learning_does() -> None:
    rng = random.Random(3)
    seen = [rng.gauss(m, 2 * s) for m, s in zip(facts.MEANS, facts.SPREADS, strict=True)]
    lefts = [rng.uniform(1, 4) for _ in layer.NAMES]
    row = learn_layer.Row.__new__(learn_layer.Row)
    row.inputs, row.lefts = seen, tuple(lefts)
    at, low, high, short = (float(one[0]) for one in learned()([row]))
    told = layer._mean_of_nets(seen, lefts)
    assert told[:4] == pytest.approx([at, math.log(low), math.log(high), short], rel=1e-9)
