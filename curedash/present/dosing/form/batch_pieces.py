"""The pieces of a new batch and their roasts, as typed: all alike in one field, or a line each."""

from collections.abc import Callable
from dataclasses import replace
from typing import Any, TypeVar

from curedash.domain.curing.stages import GROUND
from curedash.domain.dosing.answers import THICKNESS, read_answer, unknown_reason
from curedash.domain.errors import CuredashError
from curedash.domain.household.styles import Style
from curedash.domain.typed.prices import price
from curedash.present.dosing.form import batch_cells
from curedash.present.dosing.form.batch_field import YES, beginning
from curedash.present.dosing.form.batch_fields import field, options, value_of
from curedash.present.dosing.form.batch_reader import Reader
from curedash.present.dosing.form.batch_texts import price_echo, thickness_mm
from curedash.services.dosing.add_batch import MAX_NAME, PieceSpec, SourceSpec, past_use_by

T = TypeVar("T")


def with_target(form: Reader, style: Style | None) -> Style | None:
    """The style with the loss typed for this batch."""
    target = form.read("target")
    if style is None or target is None:
        return style
    return replace(style, loss_lo_pct=target[0], loss_hi_pct=target[1])


def note_new_style(form: Reader, style: Style) -> None:
    """Say that a style is made anew, and the key that takes the one that begins so instead."""
    begun = beginning(options("style", form.values, form.start), form.text("style"))
    lost = "–".join(dict.fromkeys(f"{pct:g}" for pct in (style.loss_lo_pct, style.loss_hi_pct)))
    made = f"new style, {lost} % of {style.base} weight"
    if begun:
        style_id, name = begun[0]
        both = name if style_id in name.casefold() else f"{style_id}, {name}"
        form.hints["style"] = f"→ for {both}; else a new style"
    else:
        form.hints["style"] = made


def by_one(form: Reader) -> bool:
    """Whether each piece has a line of its own."""
    return form.values["each"] == YES


def all_alike(form: Reader) -> tuple[tuple[PieceSpec, ...], tuple[SourceSpec, ...]]:
    """Pieces from one field of weights, of one thickness or one each, cut from one roast."""
    greens = form.read("pieces") or []
    ground = form.values["method"] == GROUND
    thick = _casing(form) if ground else thickness(form, "thickness") or []
    count = (form.read("sausages") or 1) if ground else 1
    if len(thick) > 1 and greens and len(thick) != len(greens):
        form.troubles["thickness"] = (
            f"{len(thick)} thicknesses for {len(greens)} pieces: give one for all, or one each."
        )
    each = thick if len(thick) == len(greens) else [*thick[:1] * len(greens)]
    source = batch_cells.roast_name(form.text("source"))
    made = tuple(
        PieceSpec(green_g, "", each[n] if each else None, source or None, count)
        for n, green_g in enumerate(greens)
    )
    return made, (roast(form, 0, source),) if source else ()


def _casing(form: Reader) -> list[float]:
    """How wide a sausage is filled [mm], where it was measured."""
    wide_mm = form.read("casing")
    return [] if wide_mm is None else [wide_mm]


def one_by_one(form: Reader) -> tuple[tuple[PieceSpec, ...], tuple[SourceSpec, ...]]:
    """Pieces from a line each; a line without a weight and without a word is none."""
    made: list[PieceSpec] = []
    names: dict[str, None] = {}
    for n in range(min(batch_cells.MOST_ROWS, batch_cells.piece_rows(form.values) + 1)):
        if not form.text(f"green:{n}"):
            if any(form.text(f"{cell}:{n}") for cell in batch_cells.PIECE_CELLS[0 if n else 2 :]):
                form.wanted[f"green:{n}"] = "its weight"
            continue
        piece = _line(form, n)
        if piece is not None:
            form.lines[n] = len(made)
            made.append(piece)
            names |= {piece.source: None} if piece.source else {}
    if not made and not any(cell.startswith("green:") for cell in form.troubles):
        form.wanted["green:0"] = "its weight"
    return tuple(made), tuple(roast(form, n, name) for n, name in enumerate(names))


def _line(form: Reader, n: int) -> PieceSpec | None:
    """One piece; None while its weight cannot be read."""
    green_g = form.read(f"green:{n}")
    thick = thickness(form, f"thick:{n}")
    if thick is None and (repeated := batch_cells.above(f"thick:{n}", form.values)):
        thick = _or_none(thickness_mm, repeated)
    name = form.read(f"piece:{n}") or ""
    count = form.read(f"count:{n}") or 1
    if green_g is None:
        return None
    return PieceSpec(
        green_g, name, thick, batch_cells.roast_name(form.repeated(f"from:{n}")) or None, count
    )


def thickness(form: Reader, field_id: str) -> Any:
    """A thickness; None where it is empty or said to be unknown, with the reason."""
    if unknown_reason(form.text(field_id)) is None:
        return form.read(field_id)
    form.tried(field_id, lambda: read_answer(THICKNESS, form.text(field_id)))
    return None


def _or_none(parse: Callable[[str], T], text: str) -> T | None:
    try:
        return parse(text)
    except CuredashError:
        return None  # said at its own cell


def bags(form: Reader) -> tuple[tuple[int, ...], ...]:
    """The pieces that share a bag, where the method doses a bag."""
    if form.pieces < 2 or form.values["method"] not in batch_cells.BAGGED:
        return ()
    if not by_one(form):
        return form.read("bags") or ()
    shared: dict[str, list[int]] = {}
    for n, piece in form.lines.items():
        if mark := form.text(f"together:{n}").casefold():
            shared.setdefault(mark, []).append(piece)
    return tuple(tuple(bag) for bag in shared.values() if len(bag) > 1)


def roast(form: Reader, n: int, name: str) -> SourceSpec:
    """A roast; what its line leaves empty is as in the line above, but for its weight."""
    asked = form.read(f"price:{n}")
    if asked is None and (repeated := batch_cells.above(f"price:{n}", form.values)):
        asked = _or_none(price, repeated)
    bought_g = form.read(f"bought:{n}")
    cost = None
    if asked is not None:
        cost = asked.total(bought_g)
        if cost is None and f"bought:{n}" not in form.troubles:
            form.wanted[f"bought:{n}"] = f"for a price {asked.each}"
        elif echo := price_echo(asked, bought_g):
            form.echoes[f"price:{n}"] = form.echoes[f"bought:{n}"] = echo
    packed = form.read(f"packed:{n}")
    if packed is None and (repeated := batch_cells.above(f"packed:{n}", form.values)):
        packed = _or_none(lambda text: str(field("packed").value(text, form.context)), repeated)
    shop = form.read(f"shop:{n}") or batch_cells.above(f"shop:{n}", form.values)[:MAX_NAME]
    return SourceSpec(
        name[:MAX_NAME],
        shop=shop or None,
        pack_date=packed,
        price=cost,
        currency=None if asked is None else asked.currency,
        bought_g=bought_g,
        condition=value_of(f"condition:{n}", form.values),
    )


def to_cells(form: Reader) -> None:
    """What is said of a field that is not in sight is said where it can be corrected."""
    if not by_one(form):
        return
    for field_id, cell in (("pieces", "green:0"), ("thickness", "thick:0")):
        for said in (form.troubles, form.hints, form.wanted):
            if field_id in said:
                said.setdefault(cell, said.pop(field_id))


def labelled(
    form: Reader, name: str, pieces: tuple[PieceSpec, ...], sources: tuple[SourceSpec, ...]
) -> tuple[tuple[PieceSpec, ...], tuple[SourceSpec, ...]]:
    """Pieces and roasts with the use-by date; meat without a roast has the batch's name."""
    use_by = form.read("use_by")
    if use_by is None:
        return pieces, sources
    own = name[:MAX_NAME]
    if any(piece.source is None for piece in pieces):
        pieces = tuple(replace(piece, source=piece.source or own) for piece in pieces)
        sources = (*sources, SourceSpec(own))
    today = form.now.astimezone(form.zone).date().isoformat()
    if use_by <= today:
        form.hints["use_by"] = "today" if use_by == today else past_use_by(use_by)
    return pieces, tuple(replace(source, use_by=use_by) for source in sources)
