"""A sheet of weigh-ins in words and as JSON."""

from typing import Any

from curedash.domain.times import utc_text
from curedash.domain.typed.csv_sheet import SheetProblem
from curedash.present.numbers import rounded_parts
from curedash.present.weighing.weigh_line import loss_words, net_words
from curedash.present.words import count, plain
from curedash.services.weighing.import_sheet import Sheet, SheetLine


def sheet_line(line: SheetLine) -> str:
    """``line 2  C2  2026-11-20  1043 g net (1071 − 28 tare)  32.0 % lost from hang``."""
    seen = line.seen
    lost = "" if seen.loss_pct is None else f"  {loss_words(seen, seen.base)}"
    return f"line {line.number}  {line.lot.code}  {line.at:%Y-%m-%d}  {net_words(seen)}{lost}"


def problem_line(problem: SheetProblem) -> str:
    """``line 7: There is no lot “Q9” …``."""
    return f"line {problem.number}: {plain(problem.words)}"


def sheet_end(found: Sheet, *, dry: bool) -> str:
    """How it ended, in one sentence."""
    weighed = count(len(found.lines), "weigh-in")
    if found.kept and found.known:
        return f"{weighed} saved, {len(found.known)} in the file already."
    if found.kept:
        return f"{weighed} saved."
    faults = sum(not problem.doubt for problem in found.problems)
    if faults:
        return f"Nothing saved: correct {count(faults, 'line')} and import the sheet again."
    if found.problems:
        doubts = count(len(found.problems), "doubtful line")
        return f"Nothing saved: {doubts}; --yes saves them, flagged."
    if not dry:
        return "Nothing saved."
    if found.known:
        return f"{weighed} would be saved, {len(found.known)} in the file already."
    return f"{weighed} would be saved."


def sheet_document(found: Sheet) -> dict[str, Any]:
    """A sheet as JSON."""
    return {
        "saved": found.kept,
        "weigh_ins": [
            {
                "line": line.number,
                "lot": line.lot.code,
                "at": utc_text(line.at),
                **rounded_parts(line.seen, "gross_g", "tare_g", "net_g", "loss_pct"),
                "base": line.seen.base,
                "flagged": line.seen.doubts[0].kind if line.seen.doubts else None,
            }
            for line in found.lines
        ],
        "known_lines": list(found.known),
        "problems": [
            {"line": p.number, "message": p.words, "doubt": p.doubt} for p in found.problems
        ],
    }
