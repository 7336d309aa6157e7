"""Picks the front: no word opens the dashboard, a word runs that command."""

import sys
from collections.abc import Callable
from datetime import datetime


def main(argv: list[str] | None = None) -> int:
    """Run curedash with these arguments (else the process's); the exit code."""
    from curedash.cli.dispatch import dispatch

    return dispatch(sys.argv[1:] if argv is None else argv, open_dashboard)


def open_dashboard(db_path: str, clock: Callable[[], datetime]) -> int:
    """Open the full-screen front; the screen library is loaded here and nowhere before."""
    from curedash.tui.app import run

    return run(db_path, clock)


if __name__ == "__main__":
    sys.exit(main())
