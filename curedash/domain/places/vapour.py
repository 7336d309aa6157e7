"""Water in air: saturation, dew point, the deficit that dries, and the salt test of a sensor."""

import math
from itertools import pairwise

from curedash.domain.errors import Refused
from curedash.domain.facts.air import MAGNUS_A, MAGNUS_B, MAGNUS_HPA, SALT_TEST_RH

_RANGE_C = (-40.0, 50.0)


def _in_range(temp_c: float) -> None:
    if not _RANGE_C[0] <= temp_c <= _RANGE_C[1]:
        raise Refused("Humid air is computed from −40 to 50 °C only.")


def saturation_hpa(temp_c: float) -> float:
    """Vapour pressure of water at saturation over liquid water.

    Parameters
    ----------
    temp_c : air temperature [°C], −40 to 50; outside raises ``Refused``

    Returns
    -------
    saturation vapour pressure [hPa]

    Source
    ------
    `MAGNUS_SOURCE` in domain/facts/air.py

    Example
    -------
    >>> round(saturation_hpa(10), 2)
    12.26
    """
    _in_range(temp_c)
    return MAGNUS_HPA * math.exp(MAGNUS_A * temp_c / (MAGNUS_B + temp_c))


def dew_point_c(temp_c: float, rh_pct: float) -> float:
    """Temperature at which the air would begin to condense.

    Parameters
    ----------
    temp_c : air temperature [°C], −40 to 50
    rh_pct : relative humidity over water [%], 0.1 to 100; outside raises ``Refused``

    Returns
    -------
    dew point [°C], at most the air temperature

    Source
    ------
    `MAGNUS_SOURCE` in domain/facts/air.py, solved for the temperature

    Example
    -------
    >>> round(dew_point_c(12, 75), 1)
    7.7
    """
    _in_range(temp_c)
    if not 0.1 <= rh_pct <= 100:
        raise Refused("A dew point needs a humidity from 0.1 to 100 %.")
    exponent = math.log(rh_pct / 100) + MAGNUS_A * temp_c / (MAGNUS_B + temp_c)
    return MAGNUS_B * exponent / (MAGNUS_A - exponent)


def vapour_deficit_hpa(temp_c: float, rh_pct: float) -> float:
    """How much more vapour the air would take: what drives drying.

    Parameters
    ----------
    temp_c : air temperature [°C], −40 to 50
    rh_pct : relative humidity over water [%], 0–100; outside raises ``Refused``

    Returns
    -------
    vapour-pressure deficit [hPa], 0 or more

    Source
    ------
    definition: saturation − vapour pressure

    Example
    -------
    >>> round(vapour_deficit_hpa(12, 75), 2)
    3.5
    """
    if not 0 <= rh_pct <= 100:
        raise Refused("A relative humidity lies between 0 and 100 %.")
    return saturation_hpa(temp_c) * (1 - rh_pct / 100)


def salt_test_rh_pct(temp_c: float) -> float:
    """Humidity a sensor should show in a closed jar over wet table salt.

    Parameters
    ----------
    temp_c : temperature of jar and sensor [°C], 0–40; outside raises ``Refused``

    Returns
    -------
    relative humidity [%]

    Source
    ------
    `SALT_TEST_SOURCE` in domain/facts/air.py, straight lines between its rows

    Example
    -------
    >>> salt_test_rh_pct(25)
    75.29
    """
    for (low_c, low_pct), (high_c, high_pct) in pairwise(SALT_TEST_RH):
        if low_c <= temp_c <= high_c:
            return low_pct + (high_pct - low_pct) * (temp_c - low_c) / (high_c - low_c)
    raise Refused("The salt test is tabulated from 0 to 40 °C only.")


def salt_test_offset_pct(shown_pct: float, temp_c: float) -> float:
    """What to add to a sensor's humidity after a salt test.

    Parameters
    ----------
    shown_pct : what the sensor showed in the jar [%], 0–100; outside raises ``Refused``
    temp_c : temperature of jar and sensor [°C], 0–40

    Returns
    -------
    offset [percentage points of relative humidity]

    Source
    ------
    `SALT_TEST_SOURCE` in domain/facts/air.py

    Example
    -------
    >>> round(salt_test_offset_pct(79, 25), 2)
    -3.71
    """
    if not 0 <= shown_pct <= 100:
        raise Refused("A relative humidity lies between 0 and 100 %.")
    return salt_test_rh_pct(temp_c) - shown_pct
