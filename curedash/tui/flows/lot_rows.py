"""A line of the log put right or voided."""

from collections.abc import Callable
from typing import Any

from curedash.domain.errors import Refused
from curedash.domain.records import LotState
from curedash.present.display_units import mass
from curedash.present.weighing.tare_typed import weight_and_words
from curedash.present.words import day, plain
from curedash.services.household.history import LogLine, lot_log
from curedash.services.household.packs import give
from curedash.services.weighing.correct import (
    Right,
    correct_stage_time,
    correct_weigh_in,
    void_weigh_in,
)
from curedash.tui.chassis.commands import key_of
from curedash.tui.chassis.page import Page
from curedash.tui.flows.lot_ends import finishing
from curedash.tui.flows.lot_packs import caution_once
from curedash.tui.prompts.lot_typed import grams_or_none, words
from curedash.tui.prompts.questions import Choice, Steps, Text, if_any, or_none, save, save_with

CORRECTABLE = ("weigh-in", "stage", "pack", "finish")


def may_be_put_right(line: LogLine) -> bool:
    """Whether Enter on a line asks for it anew; of any other it shows the whole."""
    return line.kind in CORRECTABLE and not line.voided


def put_right(page: Page, lot: LotState, line: LogLine) -> Steps:
    """The weigh-in, stage or pack under the cursor."""
    if line.voided:
        raise Refused(f"That line is void already; {page.undo_key} or the history brings it back.")
    ways = {"weigh-in": _weigh_in_right, "stage": _stage_right, "pack": _pack_right}
    if line.kind == "finish":
        yield from finishing(page, lot)
        return
    if line.kind not in ways:
        raise Refused(
            f"Weigh-ins, stages and packs are corrected here; {page.undo_key} undoes the rest."
        )
    yield from ways[line.kind](page, lot, line)


def newest_corrected(page: Page, lot: LotState) -> Steps:
    """Its newest weigh-in, wherever the cursor is.

    Raises
    ------
    Refused: it was never weighed
    """
    log = page.house.read(lot_log, lot.id)
    found = [line for line in log if line.kind == "weigh-in" and not line.voided]
    if not found:
        raise Refused(f"{lot.code} has no weigh-in yet; {key_of('lot.weigh')} weighs it.")
    yield from _weigh_in_right(page, lot, found[-1])


def _weigh_in_right(page: Page, lot: LotState, line: LogLine) -> Steps:
    was = plain(line.words)
    gross = yield Text(
        "what the scale showed",
        grams_or_none(lot),
        f"Enter: as it was, {was}",
        if_any(lambda g: f"{mass(g)} on the scale"),
    )
    tare = yield Text(
        "tare (hook, net, string)",
        or_none(lambda text: weight_and_words(text)[0]),
        "Enter: as it was; 0: nothing",
    )
    at = yield Text(
        "when",
        or_none(page.house.moment),
        "Enter: as it was; today, -2d, 14 Mar 18:30",
        _day_echo(page),
    )
    yield save_with(correct_weigh_in, line.ref, Right(gross, tare, at))
    page.done("Corrected; the old weigh-in stays in the log, voided.")


def _stage_right(page: Page, lot: LotState, line: LogLine) -> Steps:
    at = yield Text(
        f"{plain(line.words)}, since when",
        lambda text: page.house.moment(words(text)),
        "today, -2d, 14 Mar 18:30",
        _day_echo(page),
    )
    yield save(correct_stage_time, lot.id, line.ref, at)
    page.done("Date corrected; its days are counted again.")


def _pack_right(page: Page, lot: LotState, line: LogLine) -> Steps:
    name = yield Text(f"{lot.code}, pack of {plain(line.words)}: who got it", words)
    yield save(give, {line.ref: name})
    cautions = yield caution_once(lot, "sharing")
    page.done(f"For {plain(name)}.", *cautions)


def _day_echo(page: Page) -> Callable[[Any], str]:
    def echo(at: Any) -> str:
        local = at.astimezone(page.house.zone)
        return f"{day(local.date())} {local.year}, {local:%H:%M}"

    return if_any(echo)


def voiding(page: Page, lot: LotState, line: LogLine) -> Steps:
    """The weigh-in under the cursor counts no more; it stays in the log."""
    if line.kind != "weigh-in" or line.voided:
        raise Refused("Put the cursor on a weigh-in that is not void.")
    yield Choice(f"{lot.code}: void {plain(line.words)}?", ((True, "void it"),))
    yield save(void_weigh_in, line.ref)
    page.done("Voided; it stays in the log.")
