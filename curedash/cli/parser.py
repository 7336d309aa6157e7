"""An argument parser whose complaints are one sentence with the way out."""

import argparse
from typing import NoReturn

from curedash.domain.errors import UsageError


class Parser(argparse.ArgumentParser):
    """argparse, never leaving by itself but for --help, and never abbreviating options."""

    def __init__(self, verb: str, about: str, example: str) -> None:
        super().__init__(
            prog=f"curedash {verb}",
            description=about,
            epilog=f"example: {example}",
            allow_abbrev=False,
            formatter_class=argparse.RawDescriptionHelpFormatter,
        )
        self.example = example

    def error(self, message: str) -> NoReturn:
        """Say what does not fit, in one sentence."""
        raise UsageError(f"{self.prog}: {message}; for example: {self.example}")
