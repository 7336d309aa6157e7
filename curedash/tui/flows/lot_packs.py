"""Packs of a lot that is keeping or finished, its own or mixed with slices of other lots."""

from collections.abc import Sequence
from datetime import date, datetime
from typing import Any

from curedash.domain.record import record
from curedash.domain.records import LotState, Pack
from curedash.domain.typed.shares import names_lots, shares_with_units, typed_shares
from curedash.domain.wording import by_number, listed
from curedash.present.display_units import bare, mass, typed_weight
from curedash.present.words import count, day, plain
from curedash.services.find import lot_with_id
from curedash.services.household import packs as pack_shelf
from curedash.services.household.packs import NewPack, Share
from curedash.services.needs.cautions import cautions_once
from curedash.store.watching import Connection
from curedash.tui.chassis.page import Page
from curedash.tui.prompts.lot_typed import example, sum_words, weights_in, words, words_or_none
from curedash.tui.prompts.questions import Save, Steps, Text, if_any, or_none, save, save_or_doubt

NOT_PACKED = "nothing was packed"


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


def filling(
    page: Page,
    lot: LotState | None,
    question: str,
    *,
    needed: bool = True,
    whole_g: float | None = None,
    help: str = "",
) -> Steps:
    """Ask for weights, or for lots with their weights; None for ``lot`` asks for lots alone.

    ``whole_g`` is what the lot weighs at the end that is being put together [g net].
    """

    def read(text: str) -> Filling:
        typed = words(text) if needed else text
        if lot is None or names_lots(typed):
            typed = shares_with_units(typed, None if lot is None else lot.code, typed_weight)
            shares = page.house.read(pack_shelf.shares_of, typed, lot)
            parts = typed_shares(typed, None if lot is None else lot.code)
            return Filling((), shares, " + ".join(f"{code} {mass(g)}" for code, g in parts))
        grams = weights_in(typed, whole_g)
        return Filling(grams, (), sum_words(grams) if grams else "")

    def doubt(found: Filling) -> str | None:
        return page.house.read(_outweighed, lot, found, whole_g)

    return (yield Text(question, read, help or _help(lot), _echo, doubt=doubt, what="the weights"))


def _help(lot: LotState | None) -> str:
    """Examples in the units shown."""
    if lot is None:
        return f"e.g. C2 {bare(120)} D1 {bare(80)}"
    mixed = f"{lot.code} {bare(120)} D1 {bare(80)}"
    return f"{example(180, 180, 210)}; one pack with other lots: {mixed}"


def _outweighed(
    conn: Connection, lot: LotState | None, found: Filling, whole_g: float | None
) -> str | None:
    """The first lot whose packs would weigh more than it does."""
    for share in found.shares:
        here = lot is not None and share.lot_id == lot.id
        known = lot_with_id(conn, share.lot_id)
        doubt = pack_shelf.outweighed(conn, known, share.weight_g, whole_g if here else None)
        if doubt is not None:
            return doubt
    if lot is None or not found.grams:
        return None
    return pack_shelf.outweighed(conn, lot, sum(found.grams), whole_g)


def _echo(found: Any) -> str:
    if found.shares:
        return f"one mixed pack of {mass(found.total_g)}: {found.words}"
    return str(found.words)


def mixing_job(shares: Sequence[Share], new: NewPack) -> Save:
    """One pack out of several lots, in one change."""
    return save_or_doubt(pack_shelf.mix_pack, shares, new, yes="sure")


def caution_once(lot: LotState | None, *moments: str) -> Save:
    """The cautions of these moments, each once to each person while the batch is there."""
    batch = None if lot is None else lot.batch_id
    return save(cautions_once, *moments, batch_id=batch)


def packing(page: Page, lot: LotState) -> Steps:
    """Packs of this lot, or one pack with slices of other lots too."""
    pack_shelf.require_ended(lot)
    known = page.house.read(pack_shelf.packs_of, lot.id)
    nobodys = [pack for pack in known if not pack.given_to]
    filled = yield from filling(
        page,
        lot,
        f"{lot.code}: net weight of each pack",
        needed=not nobodys,
        help=f"Enter: say who gets {weights_of(nobodys)}; {_help(lot)}" if nobodys else "",
    )
    if nobodys and not (filled.grams or filled.shares):
        yield from _given(page, lot, nobodys)
    else:
        yield from _kept(page, lot, filled)


def weights_of(packs: Sequence[Pack]) -> str:
    """``350, 375 g``: packs that there are."""
    *more, last = (pack.weight_g for pack in packs)
    return ", ".join((*map(bare, more), mass(last)))


def _given(page: Page, lot: LotState, packs: Sequence[Pack]) -> Steps:
    """Who gets packs that were for nobody yet."""
    name = yield for_whom(Filling(tuple(pack.weight_g for pack in packs), (), ""))
    if name is None:
        page.show_message("No name was typed; the packs are for nobody yet.")
        return
    names = zip(packs, pack_shelf.names_for(name, len(packs)), strict=True)
    to = {pack.id: whom or "" for pack, whom in names}
    yield save(pack_shelf.give, to)
    cautions = yield caution_once(lot, "sharing")
    said = f"{count(len(packs), 'pack')} of {lot.code}, for {plain(name)}."
    page.done(said, *cautions)


def mixing(page: Page, codes: Sequence[str]) -> Steps:
    """One pack out of these lots: how much of each."""
    filled = yield from filling(page, None, f"one pack of {listed(codes)}: how much of each")
    yield from _kept(page, None, filled)


def for_whom(filled: Filling, keeps: str = "") -> Text:
    """Who gets the packs: one name for all, or as many names; ``keeps`` is what Enter writes."""

    def echo(text: str | None) -> str:
        names = pack_shelf.names_for(text, len(filled.grams))
        if text is None or len(names) < 2:
            return ""
        if len(set(names)) == 1:
            return f"all {len(names)} packs for {plain(text)}{keeps}"
        each = zip(names, filled.grams, strict=True)
        return "one each: " + ", ".join(f"{plain(name or '')} {mass(g)}" for name, g in each)

    usual = by_number(
        len(filled.grams),
        f"Enter: nobody yet{keeps}",
        f"Enter: nobody yet; one name for all, or one per pack{keeps}",
    )

    def read(text: str) -> str | None:
        name = words_or_none(text)
        pack_shelf.names_for(name, len(filled.grams))
        return name

    return Text("for whom", read, usual, echo)


def new_packs(
    filled: Filling, at: datetime, name: str | None, until: date | None = None
) -> tuple[NewPack, ...]:
    """The packs of one lot, each for whom it is."""
    names = pack_shelf.names_for(name, len(filled.grams))
    return tuple(NewPack(g, at, until, whom) for g, whom in zip(filled.grams, names, strict=True))


def _kept(page: Page, lot: LotState | None, filled: Filling) -> Steps:
    name = yield for_whom(filled)
    until = yield Text(
        "keep until",
        or_none(page.house.day),
        "a day; Enter: by your rule, if you have one",
        if_any(lambda on: day(on, page.house.today())),
    )
    at = page.house.now()
    if lot is None or filled.shares:
        yield mixing_job(filled.shares, NewPack(filled.total_g, at, until, name))
        said = f"One mixed pack of {mass(filled.total_g)}: {filled.words}"
    else:
        new = new_packs(filled, at, name, until)
        yield save_or_doubt(pack_shelf.add_packs, lot.id, new, yes="sure")
        said = f"{count(len(new), 'pack')}: {filled.words}"
    cautions = yield caution_once(lot, "slicing", *(["sharing"] if name else []))
    for_ = f", for {plain(name)}" if name else ""
    page.done(f"{said}{for_}.", *cautions)
