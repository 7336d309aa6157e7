"""From the words of a command line to one command module and an exit code."""

import sys
from collections.abc import Callable
from errno import EBADF
from io import TextIOWrapper

from curedash.cli.command import Command
from curedash.cli.context import Context, Dashboard, Globals, talk, visible
from curedash.cli.verbs import GROUPS, SLOW, VERBS, command_of, parser_of
from curedash.domain.errors import (
    Changed,
    CuredashError,
    Doubtful,
    FileTrouble,
    NoteWanted,
    NotFound,
    Refused,
    Unclear,
    UsageError,
)
from curedash.store.work import stored

OK, USAGE, DOUBT, MISSING, BUG, STORED, FILE, INTERRUPTED = 0, 64, 65, 66, 70, 73, 74, 130


def dispatch(argv: list[str], dashboard: Dashboard) -> int:
    """Run one command line and map what goes wrong to one sentence and an exit code.

    ``dashboard`` opens the full-screen front when no command is given.
    """
    opened: list[str] = []
    before = stored()
    try:
        code = _run(argv, dashboard, opened)
        sys.stdout.flush()
        return code
    except CuredashError as trouble:
        return _refused(trouble, stored_more=stored() > before)
    except KeyboardInterrupt:
        if stored() > before:
            talk("Interrupted; what was asked for is saved.")
        return INTERRUPTED
    except BrokenPipeError:
        _close_pipe()
        return OK
    except SystemExit as leaving:
        return leaving.code if isinstance(leaving.code, int) else OK
    except OSError as trouble:
        return _not_printed(trouble, stored_more=stored() > before)
    except (OverflowError, RecursionError) as beyond:
        if stored() > before:
            return _unexpected(beyond, opened)
        what = "A number or date is too large or too small to compute with"
        deep = "Something is nested too deeply to be read"
        talk(f"{what if isinstance(beyond, OverflowError) else deep}; nothing was saved.")
        return DOUBT
    except Exception as bug:
        return _bug(bug, opened, stored_more=stored() > before)


def _refused(trouble: CuredashError, *, stored_more: bool) -> int:
    """What the program itself refuses, with the way out."""
    if isinstance(trouble, FileTrouble) and stored_more:
        from curedash.store.file_trouble import without_denial

        return _stored_but(without_denial(trouble))
    talk(visible(_with_way_out(trouble)))
    return exit_code(trouble)


def _bug(bug: Exception, opened: list[str], *, stored_more: bool) -> int:
    """What nobody thought of; what was asked for may be stored before it."""
    code = _unexpected(bug, opened)
    if not stored_more:
        return code
    talk("What was asked for is saved.")
    return STORED if code == FILE else code


def _not_printed(trouble: OSError, *, stored_more: bool) -> int:
    """A file that could not be read, or standard output that took no more."""
    _close_pipe()
    why = f"{trouble.filename}: " if trouble.filename else "Not everything could be printed: "
    why += f"{trouble.strerror or trouble}."
    if stored_more:
        return _stored_but(why)
    talk(visible(why))
    return FILE


def _stored_but(why: str) -> int:
    """It is stored, so nobody may do it again; but something that follows from it went wrong."""
    talk(visible(f"It is saved, but a later step failed: {why}"))
    return STORED


class _Closed:
    """Standard output that the shell closed: what is printed there is not printed."""

    def write(self, _text: str) -> int:
        raise OSError(EBADF, "standard output is closed")

    def flush(self) -> None:
        """Nothing waits."""

    def isatty(self) -> bool:
        return False

    def fileno(self) -> int:
        raise OSError(EBADF, "standard output is closed")


def _stand_in() -> None:
    """Something for each stream that the shell closed; no file may be opened in its place."""
    import os

    for number, name in enumerate(("stdin", "stdout", "stderr")):
        if getattr(sys, name) is not None:
            continue
        try:
            os.fstat(number)
        except OSError:
            os.open(os.devnull, os.O_RDWR)
        if name == "stdout":
            sys.stdout = _Closed()
        else:
            setattr(sys, name, open(os.devnull, "r" if number == 0 else "w"))  # noqa: SIM115


def _run(argv: list[str], dashboard: Dashboard, opened: list[str]) -> int:
    """Do what the words say; ``opened`` takes the file's name, should something go wrong."""
    if None in (sys.stdin, sys.stdout, sys.stderr):
        _stand_in()
    for stream in (sys.stdout, sys.stderr):  # a sign the terminal lacks is not a reason to fail
        if isinstance(stream, TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")
    words, chosen = split_globals(argv)
    _require_text(words, argv)
    if chosen.version:
        from curedash import __version__

        print(f"curedash {__version__}")
        return OK
    if chosen.json_schema:
        from curedash.cli.json_schema import schema_text

        print(schema_text(), end="")
        return OK
    if words and words[0] in ("help", "-h", "--help"):
        words = [*words[1:], "--help"] if words[1:] else []
        chosen.help = not words
    if chosen.help:
        print(help_text())
        return OK
    verb, words, command = words[:1], words[1:], None
    if verb:
        command, words = _command(verb[0], words)
    _take_view()
    context = Context(chosen, dashboard)
    opened.append(context.db_path)
    if command is None:
        return dashboard(context.db_path, context.clock)
    if verb[0] in SLOW:
        context.works(verb[0])
    try:
        return command(words, context)
    finally:
        context.close()


def _take_view() -> None:
    """Quantities in the units this person chose, if there is such a file."""
    import os

    from curedash.store.paths import view_file

    if not os.path.exists(view_file()):
        return
    from curedash.present.display_units import show_in
    from curedash.services.household.preferences import load

    view = load()
    for trouble in view.troubles:
        talk(visible(trouble))
    show_in(*view.shown())


def _require_text(words: list[str], argv: list[str]) -> None:
    """Refuse bytes that are no text before they reach the file or the terminal.

    The name of a file may have bytes of any kind; no argument of a process holds anything else.
    """
    for checked, errors in ((words, "strict"), (argv, "surrogateescape")):
        for word in checked:
            try:
                word.encode(errors=errors)
                good = "\0" not in word
            except UnicodeEncodeError:
                good = False
            if not good:
                raise UsageError(f"“{word[:40]}” is not UTF-8 text.")


def exit_code(trouble: CuredashError) -> int:
    """The documented exit code of a refusal."""
    if isinstance(trouble, UsageError):
        return USAGE
    if isinstance(trouble, (Refused, Doubtful)):
        return DOUBT
    if isinstance(trouble, NotFound):
        return MISSING
    if isinstance(trouble, FileTrouble):
        return FILE
    return BUG


def _with_way_out(trouble: CuredashError) -> str:
    """The sentence of a refusal; behind a question what happened and what answers it."""
    if not isinstance(trouble, Doubtful) or isinstance(trouble, Unclear):
        return str(trouble)
    from curedash.domain.quantity_text import phrase

    if isinstance(trouble, Changed) and trouble.newest is not None:
        said = "{question} Nothing was saved. To save it anyway, give the command again."
        return phrase(said, question=str(trouble))
    keeps = "--note with a reason, or --yes" if isinstance(trouble, NoteWanted) else "--yes"
    ends = "{question}" if str(trouble).endswith((".", "?", "!")) else "{question}."
    said = ends + " Nothing was saved. To save it anyway, give {keeps}."
    return phrase(said, question=str(trouble), keeps=keeps)


def split_globals(argv: list[str]) -> tuple[list[str], Globals]:
    """Take --db, --now, --plain, --version out of the words, wherever they stand.

    A word like -1.5C or -2.5g is a value: it gets a leading space, which the option parser
    passes on and the parsers of quantities strip.
    """
    chosen = Globals()
    words: list[str] = []
    rest = iter(argv)
    for word in rest:
        if word == "--exec":  # what follows is somebody else's command line
            return [*words, word, *rest], chosen
        name, given, value = word.partition("=")
        if name in _EXAMPLES:
            if not given:
                value = next(rest, "")
            if not value or (not given and value[0] == "-"):
                raise UsageError(
                    f"{name} takes a value, e.g. {_EXAMPLES[name]}, not “{value[:40]}”."
                    if value
                    else f"{name} needs a value, e.g. {_EXAMPLES[name]}."
                )
            chosen.set(name[2:], value)
        elif word in ("--version", "-V") and not words:
            chosen.version = True
        elif word in ("--help", "-h") and not words:
            chosen.help = True
        elif word == "--plain":
            chosen.plain = True
        elif word == "--json-schema" and not words:
            chosen.json_schema = True
        elif len(word) > 1 and word[0] == "-" and word[1] in "0123456789.":
            words.append(" " + word)
        else:
            words.append(word)
    return words, chosen


_EXAMPLES = {
    "--db": "--db kitchen.db",
    "--now": "--now 2026-11-20T18:00",
    "--scale-from": "--scale-from /dev/ttyUSB0",
}


def _command(verb: str, words: list[str]) -> tuple[Callable[[list[str], Context], int], list[str]]:
    """What the first word, and where there are such the second, asks for; the words behind."""
    if verb not in VERBS:
        raise UsageError(f"There is no command “{verb[:40]}”; {_meant(verb)}")
    found = command_of(verb)
    if isinstance(found, Command):
        return found, words
    if not words:
        if isinstance(found.alone, str):
            raise UsageError(found.alone)
        return found.alone, words
    second, *rest = words
    known = found.commands.get(second)
    return (_group(verb, second, tuple(found.commands)), []) if known is None else (known, rest)


def _group(verb: str, second: str, seconds: tuple[str, ...]) -> Callable[[list[str], Context], int]:
    """Help for a command of several, or what was probably meant by an unknown second word."""
    if second not in ("-h", "--help"):
        from curedash.cli.nearest import or_else
        from curedash.domain.wording import listed

        others = listed((f"{verb} {word}" for word in seconds), "or")
        meant = or_else(second, seconds, f"choose {others}.", f"{verb} ")
        raise UsageError(f"There is no “{verb} {second[:40]}”; {meant}")

    def show(_argv: list[str], context: Context) -> int:
        context.out(f"curedash {verb}: {VERBS[verb]}\n")
        for word in seconds:
            context.out(f"  {verb} {word}\n      {parser_of([verb, word]).description}")
        context.out("\nEach takes --help.")
        return OK

    return show


#: what people call a command that has another name here
CALLED = {
    "tag": "label",
    "tags": "label",
    "ls": "lots",
    "list": "lots",
    "rack": "lots",
    "show": "lots",
    "status": "lots",
    "alerts": "check",
    "needs": "check",
    "ready": "forecast",
    "when": "forecast",
}


def _meant(verb: str) -> str:
    """The command that was probably meant, as the end of a sentence."""
    if verb in CALLED:
        return f"did you mean “{CALLED[verb]}”?"
    from curedash.cli.nearest import or_else

    known = (*VERBS, "--version", "--help", "--json-schema")
    return or_else(verb, known, "'curedash --help' lists them.")


def help_text() -> str:
    """The commands and the options every command takes."""
    lines = [
        "curedash tracks each piece of dry-cured meat from salting to slicing.",
        "",
        "usage: curedash [--db FILE] [--now TIME] [COMMAND …]",
        "",
        "Without a command it opens the dashboard. 'curedash help weigh' explains one command.",
        *(line for title, verbs in GROUPS.items() for line in _group_lines(title, verbs)),
        "",
        "Options before a command",
        "  --db FILE   the household's file (else CUREDASH_DB, else the user data folder)",
        "  --now TIME  use this as the current time (else CUREDASH_NOW, else the clock)",
        "  --scale-from PORT  the dashboard takes weights from a scale there (else CUREDASH_SCALE)",
        "  --plain     for screen readers: one paragraph per record, nothing cut off or drawn"
        " (else CUREDASH_PLAIN)",
        "  --version   print the version",
        "  --json-schema  the JSON Schema of what the commands print with --json",
        "",
        "Exit codes: 0 ok, 64 usage, 65 refused or doubtful, 66 no such lot, place or file,",
        "70 a bug, 73 saved, but something after that could not be written or printed,",
        "74 file cannot be read or written, 130 interrupted; check: 1 today, 2 now;",
        "doctor: 1 something needs a look.",
    ]
    return "\n".join(lines)


def _group_lines(title: str, verbs: dict[str, str]) -> list[str]:
    return ["", title, *(f"  {verb:<11}{words}" for verb, words in verbs.items())]


def _unexpected(bug: Exception, opened: list[str]) -> int:
    """A driver error or a damaged file is a file error; anything else is a bug, logged."""
    path = opened[0] if opened else "the file"
    if type(bug).__module__ == "sqlite3":
        from curedash.store.file_trouble import translate_error

        talk(visible(str(translate_error(bug, path))))  # type: ignore[arg-type]
        return FILE
    if opened and _is_damaged(path):
        from curedash.store.file_trouble import damaged

        talk(visible(str(damaged(path))))
        return FILE
    from curedash.cli.trace import keep_trace

    kept = keep_trace(bug)
    talk(f"Something went wrong inside curedash; the details are in {kept}.")
    return BUG


def _is_damaged(path: str) -> bool:
    """Whether the household file, not the program, is what is wrong."""
    try:
        from curedash.services.file.doctor import is_damaged

        return is_damaged(path)
    except Exception:  # asked after a fault: a second one must not hide the first
        return False


def _close_pipe() -> None:
    """The reader of a pipe left, or its disk is full: the interpreter must not complain at exit."""
    import os

    try:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    except (OSError, ValueError):
        return
