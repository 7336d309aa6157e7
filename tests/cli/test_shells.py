"""Completion, in the shells themselves: a terminal, a half-typed word and the Tab key."""

import fcntl
import os
import pty
import select
import signal
import struct
import sys
import termios
from contextlib import closing
from pathlib import Path
from time import monotonic

import pyte
import pytest

from curedash.cli.completion import SCRIPTS, candidates
from curedash.cli.context import Context, Globals
from curedash.cli.verbs import VERBS
from curedash.services.places.places import add_place
from curedash.store.open import open_db
from curedash.store.work import By

#: how to start each without anybody's own files, and how it takes the script in
STARTS = {
    "bash": (["bash", "--norc", "--noprofile", "-i"], "source <(curedash completion bash)"),
    "zsh": (
        ["zsh", "-f", "-i"],
        "autoload -Uz compinit; compinit -u -D; source <(curedash completion zsh)",
    ),
    "fish": (["fish", "--no-config", "-i"], "curedash completion fish | source"),
}


class Shell:
    """A shell in a terminal of 100 columns, and what it shows."""

    def __init__(self, name: str, home: Path) -> None:
        words, load = STARTS[name]
        here = os.path.dirname(sys.executable)
        env = {
            "PATH": f"{here}:/usr/bin:/bin",
            "HOME": str(home),
            "TERM": "xterm",
            "PS1": "$ ",
            "LANG": "C.UTF-8",
            "LC_ALL": "C.UTF-8",
            "CUREDASH_DB": "h.db",
        }
        self.screen = pyte.Screen(100, 30)
        self.stream = pyte.ByteStream(self.screen)
        self.running, self.ours = pty.fork()  # a session with a terminal of its own
        if not self.running:
            os.chdir(home)
            os.execvpe(words[0], words, env)
        fcntl.ioctl(self.ours, termios.TIOCSWINSZ, struct.pack("HHHH", 30, 100, 0, 0))
        self.type(load + "; echo rea''dy\r", "\nready")

    def type(self, text: str, wanted: str, within_s: float = 20.0) -> str:
        """Type, and read until the screen shows what is wanted."""
        os.write(self.ours, text.encode())
        end = monotonic() + within_s
        while wanted not in (shown := "\n".join(line.rstrip() for line in self.screen.display)):
            assert monotonic() < end, shown
            if select.select([self.ours], [], [], 0.2)[0]:
                piece = os.read(self.ours, 65536)
                self.stream.feed(piece)
                if b"\x1b[c" in piece or b"\x1b[0c" in piece:  # "what terminal are you?"
                    os.write(self.ours, b"\x1b[?62;c")
        return shown

    def end(self) -> None:
        os.kill(self.running, signal.SIGKILL)
        os.waitpid(self.running, 0)
        os.close(self.ours)


@pytest.mark.parametrize(
    "name",
    [
        "bash",
        pytest.param("zsh", marks=pytest.mark.external("zsh")),
        pytest.param("fish", marks=pytest.mark.external("fish")),
    ],
)
def test_tab_completes_commands_second_words_and_options(name: str, tmp_path: Path) -> None:
    with closing(open_db(str(tmp_path / "h.db"), create=True)) as conn:
        add_place(conn, By("2026-11-25T18:00:00Z", "anna", "shell", "s"), "Fridge 2")
    shell = Shell(name, tmp_path)
    try:
        shell.type("curedash wei\t", "curedash weigh")
        shell.type("C2 100 --without-t\t", "--without-tare")
        shell.type("\x15curedash jar prem\t", "curedash jar premix")
        shell.type("\x15curedash air add Fri\t", "curedash air add Fridge\\ 2")
    finally:
        shell.end()


def offered(line: str) -> set[str]:
    """What completion offers at the end of a line."""
    return set(candidates(line, Context(Globals(), lambda *_: 0)))


def test_every_shell_has_a_script() -> None:
    assert set(STARTS) == set(SCRIPTS)


def test_every_command_is_offered() -> None:
    assert set(VERBS) <= offered("curedash ")


@pytest.mark.parametrize("verb", VERBS)
def test_every_flag_of_every_command_is_offered(verb: str) -> None:
    """The flags are those the option parser itself was given."""
    from curedash.cli.verbs import second_words

    for second in second_words(verb) or [""]:
        words = [verb, second] if second else [verb]
        flags = flags_of(words)
        assert "--help" in flags
        missing = flags - offered(f"curedash {' '.join(words)} --")
        assert missing == set(), words


def flags_of(words: list[str]) -> set[str]:
    """The long options a command's parser knows, whether its help shows them or not."""
    import argparse

    from curedash.__main__ import main

    seen: set[str] = set()
    usual = argparse.ArgumentParser.parse_known_args

    def spy(self: argparse.ArgumentParser, *args: object, **kwargs: object) -> object:
        seen.update(o for o in self._option_string_actions if o.startswith("--"))
        return usual(self, *args, **kwargs)  # type: ignore[arg-type]

    argparse.ArgumentParser.parse_known_args = spy  # type: ignore[assignment]
    try:
        assert main([*words, "--help"]) == 0
    finally:
        argparse.ArgumentParser.parse_known_args = usual  # type: ignore[method-assign]
    return seen
