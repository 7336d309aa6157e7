"""What a person types of pieces under way: where they are, since when, what was weighed.

The form of a new batch and the short questions of the Rack read it alike.
"""

from datetime import datetime, tzinfo

from curedash.domain.curing.stages import DRYING, FERMENT, GROUND, IN_CURE, SALT_REST, word
from curedash.domain.errors import CuredashError, Refused
from curedash.domain.household.styles import Style
from curedash.domain.record import record, replace
from curedash.domain.times import calendar_days, utc_text
from curedash.domain.typed.dates import parse_when
from curedash.domain.typed.unit_sizes import Ambiguous
from curedash.domain.typed.weights import parse_weight_g, parse_weights_g
from curedash.present.display_units import mass, tare_example, typed_weight, typed_weights
from curedash.present.words import count
from curedash.services.dosing.take_in import UNDER_WAY, PieceUnderWay, from_roast

ROAST = "roast"
MOST = 50  # pieces typed in one line; more are weighed as a string


@record
class Weights:
    """What was weighed: nothing, the roast, or each piece [g]."""

    roast_g: float | None = None
    each_g: tuple[float, ...] = ()


@record
class Tares:
    """What is on the scale and no meat: one for all, or one for each piece [g]."""

    each_g: tuple[float, ...] = (0.0,)
    what: str | None = None


def tares_of(text: str) -> Tares:
    """One tare for all, or one each, and what it is: ``28 hook``, ``28, 30, 28``.

    Raises
    ------
    Refused: no weight at its beginning
    """
    words = text.replace(", ", " ").split()
    for taken in range(len(words), 0, -1):
        try:
            each_g = _weights_or_nothing(words[:taken])
        except Ambiguous:
            raise
        except CuredashError:
            continue
        return Tares(each_g, " ".join(words[taken:]) or None)
    if words:
        raise Refused(f"A weight first, then what it is: {tare_example()}.")
    return Tares()


def _weights_or_nothing(words: list[str]) -> tuple[float, ...]:
    if "0" not in words:
        return tuple(parse_weights_g(typed_weights(" ".join(words), None)))
    return tuple(0.0 if word == "0" else parse_weight_g(typed_weight(word)) for word in words)


def fitting_tares(found: Tares, pieces: int) -> Tares:
    """The tare of each piece.

    Raises
    ------
    Refused: more or fewer than there are pieces, and not one for all
    """
    if len(found.each_g) == 1:
        return replace(found, each_g=found.each_g * pieces)
    if len(found.each_g) != pieces:
        raise Refused(f"One tare for all, or one for each of the {pieces_words(pieces)}.")
    return found


def stages_of(style: Style | None) -> tuple[str, ...]:
    """Where pieces of a style can be: ground meat is never in the cure, few styles ferment."""
    left_out = {IN_CURE, SALT_REST} if style is not None and style.method == GROUND else set()
    if style is not None and not style.fermented:
        left_out.add(FERMENT)
    return tuple(stage for stage in UNDER_WAY if stage not in left_out)


def pieces_words(number: int) -> str:
    """``4 pieces``."""
    return count(number, "piece")


def number_of_pieces(text: str) -> int:
    """So many pieces, weighed one by one or not at all.

    Raises
    ------
    Refused: no whole number from 1 to 50
    """
    bare = text.strip()
    number = int(bare) if bare.isascii() and bare.isdecimal() and len(bare) < 4 else 0
    if not 1 <= number <= MOST:
        raise Refused(f"From 1 to {MOST} pieces; weigh small ones as one string.")
    return number


def since(text: str, now: datetime, zone: tzinfo) -> datetime:
    """The day they came where they are.

    Raises
    ------
    Refused: none, or one that cannot be read
    """
    if not text:
        raise Refused("A day is enough, and a rough one will do: 21 Nov, -4d.")
    return parse_when(text, now, zone)


def ago_words(at: datetime, now: datetime, zone: tzinfo) -> str:
    """``4 days ago``."""
    days = calendar_days(utc_text(at), now, zone)
    return "today" if days == 0 else f"{count(days, 'day')} ago"


def weights_label(stage: str) -> str:
    """Which weight is asked of pieces in a stage."""
    if stage == IN_CURE:
        return "weighed before the salt"
    return "on the scale now" if stage in (DRYING, FERMENT) else "weight now"


def weights_of(text: str) -> Weights:
    """Nothing, the roast, or a weight for each piece.

    Raises
    ------
    Refused: a text that is none of them
    """
    if not text:
        return Weights()
    head, _space, rest = text.partition(" ")
    if head.casefold() == ROAST:
        return Weights(roast_g=parse_weight_g(typed_weight(rest)))
    return Weights(each_g=tuple(parse_weights_g(typed_weights(text, None))))


def fitting_weights(found: Weights, pieces: int) -> Weights:
    """The weights, one for each piece.

    Raises
    ------
    Refused: more or fewer than there are pieces
    """
    if found.each_g and len(found.each_g) != pieces:
        weights = count(len(found.each_g), "weight")
        raise Refused(f"{pieces_words(pieces)}, {weights}: one for each, or none.")
    return found


def weights_words(found: Weights) -> str:
    """How the weights were understood."""
    if found.roast_g is not None:
        return f"roast of {mass(found.roast_g)}: each piece is estimated from it"
    return " + ".join(mass(grams) for grams in found.each_g)


def as_pieces(
    pieces: int, stage: str, weights: Weights, thick_mm: float | None, tares: Tares
) -> tuple[PieceUnderWay, ...]:
    """So many pieces with what was weighed of them, all of one thickness."""
    piece = PieceUnderWay(thickness_mm=thick_mm)
    if weights.roast_g is not None:
        green_g, pm_g = from_roast(weights.roast_g, pieces)
        piece = replace(piece, green_g=green_g, green_pm_g=pm_g)
    if not weights.each_g:
        return (piece,) * pieces
    if stage == IN_CURE:
        return tuple(replace(piece, green_g=grams) for grams in weights.each_g)
    return tuple(
        replace(piece, weight_g=grams, tare_g=tare_g, tare_what=tares.what if tare_g else None)
        for grams, tare_g in zip(weights.each_g, tares.each_g, strict=True)
    )


def where_words(stage: str) -> str:
    """A stage as the form offers it: ``in the cure``, ``fermenting``, ``drying``."""
    return _WHERE.get(stage, word(stage))


_WHERE = {IN_CURE: "in the cure", FERMENT: "fermenting"}
