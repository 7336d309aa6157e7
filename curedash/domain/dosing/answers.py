"""Answers to what a batch is asked once: a value, a reason, or "unknown" with its reason."""

from __future__ import annotations

from curedash.domain.dosing.asked import FERMENT, LARGE_SHARE, LITTLE_SALT, NO_NITRITE
from curedash.domain.dosing.classes import CLASS, END_USE
from curedash.domain.dosing.request import EATEN
from curedash.domain.errors import Refused
from curedash.domain.record import record
from curedash.domain.typed.units import parse_length_mm, parse_temp_c
from curedash.domain.wording import no_such

THICKNESS = "thickness"  # of the piece at its thickest spot
TEMPERATURE = "temperature"  # of the place during the cure
USE_BY = "use-by"  # the day on the label of the meat is past
UNKNOWN = "unknown"
QUESTIONS = (
    *(CLASS, NO_NITRITE, LITTLE_SALT, FERMENT, LARGE_SHARE),
    *(THICKNESS, TEMPERATURE, END_USE, USE_BY),
)
MAX_REASON = 200  # design value: characters of an answer
_EXAMPLES = {
    THICKNESS: "80 mm, or unknown: no ruler here",
    TEMPERATURE: "4 °C, or unknown: no thermometer in it",
    END_USE: "as-is, cooked-soon, fried, or unknown: a present",
}


@record
class Answer:
    """One question and what was answered: a value, or a reason alone."""

    question: str
    text: str
    value: float | str | None = None  # mm, °C or an end use; None: a reason

    @property
    def unknown(self) -> bool:
        """Whether the answer is that nobody knows."""
        return unknown_reason(self.text) is not None


def unknown_reason(text: str) -> str | None:
    """Tell why something is unknown.

    Parameters
    ----------
    text : an answer as typed

    Returns
    -------
    the reason, empty where none is given; None where the answer is not "unknown"

    Source
    ------
    the project's own wording

    Example
    -------
    >>> unknown_reason("unknown: no ruler"), unknown_reason("Unknown"), unknown_reason("80 mm")
    ('no ruler', '', None)
    """
    clean = " ".join(text.split())
    if not clean.casefold().startswith(UNKNOWN):
        return None
    rest = clean[len(UNKNOWN) :]
    if rest[:1].isalnum():
        return None
    return rest.lstrip(" :,;.-–").removeprefix("because ").strip()


def read_answer(question: str, text: str) -> Answer:
    """Read the answer to a question.

    Parameters
    ----------
    question : one of `QUESTIONS`
    text : the answer as typed

    Returns
    -------
    the answer; a thickness in mm, a temperature in °C, an end use by its word

    Raises
    ------
    Refused: another question, no words, "unknown" without its reason, or a value nobody can read

    Source
    ------
    the project's own wording

    Example
    -------
    >>> read_answer("thickness", "8 cm").value, read_answer("ferment", "dried cold").value
    (80.0, None)
    """
    if question not in QUESTIONS:
        raise Refused(no_such("question", question[:40], QUESTIONS))
    clean = " ".join(text.split())[:MAX_REASON]
    usual = _EXAMPLES.get(question, "a few words why")
    reason = unknown_reason(clean)
    if not clean or reason == "":
        raise Refused(f"Answer {question} with {usual}.")
    if reason is not None or question not in _EXAMPLES:
        return Answer(question, clean)
    if question == THICKNESS:
        return Answer(question, clean, parse_length_mm(clean))
    if question == TEMPERATURE:
        return Answer(question, clean, parse_temp_c(clean))
    word = clean.casefold().replace(" ", "-")
    if word not in EATEN:
        raise Refused(f"Answer {question} with {usual}.")
    return Answer(question, clean, word)
