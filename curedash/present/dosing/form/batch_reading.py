"""What was typed for a new batch, read field by field: the batch, or what prevents it.

Nothing here raises: a field that cannot be read has its sentence in ``troubles``, one that is
still empty in ``wanted``; only a reading without either has a batch to keep.
"""

from dataclasses import replace
from datetime import datetime, tzinfo
from functools import lru_cache
from typing import Any, TypeVar

from curedash.domain.dosing import Dose, DoseRequest, Finding, Scale, accepted_words, share_packs
from curedash.domain.dosing.answers import TEMPERATURE, THICKNESS, read_answer, unknown_reason
from curedash.domain.dosing.classes import CLASS, END_USE, answered
from curedash.domain.dosing.words import cut as cut_number
from curedash.domain.errors import CuredashError, Refused
from curedash.domain.household.styles import Style, dose_fields
from curedash.present.dosing.form import batch_pieces, batch_place
from curedash.present.dosing.form import batch_sausage as sausage
from curedash.present.dosing.form.batch_cells import Values, piece_rows
from curedash.present.dosing.form.batch_field import PARTIAL, YES, is_under_way
from curedash.present.dosing.form.batch_reader import Read, Reader
from curedash.present.dosing.form.batch_sausage import with_ferment
from curedash.present.dosing.form.batch_texts import text_of
from curedash.present.dosing.form.batch_under_way import read_under_way
from curedash.present.words import in_own_units
from curedash.services.dosing.add_batch import (
    MAX_NAME,
    BatchSpec,
    PieceSpec,
    PlannedLot,
    SourceSpec,
    plan_batch,
)
from curedash.services.dosing.batch_start import Start

T = TypeVar("T")

#: before the name of a question in what was typed: the reason that answers it
ANSWER = "answer:"
_ANSWERED_FOR = {CLASS: "class", TEMPERATURE: "place"}  # an answer counts for this field's value


def read_form(values: Values, start: Start, now: datetime, zone: tzinfo) -> Read:
    """Read every field, compute the doses and say what is wrong.

    Parameters
    ----------
    values : every field's text, from :func:`curedash.present.dosing.form.batch_fields.effective`
    now : the moment typed days count from (aware)
    """
    form = Reader(values, start, now, zone)
    name = form.read("name") or ""
    style, new = form.read("style") or (None, False)
    style = with_ferment(form, batch_pieces.with_target(form, style))
    if style is not None and new:
        batch_pieces.note_new_style(form, style)
    if is_under_way(values):
        return read_under_way(form, name, style, new=new)
    form.read("salted")  # refused at once, whatever is open
    pieces, sources = (
        batch_pieces.one_by_one(form) if batch_pieces.by_one(form) else batch_pieces.all_alike(form)
    )
    form.pieces, form.green_g = len(pieces), sum(piece.green_g for piece in pieces)
    bagged = batch_pieces.bags(form)
    request = _request(form, style)
    planned: tuple[PlannedLot, ...] = ()
    spec, in_casing = None, sausage.stuffed(form, pieces)
    if request is not None and pieces:
        spec = _spec(form, name, style or Style("", ""), new, pieces, sources, request, bagged)
        spec, planned = _planned(form, spec)
    batch_pieces.to_cells(form)
    whole = spec is not None and style is not None and not form.is_open
    kept = {"spec": spec, "stuffed": in_casing} if whole else {}
    greens = tuple(piece.green_g for piece in pieces)
    together = sum(piece.count for piece in pieces)
    return form.result(sources, greens, pieces=together, planned=planned, **kept)


# ── the dose ──────────────────────────────────────────────────────────────────────────────


def _request(form: Reader, style: Style | None) -> DoseRequest | None:
    """The request for one piece of 1000 g; None while a field of it cannot be read."""
    before = len(form.troubles) + len(form.wanted)
    method = form.values["method"]
    salt_pct = form.read("salt")
    salt = form.read("curing_salt")
    share = {} if method == "pack" else form.read("cure") or {}
    if salt is None and any(share.values()) and "curing_salt" not in form.troubles:
        form.wanted["curing_salt"] = "which one? ←→"
    given: dict[str, Any] = {**share, **_of_method(form, method), **_of_checks(form, style)}
    shelf = form.read("scale") or (Scale(1.0),)
    sugar_pct = form.read("sugar") or 0.0
    extras = sausage.with_starter(form, form.read("spices") or ())
    if len(form.troubles) + len(form.wanted) > before:
        return None
    if len(shelf) == 1 and shelf[0].max_g is None:
        given["scale_division_g"] = shelf[0].division_g
    else:
        given["scales"] = shelf
    return DoseRequest(
        green_g=1000.0,
        method=method,
        salt_pct=salt_pct,
        salt_means=form.values["salt_means"],
        curing_salt=salt,
        sugar_pct=sugar_pct,
        extras=extras,
        fat_pct=sausage.fat_pct(form),
        **given,
    )


def _of_method(form: Reader, method: str) -> dict[str, Any]:
    """What only some methods need."""
    given: dict[str, Any] = {}
    if method in ("equilibrium-brine", *PARTIAL):
        given["water_g"] = form.read("water")
    if method == "immersion":
        given["pickup_pct"] = form.read("pickup")
    if method == "injection":
        given["pump_pct"] = form.read("pump")
    if method in PARTIAL:
        given["percent_of"] = form.values["percent_of"]
    if method == "pack":
        pack = form.read("pack")
        given["pack_g"], given["pack_for_g"] = pack or (None, None)
    return given


def _of_checks(form: Reader, style: Style | None) -> dict[str, Any]:
    return {
        "rule_set": form.text("rules") or None,
        "product_class": form.text("class") or None,
        "planned_days": form.read("days"),
        "eaten": form.text("eaten") or None,
        "cut": form.text("cut"),
        "answers": _answers(form.values),
        **dose_fields(style),
    }


def _answers(values: Values) -> tuple[tuple[str, str], ...]:
    """The answers given so far; one for a class or a place counts for that one alone."""
    found = []
    for key, reason in values.items():
        if key.startswith(ANSWER) and reason.strip():
            question, _, picked = key.removeprefix(ANSWER).partition("/")
            if not picked or picked == values[_ANSWERED_FOR[question]]:
                found.append((question, reason.strip()))
        elif key.partition(":")[0] in ("thickness", "thick") and unknown_reason(reason):
            found.append((THICKNESS, " ".join(reason.split())))
    return tuple(dict(found).items())


def answer_key(question: str, values: Values) -> str:
    """Where the answer to a question is kept beside the fields."""
    of = _ANSWERED_FOR.get(question)
    return f"{ANSWER}{question}" + (f"/{values[of]}" if of else "")


def answer_typed(question: str, text: str, values: Values) -> tuple[str, str]:
    """The field that an answer is kept in, and its text there.

    Raises
    ------
    Refused: an answer that nobody can read
    """
    if not text:
        raise Refused("Type the reason, or Esc to change it.")
    answer = read_answer(question, text)
    if question == THICKNESS:
        cells = (f"thick:{n}" for n in range(piece_rows(values)))
        empty = (cell for cell in cells if not values.get(cell, "").strip())
        return next(empty, "thick:0") if values["each"] == YES else "thickness", answer.text
    if question == END_USE and answer.value is not None:
        return "eaten", str(answer.value)
    return answer_key(question, values), answer.text


# ── the batch ─────────────────────────────────────────────────────────────────────────────


def _spec(
    form: Reader,
    name: str,
    style: Style,
    new: bool,
    pieces: tuple[PieceSpec, ...],
    sources: tuple[SourceSpec, ...],
    request: DoseRequest,
    bagged: tuple[tuple[int, ...], ...],
) -> BatchSpec:
    doses: tuple[DoseRequest, ...] = ()
    packs = form.read("packs") if request.method == "pack" else None
    if packs is not None:
        each = [replace(request, green_g=piece.green_g) for piece in pieces]
        doses = share_packs(each, packs)
    pieces, sources = batch_pieces.labelled(form, name, pieces, sources)
    plan, new_places = sausage.plan(form)
    place = None if sausage.is_ground(form) else form.read("place")
    return BatchSpec(
        name=name,
        species=form.text("species")[:MAX_NAME] or style.species,
        style=style,
        pieces=pieces,
        dose=request,
        doses=doses,
        bags=bagged,
        place=place,
        salted_at=sausage.mixed_at(form) or form.read("salted"),
        shape=form.values["shape"],
        skin=form.values["skin"] == YES,
        in_bag=form.values["bag"] == YES,
        temp_c=_temp_c(request),
        sources=sources,
        note=form.text("note") or None,
        rule=form.text("rule") or None,
        new_style=new,
        plan=plan,
        new_places=new_places or batch_place.new_places(place, form.values),
    )


def _temp_c(request: DoseRequest) -> float | None:
    """The temperature that was answered [°C]; None where none was, or nobody knows."""
    text = answered(request, TEMPERATURE)
    if not text:
        return None
    value = read_answer(TEMPERATURE, text).value
    return value if isinstance(value, float) else None


def _planned(form: Reader, spec: BatchSpec) -> tuple[BatchSpec | None, tuple[PlannedLot, ...]]:
    """The doses; what refuses one is said beside its field."""
    warm = form.start.temp_c(spec.place) if spec.place else None
    try:
        planned = _doses(_what_doses_rest_on(spec), warm)
    except CuredashError as trouble:
        at = _cell(form, _field_of_sentence(str(trouble)), _refused_piece(spec, warm, trouble))
        form.troubles.setdefault(at, in_own_units(str(trouble)))
        return None, ()
    alike = {lot.dose.accepted for lot in planned if lot.dose.accepted}
    fix = min(alike, key=_least) if alike else ()
    for piece, lot in reversed(tuple(enumerate(planned))):
        _note_findings(form, lot.dose, fix, piece)
        for about, text in () if lot.window is None else lot.window.asks:
            if not answered(lot.dose.request, about):
                field_id = "place" if about == TEMPERATURE else about
                asked = batch_place.cold_asked(spec.place) if about == TEMPERATURE else text
                form.hints.setdefault(_cell(form, field_id, piece), asked)
    form.accepted |= _as_typed(form, fix)
    return spec, planned


def _cell(form: Reader, field_id: str, piece: int) -> str:
    """Where the weight or the thickness of a piece is: its own cell, where it has one."""
    cell = {"pieces": "green", "thickness": "thick"}.get(field_id)
    if cell is None or not batch_pieces.by_one(form):
        return field_id
    row = next((row for row, number in form.lines.items() if number == piece), None)
    return field_id if row is None else f"{cell}:{row}"


def _refused_piece(spec: BatchSpec, warm: float | None, trouble: CuredashError) -> int:
    """The number of the first piece that is refused so by itself; 0 where none is."""
    for number, piece in enumerate(spec.pieces):
        alone = replace(spec, pieces=(piece,), bags=(), doses=spec.doses[number : number + 1])
        try:
            plan_batch(alone, warm)
        except CuredashError as own:
            if str(own) == str(trouble):
                return number
    return 0


@lru_cache(maxsize=4)
def _doses(spec: BatchSpec, warm: float | None) -> tuple[PlannedLot, ...]:
    """The doses of a batch; typing a name or a note computes none of them again."""
    return plan_batch(spec, warm)


def _what_doses_rest_on(spec: BatchSpec) -> BatchSpec:
    return replace(spec, name="", note=None, place=None, salted_at=None, plan=None, new_places=())


Fix = tuple[tuple[str, object], ...]
_PERCENT = ("salt_pct", "cure_pct", "sugar_pct", "pump_pct", "pickup_pct")


def _note_findings(form: Reader, dose: Dose, fix: Fix, piece: int) -> None:
    """Say beside its field that it is refused, and what is not; the reason is under the doses."""
    for finding in dose.findings:
        field_id = _cell(form, _FIELD_OF.get(finding.field, "method"), piece)
        if field_id == "spices" and sausage.is_ground(form):
            field_id = "starter"
        if finding.level == "refused":
            form.troubles[field_id] = _refused_words(form, dose, finding, fix)
        elif finding.level == "caution":
            form.hints[field_id] = f"{finding.text}"


def _refused_words(form: Reader, dose: Dose, finding: Finding, fix: Fix) -> str:
    """``too much: 1 % would do (F5 takes it)``; the reason itself where nothing would be."""
    if not fix:
        return finding.text
    field_id = _FIELD_OF.get(finding.field)
    own = tuple(each for each in fix if _FIELD_OF.get(each[0]) == field_id)
    name, value = own[0] if len(own) == 1 else ("", None)
    now = getattr(dose.request, name, None) if name.startswith(("wanted_", *_PERCENT)) else None
    if isinstance(value, (int, float)) and isinstance(now, (int, float)) and value != now:
        word = "too much" if value < now else "too little"
        shown = _as_typed(form, own)[field_id or ""] + (" %" if name in _PERCENT else "")
        return f"{word}: {shown} would do (F5 takes it)"
    words = accepted_words(own or fix).removesuffix(".")
    return f"refused; {words[:1].lower()}{words[1:]} (F5 takes it)"


def _least(fix: Fix) -> float:
    numbers = [value for one_name, value in fix if isinstance(value, (int, float))]
    return min(numbers, default=0.0)


_SAME = ("salt_means", "curing_salt", "percent_of", "packs", "eaten", "cut", "species", "method")
#: field of a request → field of the form
_FIELD_OF = {name: name for name in _SAME} | {
    "salt_pct": "salt",
    "cure_pct": "cure",
    "wanted_nitrite_mg_per_kg": "cure",
    "wanted_nitrate_mg_per_kg": "cure",
    "sugar_pct": "sugar",
    "extras": "spices",
    "water_g": "water",
    "pickup_pct": "pickup",
    "pump_pct": "pump",
    "pack_g": "pack",
    "scale_division_g": "scale",
    "scales": "scale",
    "rule_set": "rules",
    "product_class": "class",
    "planned_days": "days",
    "green_g": "pieces",
}
#: words of a sentence that was raised, and the field it is about
_SENTENCES = (
    ("not a known meat", "species"),
    ("which meat it is", "species"),
    ("curing salt", "cure"),
    ("green weight", "pieces"),
    ("spice", "spices"),
    ("on the sheet", "spices"),
    ("scale", "scale"),
    ("thickness", "thickness"),
    ("sugar", "sugar"),
    ("pick-up", "pickup"),
    ("pump", "pump"),
    ("pack", "pack"),
    ("water", "water"),
    ("nitrite", "cure"),
    ("nitrate", "cure"),
    ("salt", "salt"),
    ("planned days", "days"),
    ("pieces", "pieces"),
    ("rule", "rule"),
)


def _field_of_sentence(sentence: str) -> str:
    lower = sentence.casefold()
    return next((field_id for words, field_id in _SENTENCES if words in lower), "method")


def _as_typed(form: Reader, fix: Fix) -> dict[str, str]:
    """Accepted values as one would type them."""
    typed: dict[str, str] = {}
    for name, value in fix:
        field_id = _FIELD_OF.get(name)
        if field_id is None:
            continue
        if name.startswith("wanted_") and value is not None:
            agent = " nitrate" if "nitrate" in name else ""
            typed[field_id] = f"{text_of(cut_number(float(str(value))))} mg/kg{agent}"
        elif value is None or name == "extras":
            typed[field_id] = ""
        elif isinstance(value, (int, float)):
            typed[field_id] = text_of(float(value))
        else:
            typed[field_id] = str(value)
    if "packs" in typed and form.pieces > 1:
        typed["packs"] = ""
    return typed
