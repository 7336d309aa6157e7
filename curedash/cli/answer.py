"""``curedash answer``: answer what a lot was asked when it was saved."""

from typing import Any

from curedash.cli.command import JSON_BARE, Chosen, Command, Word
from curedash.cli.context import Context

_EXAMPLE = "curedash answer A1 thickness=80mm"


def run(chosen: Chosen, context: Context) -> None:
    """List what a lot is asked, or answer it; the answer stays with the lot."""
    from curedash.domain.dosing.answers import QUESTIONS
    from curedash.services.dosing.answer import answer_all, questions_of
    from curedash.services.find import lots_named

    conn = context.open()
    lots = sorted(lots_named(conn, [chosen.lot]), key=lambda each: each.id)
    if not chosen.answer:
        _listed(context, lots, as_json=chosen.json)
        return
    text = " ".join(chosen.answer)
    name, equals, rest = text.partition("=")
    named = bool(equals) and name.strip() in QUESTIONS
    question, words = (name.strip(), rest) if named else (None, text)
    if len(lots) > 1:  # of a batch, those that are asked
        names = {each.name for lot in lots for each in questions_of(lot)}
        question = question or (names.pop() if len(names) == 1 else None)
        lots = [lot for lot in lots if question in [q.name for q in questions_of(lot)]] or lots
    done = answer_all(conn, context.by(), [lot.id for lot in lots], question, words)
    lines: list[str] = []
    for one in done:
        lines.append(f"{one.lot.code}, {one.answer.question}: {one.answer.text}")
        lines += (f"still open, {left.name}: {left.text}" for left in one.left)
    context.answer(chosen.json, _one_or_all([_document(one) for one in done]), lines)


def _document(done: Any) -> dict[str, Any]:
    """One answer as JSON."""
    return {
        "lot": done.lot.code,
        "saved": True,
        "question": done.answer.question,
        "answer": done.answer.text,
        "verdict": done.lot.dose_verdict,
        "asked": _asked(done.left),
    }


COMMAND = Command(
    "answer",
    "Answer an open question about a lot: a value, a reason, or 'unknown: why'. Without an "
    "answer, list the open questions.",
    _EXAMPLE,
    Word("lot", "a lot, or a batch for all its lots with that question"),
    Word("answer ANSWER", "80mm, 4C, a reason, or QUESTION=ANSWER if several are open", nargs="*"),
    JSON_BARE,
    run=run,
)


def _listed(context: Context, lots: list[Any], *, as_json: bool) -> None:
    from curedash.services.dosing.answer import questions_of

    document = _one_or_all([{"lot": lot.code, "asked": _asked(questions_of(lot))} for lot in lots])
    lines = []
    for lot in lots:
        before = f"{lot.code}, " if len(lots) > 1 else ""
        open_ones = [f"{before}{question.name}: {question.text}" for question in questions_of(lot)]
        lines += open_ones or [f"{lot.code} has no open questions"]
    context.answer(as_json, document, lines)


def _one_or_all(documents: list[dict[str, Any]]) -> Any:
    """The document of one lot by itself, of several as a list."""
    return documents[0] if len(documents) == 1 else documents


def _asked(questions: tuple[Any, ...]) -> list[dict[str, str]]:
    return [{"question": each.name, "text": each.text} for each in questions]
