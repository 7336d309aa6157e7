"""The dose sheet of a lot in lines and as a document: what is in, what is still to weigh, when."""

from collections.abc import Sequence
from typing import Any

from curedash.domain.dosing.request import Scale
from curedash.domain.facts.cautions import cautions_for
from curedash.domain.records import DoseLine
from curedash.domain.wording import listed
from curedash.present.display_units import retold
from curedash.present.dosing import doses
from curedash.present.dosing.dose_weights import dose_words, line_division
from curedash.present.dosing.sheet_lines import sheet_decimals
from curedash.present.numbers import parts, signed
from curedash.present.weighing.green import green_phrase
from curedash.present.words import count, moment_words, plain, stage
from curedash.services.dosing.dose_sheet import DoseSheet
from curedash.services.dosing.misdose import KeptMisDose


def sheet_lines(sheet: DoseSheet) -> list[str]:
    """The sheet as the shell prints it."""
    lot = sheet.lot
    piece = f" {plain(lot.piece)}" if lot.piece else ""
    lines = [f"{lot.code}{piece}: {plain(lot.batch_name)}, {green_phrase(lot)}, {stage(lot.stage)}"]
    if not sheet.lines:
        return [*lines, "  no dose sheet"]
    scales = () if sheet.planned is None else sheet.planned.request.shelf_of_scales
    decimals = sheet_decimals(sheet.lines, scales)
    lines += [f"  {sheet_line(line, sheet, decimals, scales)}" for line in sheet.lines]
    lines.append(f"  {open_words(sheet)}")
    if sheet.inside is not None:
        box = sheet.planned is not None and sheet.planned.request.method == "salt-box"
        lines.append(f"  in it: {doses.contents_words(sheet.inside, box=box)}")
    if sheet.went_in is not None:
        lines += [f"  - {plain(retold(text))}" for text in sheet.went_in.messages]
    for event in sheet.misdoses:
        lines.append(
            f"  wrong dose {moment_words(event.at, sheet.zone)}: {plain(retold(event.text))}"
        )
    if sheet.raw_pork and lot.stage in ("raw", "in-cure"):
        lines += [f"  - {plain(text)}" for text in cautions_for("raw-pork")]
    return lines + [f"  {line}" for line in _cure_lines(sheet)]


def sheet_line(
    line: DoseLine, sheet: DoseSheet, decimals: int, scales: Sequence[Scale] = ()
) -> str:
    """One ingredient: ``[x] curing salt  2.8 g  weighed 2.8 g, 25 Nov 18:03``."""
    mark = "x" if line.ticked_at is not None else " "
    size = line_division(line, scales)
    planned = dose_words(line.planned_g, size, decimals)
    start = f"[{mark}] {plain(line.name)[:40]:<40} {planned:>11}"
    if line.ticked_at is None or line.weighed_g is None:
        return f"{start}   to weigh"
    differs = abs(line.weighed_g - line.planned_g) > 1e-9
    sign = f" ({signed(line.weighed_g - line.planned_g)} g)" if differs else ""
    when = moment_words(line.ticked_at, sheet.zone)
    return f"{start}   weighed {dose_words(line.weighed_g, size, decimals)}{sign}, {when}"


def open_words(sheet: DoseSheet) -> str:
    """Whether everything is in."""
    still = [plain(line.name) for line in sheet.open_lines]
    if not still:
        return "everything is ticked off"
    return f"{count(len(still), 'line')} to tick off: {listed(still)}"


def sheet_document(sheet: DoseSheet) -> dict[str, Any]:
    """The sheet as JSON."""
    lot = sheet.lot
    return {
        "lot": lot.code,
        **parts(lot, "batch", "stage", "green_g"),
        "lines": [line_document(line) for line in sheet.lines],
        "open": len(sheet.open_lines),
        "planned": None
        if sheet.planned is None
        else doses.contents_document(sheet.planned.contents),
        "inside": None if sheet.inside is None else doses.contents_document(sheet.inside),
        "verdict": today_verdict(lot.dose_verdict),
        "messages": [] if sheet.went_in is None else list(sheet.went_in.messages),
        "misdoses": [{"at": event.at, "text": event.text} for event in sheet.misdoses],
        "turned_at": [event.at for event in sheet.turned],
        **parts(sheet, "turn_every_days", "cure_air"),
    }


def today_verdict(kept: str | None) -> str | None:
    """A verdict as it is called today; of an older one it is not known what was compared.

    Example
    -------
    >>> today_verdict("ok"), today_verdict("caution")
    ('not-checked', 'caution')
    """
    return "not-checked" if kept == "ok" else kept


def line_document(line: DoseLine) -> dict[str, Any]:
    """One ingredient of a sheet."""
    return {
        **parts(line, "name", "kind"),
        "exact_g": round(line.exact_g, 6),
        **parts(line, "planned_g", "weighed_g", "ticked_at"),
    }


def misdose_lines(kept: KeptMisDose, *, saved: bool = True) -> list[str]:
    """The bench of a lot, and whether it is saved as what went in."""
    how = "saved as what went in" if saved else "nothing is saved yet"
    return [f"{kept.lot.code}: {how}", *doses.bench_lines(kept.bench)]


def misdose_document(kept: KeptMisDose) -> dict[str, Any]:
    """A mis-dose as JSON."""
    return {"lot": kept.lot.code, **doses.bench_document(kept.bench), "verdict": kept.dose.verdict}


def _cure_lines(sheet: DoseSheet) -> list[str]:
    if sheet.lot.stage != "in-cure":
        return []
    lines = [] if sheet.cure_air is None else [retold(sheet.cure_air)]
    if sheet.turn_every_days is not None:
        last = sheet.turned[-1].at if sheet.turned else None
        when = "not yet" if last is None else f"last {moment_words(last, sheet.zone)}"
        lines.append(f"turn every {sheet.turn_every_days:g} d, {when}")
    return lines
