"""Where a paper goes: to stdout as text, or into a file whose ending names the form."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from curedash.cli.command import Chosen, Word
from curedash.cli.context import Context
from curedash.domain.errors import UsageError
from curedash.domain.wording import listed

TYPE_CHECKING = False
if TYPE_CHECKING:
    Form = Callable[[], str | bytes]

ENDINGS = {
    "txt": "text",
    "text": "text",
    "pdf": "pdf",
    "md": "markdown",
    "markdown": "markdown",
    "html": "html",
    "htm": "html",
    "ics": "ics",
    "json": "json",
    "csv": "csv",
}
BINARY = ("pdf",)


def output(*forms: str) -> tuple[Word, Word]:
    """The options --output and --format."""
    named = ", ".join(f".{ending}" for ending in ENDINGS if ENDINGS[ending] in forms)
    return (
        Word("--output/-o FILE", f"write it to this file ({named})"),
        Word("--format", "format (default: by the ending of the file's name)", choices=forms),
    )


def put_out(context: Context, chosen: Chosen, forms: Mapping[str, Form]) -> int:
    """Make the form that was asked for and write or print it; the exit code."""
    wanted = chosen.format or _by_name(chosen.output, forms)
    from curedash.papers.pdf import NoPdf

    if wanted in BINARY and not chosen.output:
        raise UsageError(f"{wanted.upper()} needs a file: --output tags.{wanted}.")
    try:
        made = forms[wanted]()
    except NoPdf as missing:
        context.err(str(missing))
        context.out(str(forms["text"]()).rstrip("\n"))
        return 65
    if not chosen.output:
        (context.out if wanted == "text" else context.data)(str(made).rstrip("\n"))
        return 0
    from curedash.papers.files import write_file

    write_file(chosen.output, made, never=context.db_path)
    context.stored()
    context.err(f"written to {chosen.output}")
    return 0


def _by_name(path: str | None, forms: Mapping[str, Form]) -> str:
    if not path:
        return next(iter(forms))
    wanted = ENDINGS.get(path.rpartition(".")[2].casefold(), "")
    if wanted not in forms:
        raise UsageError(
            f"{path}: no known format has this ending; add --format with {listed(forms, 'or')}."
        )
    return wanted
