"""Pieces under way, read from the form of a new batch: what is known of them, as it is stored."""

from dataclasses import replace as with_fields

from curedash.domain.curing.stages import GROUND, IN_CURE
from curedash.domain.errors import CuredashError
from curedash.domain.household.styles import Style
from curedash.domain.quantity_text import QuantityText
from curedash.domain.record import replace
from curedash.domain.times import local_day, utc_text
from curedash.domain.typed.words import on_one_line
from curedash.present.display_units import length, retold
from curedash.present.dosing.form import under_way_typed as typed
from curedash.present.dosing.form.batch_cells import roast_name
from curedash.present.dosing.form.batch_field import YES
from curedash.present.dosing.form.batch_pieces import labelled, roast, thickness
from curedash.present.dosing.form.batch_reader import Read, Reader
from curedash.present.dosing.form.under_way_typed import Tares, Weights
from curedash.present.words import day
from curedash.services.dosing.add_batch import MAX_NAME, PieceSpec, SourceSpec
from curedash.services.dosing.take_in import PieceUnderWay, UnderWay, require_possible, salted_words

#: words of a sentence that refuses the whole, and the field it is about
_SENTENCES = (
    ("salted before", "salted"),
    ("since a day", "since"),
    ("tare", "tare"),
    ("mixed in", "now"),
    ("under way is", "now"),
)


def read_under_way(form: Reader, name: str, style: Style | None, *, new: bool) -> Read:
    """Read the fields of pieces under way; nothing of a dose is asked."""
    stage = form.values["now"]
    since, salted = form.read("since"), form.read("salted") if stage != IN_CURE else None
    weights = form.read("weighed") or Weights()
    number = form.read("how_many") or len(weights.each_g) or 1
    weights = form.tried("weighed", lambda: typed.fitting_weights(weights, number)) or Weights()
    form.pieces = number
    tares = (form.read("tare") if stage != IN_CURE else None) or Tares()
    fitted = form.tried("tare", lambda: typed.fitting_tares(tares, number))
    packs = form.read("salted_with") if stage == IN_CURE else None
    pieces, sources = _pieces(form, number, weights, fitted or typed.fitting_tares(Tares(), number))
    place, sticker = form.read("place"), form.read("sticker")
    if style is None or since is None or form.is_open:
        return form.result(sources, ())
    spec = UnderWay(
        name=name,
        style=with_fields(style, cut=form.text("cut")[:MAX_NAME]),
        new_style=new,
        pieces=pieces,
        sources=sources,
        stage=stage,
        since=since,
        at=form.now,
        species=form.text("species")[:MAX_NAME],
        place=place,
        salted_at=salted,
        shape=form.values["shape"],
        skin=form.values["skin"] == YES,
        in_bag=form.values["bag"] == YES,
        planned_on=sticker,
        note=form.text("note") or None,
        packs=packs,
    )
    try:
        require_possible(spec)
    except CuredashError as trouble:
        form.troubles[_field_of(str(trouble))] = str(trouble)
        return form.result(sources, ())
    return form.result(sources, (), under_way=spec, known=_known(form, spec, weights))


def _pieces(
    form: Reader, number: int, weights: Weights, tares: Tares
) -> tuple[tuple[PieceUnderWay, ...], tuple[SourceSpec, ...]]:
    """So many pieces, each with its thickness, its name and its roast."""
    thick = _each(form, number)
    names = [on_one_line(each)[:MAX_NAME] for each in form.text("called").split(",")]
    source = roast_name(form.text("source"))[:MAX_NAME]
    specs = tuple(PieceSpec(1.0, source=source or None) for _ in range(number))
    specs, sources = labelled(
        form, form.text("name"), specs, (roast(form, 0, source),) if source else ()
    )
    if len(names) > number:
        form.troubles["called"] = f"{typed.pieces_words(number)}, {len(names)} names: one for each."
        names = names[:number]
    count = (form.read("sausages") or 1) if form.values["method"] == GROUND else 1
    found = typed.as_pieces(number, form.values["now"], weights, None, tares)
    return tuple(
        replace(
            piece,
            name=names[n] if n < len(names) else "",
            thickness_mm=thick[n],
            tare_g=tares.each_g[n],
            tare_what=tares.what if tares.each_g[n] else None,
            count=count,
            source=specs[n].source,
        )
        for n, piece in enumerate(found)
    ), sources


def _each(form: Reader, number: int) -> list[float | None]:
    """The thickness of each piece [mm]; None where nobody measured."""
    if form.values["method"] == GROUND:
        return [form.read("casing")] * number
    thick = thickness(form, "thickness") or []
    if len(thick) not in (0, 1, number):
        form.troubles["thickness"] = (
            f"{len(thick)} thicknesses for {typed.pieces_words(number)}: give one for all, or one"
            " each."
        )
        thick = []
    return thick if len(thick) == number else [*thick, None][:1] * number


def _field_of(sentence: str) -> str:
    lower = sentence.casefold()
    return next((field_id for words, field_id in _SENTENCES if words in lower), "since")


def _known(form: Reader, spec: UnderWay, weights: Weights) -> tuple[str, ...]:
    """What will be stored of them, and what stays unknown, each a sentence."""
    today = form.now.astimezone(form.zone).date()
    since = day(local_day(utc_text(spec.since), form.zone), today)
    ago = typed.ago_words(spec.since, form.now, form.zone)
    where = f"{typed.pieces_words(len(spec.pieces))} {typed.where_words(spec.stage)}"
    first = f"{where} since {since}, {ago}."
    measured = typed.weights_words(weights) or "not weighed"
    thick = {piece.thickness_mm for piece in spec.pieces}
    thick_words = "thickness unknown"
    if thick != {None}:
        thick_words = "thickness " + ", ".join(length(mm) for mm in sorted(filter(None, thick)))
    both = measured if spec.style.method == GROUND else f"{measured}; {thick_words}"
    return first, f"{both[:1].upper()}{both[1:]}.", *_of_the_salt(spec)


def _of_the_salt(spec: UnderWay) -> tuple[str, ...]:
    said: str | QuantityText = salted_words(spec)
    return (retold(said),)
