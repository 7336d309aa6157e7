"""An argument parser whose complaints are one sentence with the way out."""

from __future__ import annotations

import argparse
import os

from curedash.cli.examples import MORE
from curedash.domain.errors import Refused, UsageError

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import Any, NoReturn


def _whole_number(text: str) -> int:
    """What ``type=int`` means here: within 64 bits, refused with a sentence."""
    from curedash.domain.typed.numbers import whole_number

    try:
        return whole_number(text)
    except Refused as why:
        raise argparse.ArgumentTypeError(str(why).rstrip(".")) from None


def _formatter(prog: str) -> argparse.HelpFormatter:
    """Help as wide as the terminal; asked here, since argparse would load shutil to ask."""
    try:
        width = int(os.environ.get("COLUMNS") or os.get_terminal_size().columns)
    except (OSError, ValueError):
        width = 80
    return Formatter(prog, width=max(40, min(width, 100)) - 2)


class Formatter(argparse.RawDescriptionHelpFormatter):
    """Help that is the same under every version of Python."""

    def _format_action_invocation(self, action: argparse.Action) -> str:
        """``-o, --output FILE``, as newer versions say it."""
        if not action.option_strings or action.nargs == 0:
            return super()._format_action_invocation(action)
        value = self._format_args(action, self._get_default_metavar_for_optional(action))
        return f"{', '.join(sorted(action.option_strings, key=len))} {value}"


class Parser(argparse.ArgumentParser):
    """argparse, never leaving by itself but for --help, and never abbreviating options."""

    def __init__(self, verb: str, about: str, example: str) -> None:
        super().__init__(
            prog=f"curedash {verb}",
            description=about,
            epilog=f"example: {example}",
            allow_abbrev=False,
            formatter_class=_formatter,
        )
        self.example = example
        self._more = MORE.get(verb)
        self.register("type", int, _whole_number)

    def format_help(self) -> str:
        """The help, with a second example before the first where there is one."""
        text = super().format_help()
        if self._more is None:
            return text
        before, _, first = text.rpartition("\nexample: ")
        return f"{before}\nalso: {self._more}\nexample: {first}"

    def parse_args(self, args: Any = None, namespace: Any = None) -> Any:
        """Read the words; one that may be left out is found behind the options too.

        argparse takes it as left out at the first option: ``correct A1 --weigh-in 7 1431``.
        """
        try:
            return super().parse_args(args, namespace)
        except UsageError as why:
            if not any(a.nargs in ("?", "*") for a in self._get_positional_actions()):
                raise
            try:
                return self.parse_intermixed_args(args, namespace)
            except (UsageError, TypeError):
                raise why from None

    # ── what it takes, for help, completion and the docs ──────────────────────────────────

    def options(self) -> list[str]:
        """Its long options."""
        return [name for name in self._option_string_actions if name.startswith("--")]

    def positionals(self) -> list[str]:
        """The words it takes without an option, in their order, as its help calls them."""
        return [str(one.metavar or one.dest) for one in self._get_positional_actions()]

    def values_of(self, option: str) -> list[str]:
        """The few values an option takes; empty where it takes any, or is none of its own."""
        action = self._option_string_actions.get(option)
        return [] if action is None else [str(value) for value in action.choices or ()]

    def error(self, message: str) -> NoReturn:
        """Say what does not fit, in one sentence, with the option that was probably meant."""
        raise UsageError(f"{self.prog}: {message}; {self._way_out(message)}")

    def _way_out(self, message: str) -> str:
        """The option that was probably meant, else an example."""
        example = f"for example: {self.example}"
        about, unknown, words = message.partition("unrecognized arguments: ")
        if about or not unknown or not words.startswith("--"):
            return example
        from curedash.cli.nearest import or_else

        return or_else(words.split()[0].partition("=")[0], self._option_string_actions, example)
