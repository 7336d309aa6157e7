"""The bowl of a sausage as people weigh it: meat and fat, joined by a plus."""

from curedash.domain.typed.weights import parse_weights_g


def fat_share_pct(text: str) -> float | None:
    """Read how much of a bowl is fat, from the weights of meat and fat.

    Parameters
    ----------
    text : weights joined by ``+``, the fat last; one weight is the whole bowl

    Returns
    -------
    the fat [% of the whole], None where it was not weighed apart or there are several bowls; a
    text that is no weight raises ``Refused``

    Source
    ------
    arithmetic: the last weight in the sum of all

    Example
    -------
    >>> fat_share_pct("1600 + 400 g"), fat_share_pct("2 kg")
    (20.0, None)
    """
    parts = text.split("+")
    if len(parts) < 2:
        return None
    bowls_g = parse_weights_g(text)
    if len(bowls_g) != 1:
        return None
    unit = parts[-1] if parts[-1].strip()[-1:].isalpha() else parts[-1] + " g"
    (fat_g,) = parse_weights_g(unit)
    return 100.0 * fat_g / bowls_g[0]
