"""``curedash completion``: scripts for bash, zsh and fish, and the candidates they ask for."""

import contextlib
import io
import os
import re
import shlex

from curedash.cli.context import Context
from curedash.cli.parser import Parser
from curedash.domain.errors import CuredashError, UsageError

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


def run(argv: list[str], context: Context) -> int:
    """Print a shell's script, or the candidates for a half-typed line."""
    parser = Parser(
        "completion",
        "Completion for a shell: load the script it prints.",
        "source <(curedash completion bash)",
    )
    parser.add_argument("shell", nargs="?", choices=tuple(SCRIPTS))
    parser.add_argument("--line", help="print what may stand at the end of this line")
    chosen = parser.parse_args(argv)
    if chosen.line is not None:
        for word in candidates(chosen.line, context):
            context.data(word)
        return 0
    if chosen.shell is None:
        raise UsageError("For which shell? Say curedash completion bash, zsh or fish.")
    context.data(SCRIPTS[chosen.shell].rstrip("\n"))
    return 0


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
    from curedash.cli.verbs import VERBS

    plain = [word for word in before if not word.startswith("-")]
    if not plain:
        return [*VERBS, *GLOBALS]
    verb = plain[0]
    if verb not in VERBS:
        return []
    second = subcommands(verb)
    if second and len(plain) == 1:
        return second
    named = plain[:2] if second else plain[:1]
    answers = values_of(named, before[-1])
    if answers:
        return answers
    found = [*options(named), *GLOBALS]
    kinds, at = positionals(named), len(plain) - len(named)
    return found + (_values(" ".join(named), kinds[at], context) if at < len(kinds) else [])


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


def positionals(words: list[str]) -> list[str]:
    """The words a command takes in their order, as its own help names them."""
    _, _, after = help_of(words).partition("\npositional arguments:\n")
    return re.findall(r"^  ([\w-]+)", after.partition("\n\n")[0], re.MULTILINE)


def subcommands(verb: str) -> list[str]:
    """The second words of a command that has them."""
    from curedash.cli.verbs import VERBS

    module = __import__(f"curedash.cli.{VERBS[verb][0]}", fromlist=["run"])
    return list(getattr(module, "SUBCOMMANDS", ()))


def options(words: list[str]) -> list[str]:
    """The options a command's own help lists."""
    return re.findall(r"(?<![\w-])--[a-z][a-z-]*", help_of(words))


def values_of(words: list[str], option: str) -> list[str]:
    """The few values an option takes; empty where it takes any or the word is none."""
    if words == ["label"] and option == "--size":
        from curedash.papers.sheet_sizes import SIZES

        return [size.id for size in SIZES]
    if not option.startswith("--"):
        return []
    found = re.search(rf"{re.escape(option)} \{{([^}}]+)\}}", " ".join(help_of(words).split()))
    return found[1].replace(" ", "").split(",") if found else []


def help_of(words: list[str]) -> str:
    """A command's help as text."""
    from curedash.cli.context import Globals
    from curedash.cli.verbs import VERBS

    module = __import__(f"curedash.cli.{VERBS[words[0]][0]}", fromlist=["run"])
    out = io.StringIO()
    with (
        contextlib.redirect_stdout(out),
        contextlib.redirect_stderr(io.StringIO()),
        contextlib.suppress(SystemExit, CuredashError),
    ):
        module.run([*words[1:], "--help"], Context(Globals(), lambda *_: 0))
    return out.getvalue()


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
