"""The request a batch's doses were computed from, kept as JSON with the batch."""

import json
from collections.abc import Sequence
from dataclasses import asdict, replace
from sqlite3 import Connection
from typing import Any

from curedash.domain.dosing import CuringSalt, Dose, DoseRequest, Scale
from curedash.domain.dosing.answers import TEMPERATURE, THICKNESS, USE_BY
from curedash.domain.dosing.classes import END_USE
from curedash.domain.record import as_dict, field_names, record
from curedash.domain.records import LotState
from curedash.store import batches, lots

PLAN = "plan"  # beside the request: what a sausage is to go through
BAGS = "bags"  # beside the request: the codes of the lots that were salted in one bag
ASKED = "Asked: "  # before a question about the piece itself, in what is kept of its dose
ANSWER = "answer"  # kind of the event that answers a question after saving
#: what is said of the piece itself
ABOUT_THE_PIECE = (ASKED, "Thickness ", "Temperature ", "Use-by ")
#: what a lot keeps of its dose, by the name it has there and here
FIGURES = ("total_salt_pct", "nitrite_mg_per_kg", "nitrate_mg_per_kg")
MISDOSE = "misdose"  # kind of the event that says what really went in

_OF_THE_PIECE = (THICKNESS, TEMPERATURE, USE_BY)


@record
class SausagePlan:
    """What a sausage is to go through once it is stuffed; empty where nobody said."""

    ferment_in: str = ""  # the name of a place
    smoke: str = ""  # how, in the person's own words
    hang_in: str = ""  # the name of a place

    @property
    def known(self) -> dict[str, str]:
        """What was said, by its name."""
        return {name: text for name, text in as_dict(self).items() if text}


def recipe_json(
    request: DoseRequest, bags: Sequence[Sequence[str]] = (), plan: SausagePlan | None = None
) -> str:
    """The request as text, which lots share a bag, and what a sausage is to go through."""
    shared: dict[str, object] = {BAGS: [list(bag) for bag in bags]} if bags else {}
    if plan is not None and plan.known:
        shared[PLAN] = plan.known
    return json.dumps(asdict(request) | shared, ensure_ascii=False)


def plan_from(text: str) -> SausagePlan:
    """What a sausage is to go through, from the text of its recipe."""
    told = json.loads(text).get(PLAN) or {}
    return SausagePlan(*(str(told.get(name, "")) for name in field_names(SausagePlan)))


def recipe_from(text: str) -> DoseRequest:
    """The request from its text; fields a newer program added keep their defaults."""
    told: dict[str, Any] = json.loads(text)
    told.pop(BAGS, None)
    told.pop(PLAN, None)
    if told.get("curing_salt") is not None:
        told["curing_salt"] = CuringSalt(**told["curing_salt"])
    told["extras"] = tuple((name, pct) for name, pct in told.get("extras", ()))
    told["answers"] = tuple((asked, reason) for asked, reason in told.get("answers", ()))
    told["scales"] = tuple(Scale(**scale) for scale in told.get("scales", ()))
    return DoseRequest(**told)


def request_of(conn: Connection, lot: LotState) -> DoseRequest | None:
    """The request behind a lot's dose, for its own weight; None without a dose or green weight."""
    batch = batches.one(conn, lot.batch_id)
    if batch is None or batch.recipe == "{}" or lot.green_g is None:
        return None
    request = recipe_from(batch.recipe)
    packs = None if request.packs is None else _packs(conn, lot, request)
    request = replace(request, green_g=lot.green_g, pieces=lot.count, packs=packs)
    return _as_answered(conn, lot, request)


def _as_answered(conn: Connection, lot: LotState, request: DoseRequest) -> DoseRequest:
    """The request with what was answered since it was saved, the newest answer last."""
    answers = dict(request.answers)
    for event in lots.events(conn, lot_id=lot.id, kind=ANSWER):
        told = json.loads(event.data or "{}")
        answers[told["question"]] = told["answer"]
        if told["question"] == END_USE and told.get("value") is not None:
            request = replace(request, eaten=told["value"])
    return replace(request, answers=tuple(answers.items()))


def still_asked(dose: Dose, before: str | None = None) -> str | None:
    """The open questions of a lot, a line each: question, tab, sentence.

    Parameters
    ----------
    dose : as it was planned or weighed
    before : those of before; the ones about the piece itself stay open
    """
    lines = [line for line in (before or "").splitlines() if line.startswith(_OF_THE_PIECE)]
    lines += [f"{each.question}\t{each.text}" for each in dose.open_questions]
    return "\n".join(lines) or None


def really_used(conn: Connection, lot: LotState) -> CuringSalt | None:
    """The curing salt a mis-dose says was really used; None where it was the planned one."""
    for event in reversed(lots.events(conn, lot_id=lot.id, kind=MISDOSE)):
        told = json.loads(event.data or "{}").get("curing_salt")
        if told is not None:
            return CuringSalt(**told)
    return None


def _packs(conn: Connection, lot: LotState, request: DoseRequest) -> float | None:
    """This lot's share of the packs, read off its own sheet."""
    line = next((x for x in lots.dose_lines(conn, lot.id) if x.kind == "pack"), None)
    if line is None or not request.pack_g:
        return request.packs
    return line.exact_g / request.pack_g
