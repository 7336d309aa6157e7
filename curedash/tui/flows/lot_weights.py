"""Weights that change without drying, and those kept wrong, question by question."""

from collections.abc import Callable, Sequence
from datetime import datetime
from typing import Any

from curedash.domain.errors import Refused
from curedash.domain.record import replace
from curedash.domain.records import LotState
from curedash.domain.typed.weights import parse_weight_g
from curedash.domain.weighing.doubts import Doubt
from curedash.domain.weighing.rebase_reasons import REASONS, REMOVED, TARE, kind_of
from curedash.present.display_units import estimate_example, mass, tare_example, typed_weight
from curedash.present.drying.lot_phrases import divided_lines, rebased_line
from curedash.present.weighing.green import green_words
from curedash.present.weighing.tare_typed import weight_and_words
from curedash.present.words import percent, plain
from curedash.services.drying.opened import doubt_of as before_doubt
from curedash.services.weighing.correct import correct_green, correct_start, put_tare_right
from curedash.services.weighing.divide import Cut, Part, divide, doubt_of, just_weighed_g, outcome
from curedash.services.weighing.rebase import Rebasing, much_off, rebase
from curedash.tui.chassis.page import Page
from curedash.tui.prompts import lot_typed as typed
from curedash.tui.prompts.lot_typed import words
from curedash.tui.prompts.questions import (
    Choice,
    Steps,
    Text,
    picks,
    save,
    save_or_doubt,
    save_with,
)

OWN_WORDS = "other words"
USUAL_REASONS = {
    REMOVED: ("end tasted", "trimmed", "pieces taken off"),
    TARE: (
        "casing off",
        "net off",
        "larded",
        "lard off",
        "pasted",
        "paste off",
        "re-bagged",
        "re-tied",
    ),
}
MOST_CHOICES = 9
LEAST_SHOWN_G = 0.05
NOT_DIVIDED = "nothing was divided"


def rebasing(page: Page, lot: LotState) -> Steps:
    """Meat taken off, or something else put on or taken off; before and after."""
    kind = yield Choice(
        f"{lot.code}: its weight changed without drying",
        ((REMOVED, "meat was taken off"), (TARE, "something that is not meat")),
    )
    reason = yield from _reason(kind)
    at = page.house.now()
    before = yield Text(
        f"{reason}: before, on the scale",
        typed.grams_or_none(lot),
        f"with everything on it; Enter: the weigh-in just taken{typed.last_words(lot)}",
        typed.net_echo(lot),
        what="the weight",
        doubt=lambda grams: page.house.read(before_doubt, lot, grams, at),
    )
    first = lot.last_gross_g if before is None else before
    after = yield Text(
        f"{reason}: after, on the scale",
        lambda text: typed.grams_of(lot, text),
        _kept_words(kind, lot),
        _after_echo(lot, kind, first),
        what="the weight",
        doubt=lambda grams: None if first is None else much_off(lot, first, grams),
    )
    what = Rebasing(reason, after, at, before_g=before, kind=kind)
    if kind == REMOVED and lot.count > 1:
        left = yield Text(f"how many of the {lot.count} pieces are left", _count, "Enter: all")
        what = replace(what, count=left)
    if kind == TARE:
        worn = yield Text(
            "what hangs with the meat now",
            typed.words_or_none,
            "Enter: no change; to add words press End first",
            text=plain(lot.tare_what or ""),
        )
        what = replace(what, tare_what=worn)
    done = yield save_with(rebase, lot.id, what)
    page.done(f"{rebased_line(done)}.")


def _reason(kind: str) -> Steps:
    """One of the usual reasons, or a person's own words."""
    options = (*picks(USUAL_REASONS[kind]), (None, OWN_WORDS))
    reason = yield Choice("what", options)
    if reason is None:
        reason = yield Text(
            "what, in your words",
            lambda text: kind_of(words(text), _kind(text, kind))[1],
            "a few words for the log",
        )
    return reason


def _kind(text: str, kind: str) -> str:
    """A known reason keeps its own kind."""
    return REASONS.get(" ".join(text.casefold().split()), kind)


def _kept_words(kind: str, lot: LotState) -> str:
    base = "green" if lot.hang_g is None else "hang"
    return (
        f"the {base} weight is adjusted"
        if kind == REMOVED
        else "the tare is adjusted, the loss stays"
    )


def _after_echo(lot: LotState, kind: str, first: float | None) -> Callable[[Any], str]:
    def echo(grams: Any) -> str:
        if first is None:
            return f"{mass(grams)}"
        change = grams - first
        if kind == REMOVED:
            return f"{mass(-change)} of meat off, {mass(grams - lot.tare_g)} net left"
        return f"tare {mass(lot.tare_g)} → {mass(lot.tare_g + change)}"

    return echo


def _count(text: str) -> int | None:
    if not text:
        return None
    if not (text.isascii() and text.isdecimal() and 1 <= int(text) <= 10_000):
        raise Refused("A number of pieces, or Enter.")
    return int(text)


def dividing(page: Page, lot: LotState) -> Steps:
    """Cut into parts; each goes on with the loss, one that is eaten closes."""
    at = page.house.now()

    def odd(cut: Cut, *, weighed: bool, tares: bool) -> Doubt | None:
        return page.house.read(doubt_of, lot, cut, weighed=weighed, tares=tares or not lot.tare_g)

    grams = yield Text(
        f"divide {lot.code}: each part, on the scale",
        lambda text: _parts(text, lot),
        f"{typed.example(400, 280)}; the parts take its place, each as dry as the whole",
        typed.sum_words,
        doubt=lambda grams: odd(_cut(grams, at), weighed=False, tares=False),
        what="the weights",
    )
    before = yield Text(
        "the whole before the cut, on the scale",
        typed.grams_or_none(lot),
        _whole_words(lot, at),
        typed.net_echo(lot),
        what="the weight",
        doubt=lambda before: odd(_cut(grams, at, before), weighed=True, tares=False),
    )
    cut = _cut(grams, at, before)
    if lot.tare_g:
        tares = yield Text(
            "tare (hook, net, string)",
            _each(len(grams)),
            f"Enter: nothing; one for all or one each; the whole had {mass(lot.tare_g)}",
            lambda tares: _net_words(_with_tares(cut, tares, lot)),
            what="the tare",
            doubt=lambda tares: typed.question_of(
                odd(_with_tares(cut, tares, lot), weighed=True, tares=True)
            ),
        )
        cut = _with_tares(cut, tares, lot)
    cut = yield from _eaten_and_named(lot, cut, grams)
    done = yield save_with(divide, lot.id, cut)
    page.done(f"{'; '.join(divided_lines(done))}.")


def _parts(text: str, lot: LotState) -> tuple[float, ...]:
    found = typed.weights_in(text, lot.last_gross_g)
    if len(found) < 2:
        raise Refused(f"The weights of two parts or more, {typed.example(400, 280)}.")
    return found


def _eaten_and_named(lot: LotState, cut: Cut, grams: Sequence[float]) -> Steps:
    """Which part is eaten now, and what the parts are called."""
    if len(grams) < MOST_CHOICES:
        parts = [(n, f"the {mass(g)} part") for n, g in enumerate(grams)]
        eaten = yield Choice(
            "are you eating one of the parts now?", ((None, "no, all go on"), *parts), usual=0
        )
        cut = _with(cut, [{"eaten": n == eaten} for n in range(len(grams))])
    names = yield Text(
        "names, with commas", _names(len(grams)), f"Enter: as the whole; {_kept(lot, cut)}"
    )
    return _with(cut, [{"name": name} for name in names])


def _cut(grams: Sequence[float], at: datetime, before_g: float | None = None) -> Cut:
    return Cut(tuple(map(Part, grams)), at, before_g=before_g, reason="divided")


def _with(cut: Cut, more: Sequence[dict[str, Any]]) -> Cut:
    """The cut with something more known of each part."""
    parts = zip(cut.parts, more, strict=True)
    return replace(cut, parts=tuple(replace(part, **known) for part, known in parts))


def _with_tares(cut: Cut, tares: Sequence[float], lot: LotState) -> Cut:
    worn = [{"tare_g": g, "tare_what": lot.tare_what if g else None} for g in tares]
    return _with(cut, worn)


def _whole_words(lot: LotState, at: datetime) -> str:
    if just_weighed_g(lot, at) is None:
        return f"Enter: nothing was trimmed off{typed.last_words(lot, 'last ')}"
    return f"Enter: the weigh-in just taken{typed.last_words(lot)}"


def _net_words(cut: Cut) -> str:
    return f"{typed.sum_words([part.weight_g - part.tare_g for part in cut.parts])} net"


def _kept(lot: LotState, cut: Cut) -> str:
    """What Enter will write, in a line."""
    nets, trimmed_g, loss_pct = outcome(lot, cut)
    off = f", {mass(round(trimmed_g, 1))} off" if trimmed_g > LEAST_SHOWN_G else ""
    lost = "" if loss_pct is None else f", {percent(loss_pct)} lost"
    return f"keeps {' + '.join(mass(g) for g in nets)}{off}{lost}"


def _each(number_of_parts: int) -> Callable[[str], tuple[float, ...]]:
    def read(text: str) -> tuple[float, ...]:
        if not text or text.strip() == "0":
            return (0.0,) * number_of_parts
        words = text.split()
        found = (
            tuple(0.0 if word == "0" else parse_weight_g(typed_weight(word)) for word in words)
            if "0" in words
            else typed.weights_in(text)
        )
        if len(found) == 1:
            return found * number_of_parts
        if len(found) != number_of_parts:
            raise Refused(f"One weight for all, or one for each of the {number_of_parts} parts.")
        return found

    return read


def _names(number_of_parts: int) -> Callable[[str], tuple[str | None, ...]]:
    def read(text: str) -> tuple[str | None, ...]:
        given = [name.strip() or None for name in text.split(",")] if text else []
        if len(given) > number_of_parts:
            raise Refused(f"At most {number_of_parts} names, separated by commas.")
        return tuple(given + [None] * (number_of_parts - len(given)))

    return read


def taring(page: Page, lot: LotState) -> Steps:
    """The tare was never what was kept: weights taken with it follow."""

    def echo(found: Any) -> str:
        return f"tare {mass(lot.tare_g)} → {mass(found[0])}; weights taken with it are recomputed"

    known = f"now: {mass(lot.tare_g)} {plain(lot.tare_what or '')}".rstrip()
    tare_g, what = yield Text(
        f"{lot.code}: tare corrected",
        _some_tare,
        f"{known}; e.g. {tare_example()}; 0: nothing",
        echo,
    )
    yield save(put_tare_right, lot.id, tare_g, what=what or None)
    page.done(f"{lot.code}: tare is {mass(tare_g)}.")


def _some_tare(text: str) -> tuple[float, str]:
    if not text:
        raise Refused(f"A weight, then what it is: {tare_example()}; 0 for nothing.")
    return weight_and_words(text)


def starting(page: Page, lot: LotState) -> Steps:
    """The hang or the green weight was never what was kept; every percentage is recomputed."""
    which = "green"
    if lot.hang_g is not None:
        which = yield Choice(
            f"{lot.code}: which weight was wrong",
            (("hang", "hang weight"), ("green", "green weight")),
            usual=0,
        )
    if which == "green":
        yield from _starting_green(page, lot)
        return
    start, spread = yield Text(
        f"{lot.code}: hang weight, on the scale",
        lambda text: typed.estimate_of(lot, text),
        f"now: {mass(round(lot.hang_g or 0.0, 1))} net; a guess: {estimate_example()}",
        lambda found: (
            f"{mass(found[0])} on the scale ± {mass(found[1])}; every percentage is recomputed"
            if found[1]
            else f"{mass(found[0])} on the scale; every percentage is recomputed"
        ),
    )
    yield save_or_doubt(correct_start, lot.id, start, plus_minus_g=spread)
    page.done(f"{lot.code}: hang weight corrected.")


def _starting_green(page: Page, lot: LotState) -> Steps:
    grams = yield Text(
        f"{lot.code}: green weight",
        lambda text: typed.grams_of(lot, words(text)),
        f"now: {green_words(lot)}",
        lambda g: f"{mass(g)} green",
    )
    yield save_or_doubt(correct_green, lot.id, grams)
    page.done(f"{lot.code}: green weight is {mass(grams)}.")
