"""Packs of a lot that is keeping or finished, its own or mixed with slices of other lots."""

from collections.abc import Callable, Sequence
from typing import Any

from curedash.domain.record import record
from curedash.domain.records import LotState
from curedash.domain.typed_shares import names_lots, typed_shares
from curedash.present.view import mass
from curedash.present.words import count, plain
from curedash.services.packs import NewPack, Share, add_packs, mix_pack, shares_of
from curedash.tui.lot_typed import sum_words, weights_in, words, words_or_none
from curedash.tui.page import Page
from curedash.tui.questions import Save, Steps, Text

HELP = "e.g. 180 180 210; one pack with other lots: {code} 120 D1 80"


@record
class Filling:
    """What was typed of packs: a weight each, or what each lot gives to one mixed pack."""

    grams: tuple[float, ...]
    shares: tuple[Share, ...]
    words: str

    @property
    def total_g(self) -> float:
        """Of the one mixed pack [g]."""
        return sum(share.weight_g for share in self.shares)


def filling(page: Page, lot: LotState | None, question: str, *, needed: bool = True) -> Steps:
    """Ask for weights, or for lots with their weights; None for ``lot`` asks for lots alone."""

    def read(text: str) -> Filling:
        typed = words(text) if needed else text
        if lot is None or names_lots(typed):
            shares = page.house.read(lambda conn: shares_of(conn, typed, lot))
            parts = typed_shares(typed, None if lot is None else lot.code)
            return Filling((), shares, " + ".join(f"{code} {mass(g)}" for code, g in parts))
        grams = weights_in(typed)
        return Filling(grams, (), sum_words(grams) if grams else "")

    example = "e.g. C2 120 D1 80" if lot is None else HELP.format(code=lot.code)
    help = example if needed else f"Enter: none; {example}"
    return (yield Text(question, read, help, _echo))


def _echo(found: Any) -> str:
    if found.shares:
        return f"one mixed pack of {mass(found.total_g)}: {found.words}"
    return str(found.words)


def mixing_job(shares: Sequence[Share], new: NewPack) -> Save:
    """One pack out of several lots, in one change."""
    return Save(
        lambda said: lambda conn, by: mix_pack(conn, by, shares, new, sure=said is not None)
    )


def packing(page: Page, lot: LotState) -> Steps:
    """Packs of this lot, or one pack with slices of other lots too."""
    filled = yield from filling(page, lot, f"{lot.code}: net weight of each pack")
    yield from _kept(page, lot, filled)


def mixing(page: Page, codes: Sequence[str]) -> Steps:
    """One pack out of these lots: how much of each."""
    filled = yield from filling(page, None, f"one pack of {', '.join(codes)}: how much of each")
    yield from _kept(page, None, filled)


def _kept(page: Page, lot: LotState | None, filled: Filling) -> Steps:
    name = yield Text("for whom", words_or_none, "Enter: nobody yet")
    until = yield Text("keep until", _until(page), "a day; Enter: by your rule, if you have one")
    at = page.house.now()
    if lot is None or filled.shares:
        yield mixing_job(filled.shares, NewPack(filled.total_g, at, until, name))
        said = f"One mixed pack of {mass(filled.total_g)}: {filled.words}"
    else:
        new = [NewPack(g, at, until, name) for g in filled.grams]
        yield Save(
            lambda said: lambda conn, by: add_packs(conn, by, lot.id, new, sure=said is not None)
        )
        said = f"{count(len(new), 'pack')}: {filled.words}"
    page.say(f"{said}{f', for {plain(name)}' if name else ''}. u takes it back.", "good")


def _until(page: Page) -> Callable[[str], Any]:
    from curedash.domain.typed_dates import parse_day

    return lambda text: parse_day(text, page.house.now(), page.house.zone) if text else None
