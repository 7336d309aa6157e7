"""An answer to what a lot was asked, after it is saved: a value, a reason, or "unknown"."""

from collections.abc import Callable, Sequence
from sqlite3 import Connection

from curedash.domain.curing.cure_time import CureWindow, cure_window
from curedash.domain.dosing import Dose
from curedash.domain.dosing.answers import TEMPERATURE, THICKNESS, Answer, read_answer
from curedash.domain.errors import Refused
from curedash.domain.record import record
from curedash.domain.records import LotState, Place
from curedash.domain.wording import listed
from curedash.services.dosing.add_batch import FRIDGE_C, days_kept
from curedash.services.dosing.bags import planned_dose
from curedash.services.dosing.recipe import ANSWER, ASKED
from curedash.services.dosing.take_in import window_of_size
from curedash.services.dosing.tick import count_as_weighed
from curedash.services.find import lot_with_id
from curedash.services.places import places
from curedash.store import batches, lots, rack, record_lookups
from curedash.store.work import By, Work, at_once, change

IN_TIME = ("raw", "in-cure")  # the days in the cure can still change


@record
class Question:
    """An open question of a lot."""

    name: str
    text: str


@record
class Answered:
    """The lot after an answer, and the questions that are still open."""

    lot: LotState
    answer: Answer
    left: tuple[Question, ...]


def questions_of(lot: LotState) -> tuple[Question, ...]:
    """The open questions of a lot, in the order they were asked."""
    lines = (line.partition("\t") for line in (lot.asked or "").splitlines())
    return tuple(Question(name, text) for name, _tab, text in lines)


@at_once
def answer(conn: Connection, by: By, lot_id: int, question: str | None, text: str) -> Answered:
    """Answer a question of a lot; the answer stays with it, and dose and days are computed anew.

    Parameters
    ----------
    question : its name; None: the one open question
    text : a value, a reason, or "unknown" with its reason

    Raises
    ------
    Refused: nothing or several things are asked and none was named, or an unreadable answer
    """
    return answer_all(conn, by, [lot_id], question, text)[0]


@at_once
def answer_all(
    conn: Connection, by: By, lot_ids: Sequence[int], question: str | None, text: str
) -> list[Answered]:
    """Answer a question of several lots alike, in one change.

    Raises
    ------
    Refused: as for `answer`; nothing is stored then
    """
    asked = [lot_with_id(conn, lot_id) for lot_id in lot_ids]
    given = [read_answer(question or _only(lot), text) for lot in asked]
    subject = f"{', '.join(lot.code for lot in asked)} {given[0].question}"
    with change(conn, by, "answer", subject=subject) as work:
        for lot, one in zip(asked, given, strict=True):
            _answer(work, lot, one)
    now = [lot_with_id(conn, lot.id) for lot in asked]
    return [Answered(lot, one, questions_of(lot)) for lot, one in zip(now, given, strict=True)]


def asked_alike(conn: Connection, lot: LotState, question: str) -> list[LotState]:
    """The open lots of a batch that are asked the same, the lot itself first."""
    others = [
        other
        for other in rack.open_lots(conn)
        if other.batch_id == lot.batch_id
        and other.id != lot.id
        and any(each.name == question for each in questions_of(other))
    ]
    return [lot, *sorted(others, key=lambda other: other.code)]


def _answer(work: Work, lot: LotState, given: Answer) -> None:
    """Store one answer inside a running change, with what follows from it."""
    text = f"{given.question}: {given.text}"
    data = {"question": given.question, "answer": given.text, "value": given.value}
    lots.add_event(work, work.by.now, ANSWER, text, lot_id=lot.id, data=data)
    if given.question == THICKNESS and given.value is not None:
        lots.update(work, lot.id, thickness_mm=given.value)
    _close_question(work, lot, given)
    count_as_weighed(work, lot_with_id(work.conn, lot.id))
    _days_anew(work, lot_with_id(work.conn, lot.id), given)


def answered_by(place: Place) -> Callable[[Work], None]:
    """What follows from a band of a place: how cold it is, is asked of its lots no more."""
    return lambda work: _answer_by_band(work, place.id)


def _answer_by_band(work: Work, place_id: int) -> None:
    given = Answer(TEMPERATURE, "by the band of its place")
    for lot in rack.open_lots(work.conn):
        if lot.place_id == place_id and any(q.name == TEMPERATURE for q in questions_of(lot)):
            _close_question(work, lot, given)
            _days_anew(work, lot_with_id(work.conn, lot.id), given)


def _only(lot: LotState) -> str:
    """The name of the one question that is open."""
    found = questions_of(lot)
    if not found:
        raise Refused(
            f"{lot.code} has no open question. Name what you answer, e.g. thickness=80mm."
        )
    names = list(dict.fromkeys(question.name for question in found))
    if len(names) > 1:
        several = f"{lot.code} has several open questions ({listed(names)})"
        raise Refused(f"{several}: answer one, as in {names[0]}=….")
    return names[0]


def _close_question(work: Work, lot: LotState, given: Answer) -> None:
    """The question is open no more; its line gives way to the answer."""
    open_ones = [q for q in questions_of(lot) if q.name != given.question]
    gone = {f"{ASKED}{q.text}" for q in questions_of(lot) if q.name == given.question}
    label = given.question.capitalize()
    notes = [
        line
        for line in record_lookups.dose_notes(work.conn, lot.id)
        if line not in gone and not line.startswith(f"{label} ")
    ]
    if given.question in (THICKNESS, TEMPERATURE):
        notes.append(f"{label} {given.text}".rstrip(".") + ".")
    asked = "\n".join(f"{q.name}\t{q.text}" for q in open_ones) or None
    lots.update(work, lot.id, dose_notes="\n".join(notes) or None, asked=asked)


def _days_anew(work: Work, lot: LotState, given: Answer) -> None:
    """The days in the cure, where the answer is a thickness or a temperature."""
    if given.question not in (THICKNESS, TEMPERATURE) or lot.stage not in IN_TIME:
        return
    dose = planned_dose(work.conn, lot)
    if dose is not None:
        window = _window(work.conn, lot, dose)
    elif lot.thickness_mm is not None:  # taken in on its way: known by its thickness
        window = window_of_size(lot.method, lot.thickness_mm, lot.shape, each_g=_each_g(lot))
    else:
        return
    if window is not None:
        lots.update(work, lot.id, **days_kept(window))


def _each_g(lot: LotState) -> float | None:
    """Green weight of a piece of it [g], None where nobody weighed it."""
    return None if lot.green_g is None else lot.green_g / max(1, lot.count)


def _window(conn: Connection, lot: LotState, dose: Dose) -> CureWindow | None:
    """The days of a lot as it was answered: at the temperature said last, else its place's."""
    place = next((each for each in places.all_of(conn) if each.id == lot.place_id), None)
    said = dict(dose.request.answers).get(TEMPERATURE)
    value = None if said is None else read_answer(TEMPERATURE, said).value
    temps = (value, None if place is None else places.middle_temp_c(place), FRIDGE_C)
    temp_c = next(float(temp) for temp in temps if isinstance(temp, (int, float)))
    return cure_window(
        dose.request.method,
        _each_g(lot) or 0.0,
        lot.thickness_mm,
        lot.shape,
        temp_c,
        frozen=batches.condition(conn, lot.id) == "frozen",
        skin=dose.request.skin,
        salt_pct=dose.total_salt_pct,
        pickup_pct=dose.request.pickup_pct,
    )
