"""Every command of the shell: its group, what it does, and which of them may take a while."""

from __future__ import annotations

from curedash.cli.command import Command

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Sequence

    from curedash.cli.command import Group
    from curedash.cli.parser import Parser

#: the groups of the help, the most used first → their commands, and what each does
GROUPS: dict[str, dict[str, str]] = {
    "Every day": {
        "lots": "the Rack as lines or JSON",
        "weigh": "record one weigh-in",
        "check": "what needs you, one line each; exit 0, 1 today, 2 now",
        "note": "write a note on a lot",
        "look": "record what was felt, smelled or seen on a lot",
        "photo": "the photos of a lot, and whether each file is still there",
        "undo": "undo the last change",
        "history": "what was done, by whom, when and from where",
    },
    "Salting": {
        "batch": "add a batch with its doses, or pieces under way (batch add)",
        "dose": "compute a dose without saving it",
        "sheet": "the dose sheet of a lot: planned beside weighed",
        "tick": "tick an ingredient off the dose sheet",
        "misdose": "record what really went in",
        "answer": "answer an open question about a lot, or give why it is unknown",
        "turn": "record that lots in cure were turned, stirred or overhauled",
        "jar": "own jars of curing salt, pre-mixes, labels",
        "style": "styles: list, show, copy, change",
        "plan": "when to salt so that it is ready by a day",
        "cure-time": "days in the cure by diffusion and by rules of thumb",
        "freeze": "log a freezing of pork against trichina, by the official table",
    },
    "A lot's life": {
        "stage": "move a lot to another stage",
        "ph": "log a pH; degree-hours of a ferment",
        "forecast": "the pull window and how it was computed",
        "move": "hang a lot in another place",
        "hold": "pause the drying of a lot, or resume it",
        "rebase": "record a weight that changed without drying: trimmed, casing off",
        "divide": "divide a lot; the parts inherit its loss",
        "opened": "record that a lot was cut open: its cut face, and what next",
        "finish": "finish a lot: final weight, liking, packs",
        "pack": "record packs of a lot, or a mixed pack; or list every pack",
        "price": "what the roast of a lot cost, also said afterwards",
        "discard": "throw a lot away, with the reason",
        "correct": "correct a weigh-in, hang weight, green weight or tare",
        "void": "void a weigh-in",
        "swap": "swap two weigh-ins entered for the wrong lots",
        "book": "finished lots and what was learned from them",
    },
    "Places": {
        "place": "add or list places",
        "air": "record readings of a place",
        "sensor": "sensors: offsets, the salt test",
        "watch": "check every minute and run your command on new alerts",
        "service": "run the watcher, the listener and a daily mail as services",
        "rules": "list or change the alert rules",
    },
    "Paper, phone and days away": {
        "label": "tags for lots, as text or PDF",
        "dose-sheet": "the tick-off list of a dose, to print",
        "record": "the whole record of a lot or batch, to print or send",
        "calendar": "a calendar file for the phone",
        "handover": "a page for your stand-in",
        "away": "days nobody is at home, and what they mean for each lot",
        "page": "a web page for the phone: needs, Rack, every curve",
    },
    "The file": {
        "settings": "units, look, zone, rule set, scales, copies: list or change",
        "backup": "copy the file now",
        "restore": "list the copies, or restore one; the present file is saved too",
        "doctor": "check the file, its copies, the clock and the terminal",
        "export": "export everything: JSON, or CSV tables",
        "import": "import an export, or a sheet of weigh-ins or pieces",
        "completion": "tab completion for bash, zsh or fish",
        "demo": "a demo household to try things in",
    },
}
#: every first word → what it does
VERBS = {verb: words for group in GROUPS.values() for verb, words in group.items()}

#: what may take longer than a second with many lots or a large file, and counts nothing
SLOW = frozenset(
    (
        *("label", "dose-sheet", "record", "handover", "calendar"),
        *("page", "away", "backup", "restore", "doctor"),
    )
)


def command_of(verb: str) -> Command | Group:
    """What the module of a command declares."""
    name = verb.replace("-", "_") + ("_" if verb == "import" else "")
    found: Command | Group = __import__(f"curedash.cli.{name}", fromlist=["COMMAND"]).COMMAND
    return found


def second_words(verb: str) -> tuple[str, ...]:
    """The second words of a command that has them."""
    found = command_of(verb)
    return () if isinstance(found, Command) else tuple(found.commands)


def parser_of(words: Sequence[str]) -> Parser:
    """What a command takes, by its first word and, where it has several, its second."""
    found = command_of(words[0])
    return (found if isinstance(found, Command) else found.commands[words[1]]).parser()


def help_of(words: Sequence[str]) -> str:
    """A command's help as text."""
    return parser_of(words).format_help()
