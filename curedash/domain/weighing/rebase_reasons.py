"""Why a weight changed without drying, in words, and whether that was meat."""

from curedash.domain.errors import Refused
from curedash.domain.typed.words import on_one_line
from curedash.domain.wording import listed

REMOVED, TARE = "removed", "tare"

#: what people do to a hanging piece → does the base follow, or the tare
REASONS = {
    "end tasted": REMOVED,
    "trimmed": REMOVED,
    "pieces taken off": REMOVED,
    "casing off": TARE,
    "casing on": TARE,
    "net off": TARE,
    "net on": TARE,
    "larded": TARE,
    "lard off": TARE,
    "pasted": TARE,
    "paste off": TARE,
    "bag off": TARE,
    "re-bagged": TARE,
    "re-tied": TARE,
}
EATEN = ("end tasted", "pieces taken off")  # came out as food, not as waste
MAX_REASON = 200


def kind_of(reason: str, kind: str | None = None) -> tuple[str, str]:
    """Tell whether a reason takes meat off or changes the tare.

    Parameters
    ----------
    reason : one of ``REASONS``, a beginning that fits only one, or own words
    kind : ``removed`` or ``tare``, needed with own words

    Returns
    -------
    the kind, and the reason in full; unknown words without a kind raise ``Refused``

    Source
    ------
    definition

    Example
    -------
    >>> kind_of("larded"), kind_of("Trim"), kind_of("mouse", "removed")
    (('tare', 'larded'), ('removed', 'trimmed'), ('removed', 'mouse'))
    """
    words = on_one_line(reason)
    typed = words.casefold()
    fits = [known for known in REASONS if typed and known.startswith(typed)]
    named = typed if typed in REASONS else fits[0] if len(fits) == 1 else None
    if not words or len(words) > MAX_REASON or kind not in (None, REMOVED, TARE):
        raise Refused("Say in a few words what changed, e.g. end tasted, casing off, lard put on.")
    if named is not None and kind in (None, REASONS[named]):
        return REASONS[named], named
    if kind is None:
        raise Refused(
            f"Was “{words}” meat taken off, or something else put on or taken off? Say which, or"
            f" choose {listed(REASONS, 'or')}."
        )
    return kind, words
