"""The fields of the form for pieces that are under way: where they are, since when, what is known.

Nothing of them must be known but where they are and since when.
"""

from curedash.domain.curing.stages import IN_CURE, RAW
from curedash.domain.errors import CuredashError
from curedash.domain.typed.pack_line import typed_packs
from curedash.present.display_units import in_pounds
from curedash.present.dosing.form.batch_cells import Values
from curedash.present.dosing.form.batch_field import (
    ALWAYS,
    UNDER_WAY,
    Context,
    Field,
    Option,
    Shape,
)
from curedash.present.dosing.form.under_way_typed import (
    number_of_pieces,
    since,
    stages_of,
    weights_of,
    where_words,
)
from curedash.present.weighing.tare_typed import weight_and_words
from curedash.services.dosing.batch_start import Start
from curedash.services.dosing.dosing_means import find_style


def _stages(values: Values, start: Start | None) -> list[Option]:
    """Raw, and where pieces of the style can be."""
    style = None
    if start is not None and values.get("style", "").strip():
        try:
            style = find_style(values["style"], start.defaults, asks=False)[0]
        except CuredashError:
            style = None
    return [(RAW, "raw today"), *((stage, where_words(stage)) for stage in stages_of(style))]


def _since(text: str, context: Context) -> object:
    return since(text, context.now, context.zone)


def _day(text: str, context: Context) -> object:
    from curedash.domain.typed.dates import parse_day

    return parse_day(text, context.now, context.zone)


def _in_cure(shape: Shape) -> bool:
    return shape.values["now"] == IN_CURE


def _further(shape: Shape) -> bool:
    return shape.under_way and not _in_cure(shape)


def _grams(_values: Values) -> str:
    return "" if in_pounds() else "g"


WHERE_NOW = (
    Field(
        "now",
        "where are they",
        "raw, or where they are by now; ←→ choose",
        "choice",
        options=_stages,
        usual=RAW,
        when=ALWAYS,
    ),
    Field(
        "since",
        "since when",
        "the day they came there, a rough one too: 21 Nov, -4d, sunday",
        read=_since,
        wanted=lambda _values: "e.g. -4d",
        when=UNDER_WAY,
    ),
    Field(
        "how_many",
        "how many",
        "pieces; empty: as many as weights below, else 1",
        read=lambda text, _context: number_of_pieces(text),
        when=UNDER_WAY,
    ),
    Field(
        "weighed",
        "weights",
        "empty: not weighed; one for each; or what they were cut from: {roast}",
        read=lambda text, _context: weights_of(text),
        unit=_grams,
        when=UNDER_WAY,
    ),
    Field(
        "tare",
        "tare",
        "on the scale and not meat: {tare}; empty: nothing",
        visible=_further,
        read=lambda text, _context: weight_and_words(text)[0],
        unit=_grams,
        when=UNDER_WAY,
    ),
    Field(
        "salted_with",
        "salted with",
        "a ready-mixed pack: 2 packs for 5 lb; empty: none, or not known",
        visible=_in_cure,
        read=lambda text, _context: typed_packs(text),
        when=UNDER_WAY,
    ),
    Field(
        "called",
        "their names",
        "one each, parted by commas: thick end, thin end; empty: by their codes",
        when=UNDER_WAY,
    ),
)

STICKER = Field(
    "sticker",
    "day on sticker",
    "the day it is planned to be taken down, as written on it: 3 Jan",
    read=_day,
    when=UNDER_WAY,
)
