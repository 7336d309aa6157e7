"""A tare as typed: a weight and what it is."""

from curedash.domain.errors import CuredashError, Refused
from curedash.domain.typed.unit_sizes import Ambiguous
from curedash.domain.typed.weights import parse_weight_g
from curedash.present.display_units import tare_example, typed_weight


def weight_and_words(text: str) -> tuple[float, str]:
    """A tare and what it is, from one line; nothing typed is 0 g.

    Example
    -------
    >>> weight_and_words("28 g hook and net"), weight_and_words("")
    ((28.0, 'hook and net'), (0.0, ''))
    """
    typed = text.split()
    if not typed or typed == ["0"]:
        return 0.0, ""
    for taken in range(len(typed), 0, -1):
        try:
            tare_g = parse_weight_g(typed_weight(" ".join(typed[:taken])))
            return tare_g, " ".join(typed[taken:])
        except Ambiguous:
            raise
        except CuredashError:
            continue
    raise Refused(f"A weight first, then what it is: {tare_example()}.")
