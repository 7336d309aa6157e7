"""``curedash answer``: answer what a lot was asked when it was saved."""

from typing import Any

from curedash.cli.context import Context
from curedash.cli.parser import Parser

_EXAMPLE = "curedash answer A1 thickness=80mm"


def run(argv: list[str], context: Context) -> int:
    """List what a lot is asked, or answer it; the answer stays with the lot."""
    chosen = parser().parse_args(argv)
    from curedash.domain.dosing.answers import QUESTIONS
    from curedash.services.dosing.answer import answer, questions_of
    from curedash.services.find import require_lot

    conn = context.open()
    lot = require_lot(conn, chosen.lot)
    if not chosen.answer:
        return _listed(context, lot.code, questions_of(lot), as_json=chosen.json)
    text = " ".join(chosen.answer)
    name, equals, rest = text.partition("=")
    named = bool(equals) and name.strip() in QUESTIONS
    question, words = (name.strip(), rest) if named else (None, text)
    done = answer(conn, context.by(), lot.id, question, words)
    if chosen.json:
        context.json(
            {
                "lot": lot.code,
                "saved": True,
                "question": done.answer.question,
                "answer": done.answer.text,
                "verdict": done.lot.dose_verdict,
                "asked": _asked(done.left),
            }
        )
        return 0
    context.out(f"{lot.code}, {done.answer.question}: {done.answer.text}")
    for left in done.left:
        context.out(f"still asked, {left.name}: {left.text}")
    return 0


def parser() -> Parser:
    """The words it takes."""
    parser = Parser(
        "answer",
        "Answer what a lot was asked: a value, a reason, or 'unknown: why'."
        " Without an answer it lists the questions.",
        _EXAMPLE,
    )
    parser.add_argument("lot")
    parser.add_argument(
        "answer",
        nargs="*",
        metavar="ANSWER",
        help="80mm, 4C, a reason, or QUESTION=ANSWER where several are asked",
    )
    parser.add_argument("--json", action="store_true")
    return parser


def _listed(context: Context, code: str, questions: tuple[Any, ...], *, as_json: bool) -> int:
    if as_json:
        context.json({"lot": code, "asked": _asked(questions)})
        return 0
    if not questions:
        context.out(f"{code} is asked nothing")
    for question in questions:
        context.out(f"{question.name}: {question.text}")
    return 0


def _asked(questions: tuple[Any, ...]) -> list[dict[str, str]]:
    return [{"question": each.name, "text": each.text} for each in questions]
