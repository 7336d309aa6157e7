"""``curedash check``: what needs somebody, for people, cron and status bars. It only reads."""

from __future__ import annotations

from curedash.cli.context import Context
from curedash.cli.plain import plain

TYPE_CHECKING = False
if TYPE_CHECKING:
    from curedash.cli.parser import Parser

NOTHING, TODAY, ACT = 0, 1, 2


def run(argv: list[str], context: Context) -> int:
    """Print every need, one line each; the exit code is the worst level."""
    chosen = plain(argv, ("json",)) or _parser().parse_args(argv)
    from curedash.services.check import current_needs

    needs = current_needs(context.open(), context.now)
    if chosen.json:
        from curedash.present.documents import need_document

        context.json([need_document(need) for need in needs])
    else:
        from curedash.present.lines import need_line

        for need in needs:
            context.out(need_line(need))
    levels = {need.level for need in needs}
    return ACT if "act" in levels else TODAY if "today" in levels else NOTHING


def _parser() -> Parser:
    from curedash.cli.parser import Parser

    parser = Parser(
        "check", "What needs you, one line each; exit 0 nothing, 1 today, 2 act.",
        "curedash check || mail -s 'the cellar' me",
    )  # fmt: skip
    parser.add_argument("--json", action="store_true", help="one JSON array on stdout")
    return parser
