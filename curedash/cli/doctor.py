"""``curedash doctor``: the file, its copies, the clock, the room and the terminal looked over."""

import os
import sys

from curedash.cli.command import Chosen, Command, switch
from curedash.cli.context import Context
from curedash.domain.record import as_dict
from curedash.present.signs import sample_lines, set_for
from curedash.services.file.backup import sweep
from curedash.services.file.doctor import NOTHING_FOUND, Finding, examine
from curedash.services.household.preferences import load

SMALLEST = (40, 10)  # columns and rows below which the screens say so


def run(chosen: Chosen, context: Context) -> int:
    """One line a finding; exit 0 nothing to remark, 1 something is worth a look, 74 it is bad."""

    for piece in sweep(context.db_path) if chosen.sweep else ():
        context.err(f"removed {piece}")
    found = [*examine(context.db_path, context.now, thorough=chosen.thorough), _terminal()]
    if chosen.json:
        context.json([as_dict(finding) for finding in found])
    else:
        for f in found:
            sign = {NOTHING_FOUND: " ", "look": "·", "bad": "!"}[f.level]
            context.out(f"{sign} {f.what:<11} {f.found}" + (f". {f.advice}" if f.advice else ""))
        for line in _signs():
            context.out(f"  {line}")
    levels = {f.level for f in found}
    return 74 if "bad" in levels else 1 if "look" in levels else 0


COMMAND = Command(
    "doctor",
    "Check the file, the clock, the disk space, the copies and the terminal. Without --sweep "
    "it changes nothing.",
    "curedash doctor --thorough",
    switch("--thorough", "compare indexes, rows, log and a copy with each other"),
    switch("--sweep", "remove leftovers of interrupted programs next to the file"),
    switch("--json", "the findings as a JSON list"),
    run=run,
)


def _signs() -> list[str]:
    """A line of each set of signs; the set in use is named first."""

    used = set_for(load().signs)
    heads = (
        f"signs       {used} in use; if a row shows boxes or gaps, the terminal lacks its signs:"
    )
    return [heads, *sample_lines()]


def _terminal() -> "Finding":
    """What the dashboard would find in this terminal."""

    name = os.environ.get("TERM", "")
    if not sys.stdout.isatty():
        return Finding("terminal", NOTHING_FOUND, "none here (a pipe or a timer)")
    columns, rows = os.get_terminal_size(sys.stdout.fileno())
    encoding = (sys.stdout.encoding or "").lower().replace("-", "")
    words = f"{name or 'TERM is not set'}, {columns}×{rows}, {encoding}"
    if not name or name == "dumb":
        return Finding("terminal", "look", words, "The dashboard needs a terminal with a cursor.")
    if encoding != "utf8":
        return Finding("terminal", "look", words, "Set a UTF-8 locale, such as LANG=C.UTF-8.")
    if columns < SMALLEST[0] or rows < SMALLEST[1]:
        least = f"{SMALLEST[0]}×{SMALLEST[1]}"
        return Finding("terminal", "look", words, f"The dashboard needs at least {least}.")
    return Finding("terminal", NOTHING_FOUND, words)
