"""Every command of the shell: its module, what it does, and which of them may take a while."""

from __future__ import annotations

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Sequence
    from types import ModuleType

    from curedash.cli.parser import Parser

#: first word → module below curedash.cli and what it does, in the order of the help
VERBS: dict[str, tuple[str, str]] = {
    "lots": ("lots", "the Rack as lines or JSON"),
    "weigh": ("weigh", "record one weigh-in"),
    "dose": ("dose", "compute a dose without saving it"),
    "batch": ("batch", "add a batch with its doses, or pieces under way (batch add)"),
    "jar": ("jar", "own jars of curing salt, pre-mixes, labels"),
    "sheet": ("sheet", "the dose sheet of a lot: planned beside weighed"),
    "tick": ("tick", "tick an ingredient off the dose sheet"),
    "misdose": ("misdose", "record what really went in"),
    "answer": ("answer", "answer what a lot was asked: a value, or why it is unknown"),
    "turn": ("turn", "lots in cure were turned, stirred or overhauled"),
    "ph": ("ph", "log a pH; degree-hours of a ferment"),
    "freeze": ("freeze", "freezing pork against trichina, counted by its table"),
    "style": ("style", "the styles: list, show, copy, change"),
    "stage": ("stage", "move a lot to another stage"),
    "note": ("note", "write a note on a lot"),
    "photo": ("photo", "the photos of a lot, and whether they are there"),
    "look": ("look", "record what was felt, smelled or seen on a lot"),
    "rebase": ("rebase", "a weight that changed without drying: trimmed, larded, casing taken off"),
    "divide": ("divide", "divide a lot; the parts inherit its loss"),
    "opened": ("opened", "a lot was cut open: the cut face, and how it goes on"),
    "hold": ("hold", "pause the drying of a lot, or go on"),
    "move": ("move", "hang a lot in another place"),
    "discard": ("discard", "throw a lot away, with the reason"),
    "finish": ("finish", "the end of a lot: final weight, liking, packs"),
    "pack": ("pack", "packs of a lot, or one mixed of several; without words every pack"),
    "void": ("void", "void a weigh-in"),
    "swap": ("swap", "two weigh-ins entered for each other's lot"),
    "correct": ("correct", "correct a weigh-in, start weight, green weight or tare"),
    "book": ("book", "finished lots and what was learned from them"),
    "history": ("history", "what was done, by whom, when and from where"),
    "check": ("check", "what needs you, one line each; exit 0, 1 today, 2 act"),
    "place": ("place", "add or list places"),
    "air": ("air", "record readings of a place"),
    "sensor": ("sensor", "sensors: offsets, the salt test"),
    "watch": ("watch", "look every minute and run your command on new alerts"),
    "service": ("service", "let watcher, listener and a mail run by themselves"),
    "rules": ("rules", "list or change the alert rules"),
    "settings": ("settings", "units, look, zone, rule set, scales, copies: list or change"),
    "undo": ("undo", "undo the last change"),
    "forecast": ("forecast", "the pull window and how it was computed"),
    "cure-time": ("cure_time", "days in the cure by diffusion and by rules of thumb"),
    "backup": ("backup", "a consistent copy of the file, now"),
    "restore": ("restore", "list the copies, or restore one; the present file is saved too"),
    "doctor": ("doctor", "look over the file, its copies, the clock, the terminal"),
    "label": ("label", "tags for lots, as text or PDF"),
    "dose-sheet": ("dose_sheet", "the tick-off list of a dose, to print"),
    "record": ("record", "the whole record of a lot or batch, to lay before somebody"),
    "calendar": ("calendar", "a calendar file for the phone"),
    "handover": ("handover", "a page for your stand-in"),
    "page": ("page", "a web page for the phone: needs, Rack, every curve"),
    "away": ("away", "days nobody is at home, and what they mean for each lot"),
    "plan": ("plan", "when to salt so that it is ready by a day"),
    "export": ("export", "everything, lossless: JSON or CSV tables"),
    "import": ("import_", "everything back, or a sheet of weigh-ins or pieces"),
    "completion": ("completion", "completion of words for bash, zsh or fish"),
    "demo": ("demo", "an invented household to try things in"),
}

#: the groups of the help, the most used first → their commands
GROUPS: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("Every day", ("lots", "weigh", "check", "note", "look", "photo", "undo", "history")),
    (
        "Salting",
        (
            "batch",
            "dose",
            "sheet",
            "tick",
            "misdose",
            "answer",
            "turn",
            "jar",
            "style",
            "plan",
            "cure-time",
            "freeze",
        ),
    ),
    (
        "A lot's life",
        (
            "stage",
            "ph",
            "forecast",
            "move",
            "hold",
            "rebase",
            "divide",
            "opened",
            "finish",
            "pack",
            "discard",
            "correct",
            "void",
            "swap",
            "book",
        ),
    ),
    ("Places", ("place", "air", "sensor", "watch", "service", "rules")),
    (
        "Paper, phone and days away",
        ("label", "dose-sheet", "record", "calendar", "handover", "away", "page"),
    ),
    (
        "The file",
        ("settings", "backup", "restore", "doctor", "export", "import", "completion", "demo"),
    ),
)

#: what may take longer than a second with many lots or a large file, and counts nothing
SLOW = frozenset(
    (
        "label",
        "dose-sheet",
        "record",
        "handover",
        "calendar",
        "page",
        "away",
        "backup",
        "restore",
        "doctor",
    )
)


def module_of(verb: str) -> ModuleType:
    """The module of a command: it has ``run``, and ``parser`` or ``PARSERS``."""
    return __import__(f"curedash.cli.{VERBS[verb][0]}", fromlist=["run"])


def second_words(verb: str) -> tuple[str, ...]:
    """The second words of a command that has them."""
    return tuple(getattr(module_of(verb), "PARSERS", ()))


def parser_of(words: Sequence[str]) -> Parser:
    """What a command takes, by its first word and, where it has several, its second."""
    module = module_of(words[0])
    parsers = getattr(module, "PARSERS", None)
    made: Parser = module.parser() if parsers is None else parsers[words[1]]()
    return made


def help_of(words: Sequence[str]) -> str:
    """A command's help as text."""
    return parser_of(words).format_help()
