"""Picks the front: no word opens the dashboard, a word runs that command."""

import gc
import os
import sys
from collections.abc import Callable
from datetime import datetime

OBJECTS_BEFORE_COLLECTING = 50_000  # records make no cycles; the usual 700 is looked at in vain


def main(argv: list[str] | None = None) -> int:
    """Run curedash with these arguments (else the process's, which then ends); the exit code."""
    gc.set_threshold(OBJECTS_BEFORE_COLLECTING)
    from curedash.cli.dispatch import dispatch

    code = dispatch(sys.argv[1:] if argv is None else argv, open_dashboard)
    if argv is None:
        leave(code)
    return code


def leave(code: int) -> None:
    """End the process at once: the file is closed and what was said is out.

    Taking a hundred modules apart one by one would cost a tenth of a shell command.
    """
    try:  # dispatch has flushed it and worded what went wrong
        sys.stdout.flush()
    except (AttributeError, OSError, ValueError):
        code = code or 74
    os._exit(code)


def open_dashboard(db_path: str, clock: Callable[[], datetime]) -> int:
    """Open the full-screen front; the screen library is loaded here and nowhere before."""
    from curedash.tui.app import run

    return run(db_path, clock)


if __name__ == "__main__":
    sys.exit(main())
