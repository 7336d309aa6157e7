"""A command of the shell: the words it takes, said once, and what it does with them.

The plainest command lines are read without the option parser, whose import costs a third of them;
anything else (help, values behind an option, mistakes) is left to it.
"""

from __future__ import annotations

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from typing import Any

    from curedash.cli.context import Context
    from curedash.cli.parser import Parser


class Chosen:
    """What was chosen, as the option parser hands it back."""

    if TYPE_CHECKING:

        def __getattr__(self, name: str) -> Any: ...

        def __setattr__(self, name: str, value: Any) -> None: ...

    def __init__(self, **values: Any) -> None:
        self.__dict__.update(values)


class Word:
    """One word or option as its help shows it, what it is, and how argparse reads it.

    Behind a blank is what help calls its value (``--tare WEIGHT``), behind a slash a second name.
    """

    __slots__ = ("how", "names")

    def __init__(self, shown: str, about: str, **how: Any) -> None:
        names, _, value = shown.partition(" ")
        self.names = names.split("/")
        self.how = {"help": about, **({"metavar": value} if value else {}), **how}

    def add_to(self, parser: Any) -> None:
        """Let an option parser, or a group of it, read it."""
        parser.add_argument(*self.names, **self.how)


class Either:
    """Options of which one at most is given."""

    __slots__ = ("words",)

    def __init__(self, *words: Word) -> None:
        self.words = words

    def add_to(self, parser: Parser) -> None:
        """Let an option parser read them."""
        group = parser.add_mutually_exclusive_group()
        for word in self.words:
            word.add_to(group)


def switch(name: str, about: str) -> Word:
    """An option that is given or not."""
    return Word(name, about, action="store_true")


def several(shown: str, about: str, **how: Any) -> Word:
    """An option that may be given again and again."""
    return Word(shown, about, action="append", **how)


class Command:
    """What one command takes and does; from it follow help, completion, manual and docs.

    ``run`` gives the exit code, or nothing for 0; ``reads`` reads the words before the option
    parser is asked, or gives None.
    """

    __slots__ = ("about", "example", "reads", "run", "takes", "verb")

    def __init__(
        self,
        verb: str,
        about: str,
        example: str,
        *takes: Word | Either,
        run: Callable[[Chosen, Context], int | None],
        reads: Callable[[list[str]], Chosen | None] | None = None,
    ) -> None:
        self.verb, self.about, self.example = verb, about, example
        self.takes, self.run, self.reads = takes, run, reads

    def parser(self) -> Parser:
        """Its option parser."""
        from curedash.cli.parser import Parser

        made = Parser(self.verb, self.about, self.example)
        for one in self.takes:
            one.add_to(made)
        return made

    def read(self, argv: list[str]) -> Chosen:
        """What the words behind it choose."""
        quick = None if self.reads is None else self.reads(argv)
        if quick is not None:
            return quick
        chosen: Chosen = self.parser().parse_args(argv)
        return chosen

    def __call__(self, argv: list[str], context: Context) -> int:
        """Read the words and do it; the exit code."""
        return self.run(self.read(argv), context) or 0


class Group:
    """A command of several, chosen by its second word; ``alone`` is said, or done, without one."""

    __slots__ = ("alone", "commands")

    def __init__(self, alone: str | Command, *commands: Command) -> None:
        self.alone = alone
        self.commands = {each.verb.partition(" ")[2]: each for each in commands}


LOT = Word("lot", "code of the lot, e.g. D1")
PLACE = Word("place", "name of the place, e.g. 'Fridge 2'")
AT = Word("--at", "when (default: now)")
YES = switch("--yes", "save it even if it looks doubtful")
JSON = switch("--json", "one JSON document on stdout")
WENT_IN = (
    several("--given NAME=WEIGHT", "what really went in, e.g. curing-salt=7g; repeatable"),
    Word("--given-salt ID", "the curing salt really used, e.g. no1"),
    Word("--lost-liquid WEIGHT", "liquid that leaked from the bag, e.g. 60g"),
)
JSON_ARRAY = switch("--json", "one JSON array on stdout")
JSON_LOT = switch("--json", "the lot as 'lots --json' lists it")
JSON_BARE = switch("--json", "print JSON on stdout, for programs")


def plain(argv: Sequence[str], flags: Sequence[str], **usual: Any) -> Chosen | None:
    """Read words made of nothing but known flags; None if there is anything else.

    Parameters
    ----------
    argv : the words after the command
    flags : the options that take no value, without their dashes
    usual : values of everything else when it is not given

    Example
    -------
    >>> plain(["--json"], ["json"], base="hang").json
    True
    >>> plain(["--base", "green"], ["json"], base="hang") is None
    True
    """
    chosen = Chosen(**usual, **{_name(flag): False for flag in flags})
    for word in argv:
        if word[:2] != "--" or word[2:] not in flags:
            return None
        setattr(chosen, _name(word[2:]), True)
    return chosen


def plain_words(argv: Sequence[str], flags: Sequence[str], **usual: Any) -> Chosen | None:
    """The same for a command that also takes words; they are in ``words``.

    Example
    -------
    >>> plain_words(["C2", "1071", "--yes"], ["yes"]).words
    ['C2', '1071']
    """
    words = [word for word in argv if word[:1] != "-"]
    chosen = plain([word for word in argv if word[:1] == "-"], flags, **usual)
    if chosen is not None:
        chosen.words = words
    return chosen


def _name(flag: str) -> str:
    return flag.replace("-", "_")
