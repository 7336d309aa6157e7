"""Packs in lines and as documents: number, lots, weight, until when it keeps, for whom."""

from collections.abc import Mapping, Sequence
from datetime import date, tzinfo
from typing import Any

from curedash.domain.records import Pack
from curedash.domain.times import local_day
from curedash.present.display_units import mass
from curedash.present.drying.lot_phrases import pack_document
from curedash.present.weighing.on_scale import dated
from curedash.present.words import plain


def pack_lines(
    shown: Sequence[Pack], every: Sequence[Pack], codes: Mapping[int, str], zone: tzinfo
) -> list[str]:
    """A line a pack; a mixed one is one line with each lot's share.

    Parameters
    ----------
    every : all packs of the household, for the other parts of mixed ones
    codes : of lots, by id
    """
    firsts = dict.fromkeys(pack.mixed_with or pack.id for pack in shown)
    return [
        _line([p for p in every if first in (p.id, p.mixed_with)], codes, zone) for first in firsts
    ]


def _line(parts: Sequence[Pack], codes: Mapping[int, str], zone: tzinfo) -> str:
    first = parts[0]
    shares = [f"{codes[part.lot_id]} {mass(part.weight_g)}" for part in parts]
    whole = " + ".join(shares)
    if len(parts) > 1:
        whole += f" = {mass(sum(part.weight_g for part in parts))}"
    said = [f"{first.id:>4}  {whole}", f"packed {dated(local_day(first.at, zone))}"]
    if first.keep_until:
        said.append(f"keeps until {dated(date.fromisoformat(first.keep_until[:10]))}")
    if first.given_to:
        said.append(f"for {plain(first.given_to)}")
    if first.note:
        said.append(plain(first.note))
    return ", ".join(said)


def pack_documents(shown: Sequence[Pack], codes: Mapping[int, str]) -> list[dict[str, Any]]:
    """Packs as JSON, each part of a mixed one by itself."""
    return [{"lot": codes[pack.lot_id], **pack_document(pack), "note": pack.note} for pack in shown]
