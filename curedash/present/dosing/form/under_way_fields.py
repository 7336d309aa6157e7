"""The fields of the form for pieces that are under way: where they are, since when, what is known.

Nothing of them must be known but where they are and since when.
"""

from curedash.domain.curing.stages import IN_CURE, RAW
from curedash.domain.errors import CuredashError
from curedash.domain.typed.dates import parse_day
from curedash.domain.typed.pack_line import typed_packs
from curedash.present.dosing.form.batch_cells import Values
from curedash.present.dosing.form.batch_field import (
    ALWAYS,
    UNDER_WAY,
    Option,
    Shape,
    choice,
    entry,
    grams,
    in_time,
)
from curedash.present.dosing.form.under_way_typed import (
    number_of_pieces,
    since,
    stages_of,
    tares_of,
    weights_of,
    where_words,
)
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


def _in_cure(shape: Shape) -> bool:
    return shape.values["now"] == IN_CURE


def _further(shape: Shape) -> bool:
    return shape.under_way and not _in_cure(shape)


WHERE_NOW = (
    choice(
        "now",
        "raw, or where they are by now; ←→ choose",
        _stages,
        label="where are they",
        usual=RAW,
        when=ALWAYS,
    ),
    entry(
        "since",
        "the day they got there; a rough one will do: 21 Nov, -4d, Sunday",
        label="since when",
        read_in=in_time(since),
        wanted="e.g. -4d",
        when=UNDER_WAY,
    ),
    entry(
        "how_many",
        "how many pieces; empty: one for each weight below, else 1",
        read=number_of_pieces,
        when=UNDER_WAY,
    ),
    entry(
        "weighed",
        "one each, or {roast} if only the roast was weighed; empty: neither",
        label="weights",
        read=weights_of,
        unit=grams,
        when=UNDER_WAY,
    ),
    entry(
        "tare",
        "on the scale and not meat: {tare}, or one each; empty: nothing",
        visible=_further,
        read=tares_of,
        unit=grams,
        when=UNDER_WAY,
    ),
    entry(
        "salted_with",
        "a ready-mixed pack: 2 packs for 5 lb; empty: none, or not known",
        visible=_in_cure,
        read=typed_packs,
        when=UNDER_WAY,
    ),
    entry(
        "called",
        "one each, separated by commas: thick end, thin end; empty: by their codes",
        label="their names",
        when=UNDER_WAY,
    ),
)

STICKER = entry(
    "sticker",
    "the day written on it to take it down: 3 Jan",
    label="day on sticker",
    read_in=in_time(parse_day),
    when=UNDER_WAY,
)
