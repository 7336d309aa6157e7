"""``curedash completion``: scripts for bash, zsh and fish, and the candidates they ask for."""

import os
import shlex

from curedash.cli.command import Chosen, Command, Word
from curedash.cli.context import Context
from curedash.cli.verbs import VERBS, parser_of, second_words
from curedash.domain.errors import UsageError

SCRIPTS = {
    "bash": """_curedash() {
    local at
    mapfile -t COMPREPLY < <(curedash completion --line "${COMP_LINE:0:COMP_POINT}" 2>/dev/null)
    for at in "${!COMPREPLY[@]}"; do printf -v "COMPREPLY[at]" %q "${COMPREPLY[at]}"; done
}
complete -o default -F _curedash curedash
""",
    "zsh": """#compdef curedash
_curedash() {
    local -a found
    found=("${(@f)$(curedash completion --line "${LBUFFER}" 2>/dev/null)}")
    compadd -a found
}
compdef _curedash curedash
""",
    "fish": """complete -c curedash -f \\
    -a '(curedash completion --line (commandline -cp) 2>/dev/null)'
""",
}
GLOBALS = ("--db", "--now", "--scale-from", "--plain", "--help", "--version", "--json-schema")
#: where a word that is no ``place`` names one all the same
ALSO_PLACES = {("place set", "name")}


def run(chosen: Chosen, context: Context) -> None:
    """Print a shell's script, or the candidates for a half-typed line."""
    if chosen.line is not None:
        for word in candidates(chosen.line, context):
            context.data(word)
        return
    if chosen.shell is None:
        raise UsageError("For which shell? Type curedash completion bash, zsh or fish.")
    context.data(SCRIPTS[chosen.shell].rstrip("\n"))


COMMAND = Command(
    "completion",
    "Print a completion script for your shell.",
    "source <(curedash completion bash)",
    Word("shell", "the shell that you use", nargs="?", choices=tuple(SCRIPTS)),
    Word("--line", "print what could complete this line; for the script itself"),
    run=run,
)


def candidates(line: str, context: Context) -> list[str]:
    """What may stand at the end of a half-typed command line, as whole words."""
    try:
        words = shlex.split(line)
    except ValueError:
        return []
    typed = "" if line.endswith(" ") or not words else words[-1]
    before = words[1:] if not typed else words[1:-1]
    return sorted({word for word in _known(before, context) if word.startswith(typed)})


def _known(before: list[str], context: Context) -> list[str]:
    """Every word that fits after those already there."""
    plain = [word for word in before if not word.startswith("-")]
    if not plain:
        return [*VERBS, *GLOBALS]
    verb = plain[0]
    if verb not in VERBS:
        return []
    seconds = second_words(verb)
    if seconds and len(plain) == 1:
        return list(seconds)
    named = plain[:2] if seconds else plain[:1]
    if seconds and named[1] not in seconds:
        return []
    parser = parser_of(named)
    answers = _sizes() if (named, before[-1]) == (["label"], "--size") else ()
    answers = answers or parser.values_of(before[-1])
    if answers:
        return list(answers)
    found = [*parser.options(), *GLOBALS]
    kinds, at = parser.positionals(), len(plain) - len(named)
    return found + (_values(" ".join(named), kinds[at], context) if at < len(kinds) else [])


def _sizes() -> list[str]:
    from curedash.papers.sheet_sizes import SIZES

    return [size.id for size in SIZES]


def _values(command: str, kind: str, context: Context) -> list[str]:
    """What the file or the program knows of what a command's help calls ``lot``, ``place`` …"""
    if kind == "lot":
        return _lots(context)
    if kind == "place" or (command, kind) in ALSO_PLACES:
        return _places(context)
    if kind == "stage":
        from curedash.domain.curing.stages import STAGES

        return list(STAGES)
    return []


def _lots(context: Context) -> list[str]:
    if not os.path.exists(context.db_path):
        return []
    from curedash.store.rack import open_lots

    return [lot.code for lot in open_lots(context.open())]


def _places(context: Context) -> list[str]:
    if not os.path.exists(context.db_path):
        return []
    from curedash.services.places.places import all_of

    return [place.name for place in all_of(context.open())]
