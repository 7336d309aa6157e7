"""``curedash dose``: a dose by any method, computed and shown, never kept."""

from __future__ import annotations

import os
from collections.abc import Iterator
from dataclasses import dataclass

from curedash.cli.command import WENT_IN, Chosen, Command, Word, switch
from curedash.cli.context import Context
from curedash.cli.dispatch import DOUBT, OK
from curedash.cli.dose_flags import (
    DOSE,
    green,
    greens_from_flags,
    packs_shared,
    request_from_flags,
    temp_from_flags,
    thicknesses_from_flags,
)
from curedash.domain.curing.cure_time import CureWindow, cure_window
from curedash.domain.dosing import (
    Dose,
    DoseRequest,
    MisDose,
    Premix,
    compute_dose,
    group_request,
    misdose,
    pack_share,
    premix_for,
    resolve_curing_salt,
)
from curedash.domain.dosing.rounding import COARSE_ERROR_PCT
from curedash.domain.errors import FileTrouble, UsageError
from curedash.domain.household.styles import Style
from curedash.domain.typed.weights import parse_weight_g
from curedash.present.display_units import mass, retold
from curedash.present.dosing.doses import dose_document, dose_lines, pack_lines
from curedash.services.dosing.dosing_means import DosingDefaults, dosing_defaults, find_style

FRIDGE_C = 4.0


@dataclass(frozen=True, slots=True)
class Answer:
    """One lot's dose with what belongs beside it."""

    dose: Dose
    window: CureWindow | None
    premix: Premix | None
    bench: MisDose | None


def _style(chosen: Chosen, defaults: DosingDefaults) -> tuple[Style | None, bool]:
    """The style that is meant; a name that fits none is new only where that is said."""
    if not chosen.style:
        return None, False
    return find_style(chosen.style, defaults, may_be_new=chosen.new_style)


def run(chosen: Chosen, context: Context) -> int:
    """Compute the doses; a refused one is printed too, and exits with 65."""
    defaults = _defaults(context)
    style, new = _style(chosen, defaults)
    requests = _requests(chosen, style, defaults)
    answers = [
        _answer(chosen, request, thickness_mm, style, defaults)
        for request, thickness_mm in zip(requests, _thicknesses(chosen, len(requests)), strict=True)
    ]
    if style is not None and new:
        context.err(
            f"“{style.name}” is a new style: pulled at a loss of 30–40 % of the hang weight."
        )
    _of_pork(chosen, style, answers, context)
    documents = [dose_document(a.dose, a.window, a.premix, a.bench) for a in answers]
    context.answer(chosen.json, {"lots": documents}, _lines(answers))
    return _exit(context, answers)


def _of_pork(chosen: Chosen, style: Style | None, answers: list[Answer], context: Context) -> None:
    """The freezing step, where it is pork that was not frozen and is eaten as it is."""
    from curedash.domain.facts.cautions import cautions_for
    from curedash.services.dosing.batch_sheet import eaten_raw_pork

    species = chosen.species or ("" if style is None else style.species)
    request = answers[0].dose.request
    cooked = style is not None and style.cook_before_eating
    if chosen.frozen or cooked:
        return
    if eaten_raw_pork(species, request.product_class or "", request.eaten):
        for text in cautions_for("raw-pork"):
            context.err(retold(text))


COMMAND = Command(
    "dose",
    "Compute doses by any method, without saving them.",
    "curedash dose --green '1134 g' --salt 2.75 --curing-salt no2 --cure 0.25 --rules us "
    "--class dry-cured --scale 0.1",
    green(required=True),
    *DOSE,
    Word("--style", "a style of the library: its salt, class and days"),
    switch("--new-style", "create a style of this name"),
    Word("--species", "beef, pork, duck, venison …"),
    switch("--frozen", "the meat was frozen and thawed"),
    switch("--group", "one dose for all pieces together"),
    *WENT_IN,
    run=run,
)


def _defaults(context: Context) -> DosingDefaults:
    """The household's own, where there is a file; a dose needs none."""
    if not os.path.exists(context.db_path):
        return DosingDefaults()
    try:
        return dosing_defaults(context.open())
    except FileTrouble as trouble:
        context.err(f"{trouble} The dose was computed without the household's settings.")
        return DosingDefaults()


def _requests(
    chosen: Chosen, style: Style | None, defaults: DosingDefaults
) -> tuple[DoseRequest, ...]:
    greens = greens_from_flags(chosen)
    requests = tuple(request_from_flags(chosen, grams, style, defaults) for grams in greens)
    return packs_shared(chosen, (group_request(requests),) if chosen.group else requests)


def _thicknesses(chosen: Chosen, count: int) -> list[float | None]:
    if not chosen.group:
        return thicknesses_from_flags(chosen, count)
    each = thicknesses_from_flags(chosen, max(1, len(greens_from_flags(chosen))))
    known = [thickness for thickness in each if thickness is not None]
    return [max(known) if known else None]  # the thickest piece decides for all


def _answer(
    chosen: Chosen,
    request: DoseRequest,
    thickness_mm: float | None,
    style: Style | None,
    defaults: DosingDefaults,
) -> Answer:
    dose, warm_c = compute_dose(request), temp_from_flags(chosen)
    window = cure_window(
        request.method,
        request.green_g / request.pieces,
        thickness_mm,
        chosen.shape or (style.shape if style else "slab"),
        FRIDGE_C if warm_c is None else warm_c,
        frozen=chosen.frozen,
        skin=chosen.skin,
        rule=chosen.rule,
        salt_pct=dose.total_salt_pct,
        pickup_pct=request.pickup_pct,
    )
    return Answer(dose, window, _premix(dose), _bench(chosen, dose, defaults))


def _premix(dose: Dose) -> Premix | None:
    if (dose.half_division_error_pct or 0.0) <= COARSE_ERROR_PCT:
        return None
    found = premix_for(dose.request)
    return None if found is None else found[0]


def _bench(chosen: Chosen, dose: Dose, defaults: DosingDefaults) -> MisDose | None:
    if not (chosen.given or chosen.given_salt or chosen.lost_liquid):
        return None
    if len(chosen.green) > 1:
        raise UsageError("--given is for one piece: give one --green with it.")
    really = None
    if chosen.given_salt is not None:
        really = resolve_curing_salt(chosen.given_salt, defaults.jars)
    lost_g = 0.0
    if chosen.lost_liquid is not None:
        lost_g = parse_weight_g(chosen.lost_liquid, allow_zero=True, marks_are_decimal=True)
    return misdose(
        dose,
        dict(given_from_flag(text) for text in chosen.given or ()),
        really=really,
        lost_liquid_g=lost_g,
    )


def given_from_flag(text: str) -> tuple[str, float]:
    """The name and grams of ``--given curing-salt=7g``."""
    name, equals, weight = text.partition("=")
    if not equals or not name.strip():
        raise UsageError("Give what went in as NAME=WEIGHT, for example --given curing-salt=7g.")
    return name.strip(), parse_weight_g(weight, allow_zero=True, marks_are_decimal=True)


def _lines(answers: list[Answer]) -> Iterator[str]:
    for answer in answers:
        yield from dose_lines(answer.dose, answer.window, answer.premix, answer.bench)
    yield from pack_lines(pack_share([answer.dose for answer in answers]))


def _exit(context: Context, answers: list[Answer]) -> int:
    refused = [answer.dose for answer in answers if answer.dose.refusal is not None]
    if not refused:
        return OK
    first = refused[0]
    which = "" if len(answers) == 1 else f"{mass(first.request.green_g)}: "
    context.err(f"{which}{first.refusal}")
    return DOUBT
