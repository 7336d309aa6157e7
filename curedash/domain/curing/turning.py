"""How often a piece in the cure is turned, its brine stirred, its box overhauled."""

BAG_DAYS = 2.0
BOX_DAYS = 3.0

#: method → days between, and what is done (design values, common practice)
TURNING = {
    "equilibrium": (BAG_DAYS, "turn the bag"),
    "pack": (BAG_DAYS, "turn the bag"),
    "equilibrium-brine": (BAG_DAYS, "turn it, stir the brine"),
    "immersion": (BAG_DAYS, "turn it, stir the brine"),
    "salt-box": (BOX_DAYS, "overhaul: turn it and rub the salt in again"),
}


def turn_every_days(method: str) -> float | None:
    """How often a piece is turned, its brine stirred or its box overhauled.

    Parameters
    ----------
    method : one of the dose methods

    Returns
    -------
    days between, or None where there is nothing to turn

    Source
    ------
    common practice (design values)

    Example
    -------
    >>> turn_every_days("equilibrium"), turn_every_days("ground")
    (2.0, None)
    """
    found = TURNING.get(method)
    return None if found is None else found[0]


def turn_words(method: str) -> str:
    """What turning means for a method.

    Parameters
    ----------
    method : one of the dose methods

    Returns
    -------
    the words

    Source
    ------
    common practice

    Example
    -------
    >>> turn_words("equilibrium")
    'turn the bag'
    """
    return TURNING.get(method, (0.0, "turn it"))[1]
