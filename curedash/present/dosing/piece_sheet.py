"""A sheet of pieces under way in words and as JSON."""

from datetime import date, tzinfo
from typing import Any

from curedash.domain.times import local_day, utc_text
from curedash.domain.wording import count, facts, listed
from curedash.present.display_units import length, mass, money
from curedash.present.numbers import parts, rounded, rounded_parts
from curedash.present.words import day, plain, stage
from curedash.services.dosing.add_batch import SourceSpec
from curedash.services.dosing.take_in_sheet import PieceSheet, SheetPiece


def piece_line(found: SheetPiece, zone: tzinfo) -> str:
    """``line 2  A1  Eye front  air-dried beef  in cure since 21 Nov  Fridge 2  60 mm``."""
    piece, own = found.piece, found.own
    code = "" if found.lot is None else found.lot.code
    parts = [
        f"line {found.number}",
        code,
        plain(piece.name),
        plain(found.style.name) + (", new" if found.new_style else ""),
        f"{stage(own.stage)} since {day(local_day(utc_text(own.since), zone))}",
        plain(own.place or ""),
        "in a bag" if own.in_bag else "",
        "" if piece.thickness_mm is None else length(piece.thickness_mm),
        "" if piece.green_g is None else f"{mass(piece.green_g)} green",
        "" if piece.weight_g is None else f"{mass(piece.weight_g)} now",
        "" if own.planned_on is None else f"planned {day(own.planned_on)}",
        "" if found.roast is None else roast_words(found.roast),
    ]
    return "  ".join(part for part in parts if part)


def roast_words(roast: SourceSpec) -> str:
    """``of Saturday's eye, market, 38.20 EUR, use by 2 Dec``."""
    return facts(
        f"of {plain(roast.name)}",
        plain(roast.shop or ""),
        "" if roast.price is None else money(roast.price, roast.currency),
        "" if roast.pack_date is None else f"packed {day(date.fromisoformat(roast.pack_date))}",
        "" if roast.use_by is None else f"use by {day(date.fromisoformat(roast.use_by))}",
    )


def piece_sheet_end(found: PieceSheet) -> str:
    """How it ended, in one sentence."""
    pieces = count(len(found.pieces), "piece")
    if found.stored:
        return f"{pieces} added."
    if found.again:
        lines = count(len(found.again), "line is a lot", "lines are lots")
        codes = listed([code for _number, code in found.again])
        return f"Nothing saved: {lines} already, {codes}. Give --yes to add the sheet again."
    if found.problems:
        lines = count(len(found.problems), "line")
        return f"Nothing saved: correct {lines} and give the sheet again."
    return f"{pieces} would be added; nothing saved."


def piece_sheet_document(found: PieceSheet) -> dict[str, Any]:
    """A sheet as JSON."""
    return {
        "saved": found.stored,
        "pieces": [_document(piece) for piece in found.pieces],
        "problems": [{"line": p.number, "message": p.words} for p in found.problems],
        "already": [{"line": number, "lot": code} for number, code in found.again],
    }


def _document(found: SheetPiece) -> dict[str, Any]:
    piece, own = found.piece, found.own
    return {
        "line": found.number,
        "lot": None if found.lot is None else found.lot.code,
        "piece": piece.name or None,
        "style": found.style.id,
        "stage": own.stage,
        "since": utc_text(own.since),
        **parts(own, "place", "in_bag"),
        **rounded_parts(piece, "thickness_mm", "green_g"),
        "gross_g": rounded(piece.weight_g),
        "tare_g": rounded(piece.tare_g),
        "planned_on": None if own.planned_on is None else own.planned_on.isoformat(),
    }
