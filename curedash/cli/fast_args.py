"""The plainest command lines, read without the option parser, whose import costs a third of them.

Anything else (help, values behind an option, mistakes) is left to the parser of the command.
"""

from __future__ import annotations

from collections.abc import Sequence

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import Any


class Chosen:
    """What was chosen, as the option parser would hand it back."""

    if TYPE_CHECKING:

        def __getattr__(self, name: str) -> Any: ...

        def __setattr__(self, name: str, value: Any) -> None: ...

    def __init__(self, **values: Any) -> None:
        self.__dict__.update(values)


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
