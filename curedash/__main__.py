"""Picks the front: no word opens the dashboard, a word runs that command."""

import sys


def main(argv: list[str] | None = None) -> int:
    """Run curedash with these arguments (else the process's); the exit code."""
    from curedash.cli.dispatch import dispatch

    return dispatch(sys.argv[1:] if argv is None else argv)


if __name__ == "__main__":
    sys.exit(main())
