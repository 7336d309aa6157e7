"""``curedash answer``: answer what a lot was asked when it was saved."""

from typing import Any

from curedash.cli.command import JSON_BARE, Chosen, Command, Word
from curedash.cli.context import Context

_EXAMPLE = "curedash answer A1 thickness=80mm"


def run(chosen: Chosen, context: Context) -> int:
    """List what a lot is asked, or answer it; the answer stays with the lot."""
    from curedash.domain.dosing.answers import QUESTIONS
    from curedash.services.dosing.answer import answer_all, questions_of
    from curedash.services.find import lots_named

    conn = context.open()
    lots = sorted(lots_named(conn, [chosen.lot]), key=lambda each: each.id)
    if not chosen.answer:
        return _listed(context, lots, as_json=chosen.json)
    text = " ".join(chosen.answer)
    name, equals, rest = text.partition("=")
    named = bool(equals) and name.strip() in QUESTIONS
    question, words = (name.strip(), rest) if named else (None, text)
    if len(lots) > 1:  # of a batch, those that are asked
        names = {each.name for lot in lots for each in questions_of(lot)}
        question = question or (names.pop() if len(names) == 1 else None)
        lots = [lot for lot in lots if question in [q.name for q in questions_of(lot)]] or lots
    done = answer_all(conn, context.by(), [lot.id for lot in lots], question, words)
    if chosen.json:
        found = [_document(one) for one in done]
        context.json(found[0] if len(found) == 1 else found)
        return 0
    for one in done:
        context.out(f"{one.lot.code}, {one.answer.question}: {one.answer.text}")
        for left in one.left:
            context.out(f"still open, {left.name}: {left.text}")
    return 0


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


def _listed(context: Context, lots: list[Any], *, as_json: bool) -> int:
    from curedash.services.dosing.answer import questions_of

    if as_json:
        found = [{"lot": lot.code, "asked": _asked(questions_of(lot))} for lot in lots]
        context.json(found[0] if len(found) == 1 else found)
        return 0
    for lot in lots:
        before = f"{lot.code}, " if len(lots) > 1 else ""
        for question in questions_of(lot):
            context.out(f"{before}{question.name}: {question.text}")
        if not questions_of(lot):
            context.out(f"{lot.code} has no open questions")
    return 0


def _asked(questions: tuple[Any, ...]) -> list[dict[str, str]]:
    return [{"question": each.name, "text": each.text} for each in questions]
