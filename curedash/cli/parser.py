"""An argument parser whose complaints are one sentence with the way out."""

from __future__ import annotations

import argparse
import os

from curedash.domain.errors import UsageError

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import NoReturn


def _formatter(prog: str) -> argparse.HelpFormatter:
    """Help as wide as the terminal; asked here, since argparse would load shutil to ask."""
    try:
        width = int(os.environ.get("COLUMNS") or os.get_terminal_size().columns)
    except (OSError, ValueError):
        width = 80
    return argparse.RawDescriptionHelpFormatter(prog, width=max(40, min(width, 100)) - 2)


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

    def error(self, message: str) -> NoReturn:
        """Say what does not fit, in one sentence."""
        raise UsageError(f"{self.prog}: {message}; for example: {self.example}")
