"""For every kind of need the command of the dashboard that answers it."""

from collections.abc import Sequence

from curedash.domain.needs.lot_needs import GATHERED, Need
from curedash.tui.chassis.commands import COMMANDS, Command, key_of

#: cause → commands that answer it, the usual one first; a place's lie on the page Places
WAYS: dict[str, tuple[str, ...]] = {
    "decision-asked": ("lot.decide",),
    "dose-not-ticked": ("lot.sheet",),
    "dose-outside": ("lot.misdose", "lot.decide"),
    "question-open": ("lot.answer",),
    "use-by": ("lot.sheet", "lot.discard"),
    "cure-ready": ("lot.stage",),
    "cure-decide": ("lot.stage",),
    "salt-box-overdue": ("lot.stage",),
    "pick-up-overdue": ("lot.stage",),
    "rest-over": ("lot.stage",),
    "equalising-over": ("lot.feel", "lot.stage"),
    "freezing-over": ("lot.freeze",),
    "freezing-not-begun": ("lot.freeze",),
    "turn-due": ("lot.turned",),
    "ph-due": ("lot.ph",),
    "degree-hours-over": ("lot.ph", "lot.decide"),
    "degree-hours-unknown": ("lot.ph", "lot.decide"),
    "weigh-in-due": ("lot.weigh",),
    "target-reached": ("lot.feel",),
    "target-too-soon": ("lot.feel", "lot.stage"),
    "past-target": ("lot.feel", "lot.finish"),
    "too-fast": ("lot.decide", "lot.move"),
    "rim-suspected": ("lot.feel",),
    "levelling": ("lot.feel", "lot.decide", "lot.contact"),
    "mould-recheck": ("lot.mould",),
    "sibling-opened": ("lot.feel",),
    "place-failed": ("places.decide",),
    "place-silent": ("places.add",),
    "place-warm": ("places.add", "places.band"),
    "place-too-warm": ("places.add", "places.outage"),
    "place-cold": ("places.add", "places.band"),
    "place-read-out": ("places.add", "places.outage"),
    "place-too-humid": ("places.add", "places.band"),
    "place-too-dry": ("places.add", "places.band"),
    "place-sensors-apart": ("places.offset",),
}


def way_of(need: Need) -> Command | None:
    """The command that answers a need; None for one outside the program (a clock to be set)."""
    ways = WAYS.get(need.cause)
    if need.cause == "levelling" and "bag" in need.action:
        ways = ("lot.contact",)
    if need.cause == "levelling" and need.action.startswith("weigh it again"):
        ways = ("lot.weigh",)
    if not ways:
        return None
    return next(command for command in COMMANDS if command.id == ways[0])


def key_for(need: Need) -> str:
    """Its key on the page of the lot, or on Places; nothing where there is none."""
    way = way_of(need)
    return "" if way is None else key_of(way.id)


def where_words(need: Need) -> str:
    """How one answers it from a list of needs: ``Enter``; nothing where there is no way."""
    together = need.cause in GATHERED and need.lot_id is None
    return key_of("needs.open") if together or key_for(need) else ""


def first_way(needs: Sequence[Need]) -> Command | None:
    """The command for the worst of some needs that has one."""
    return next((way for need in needs if (way := way_of(need)) is not None), None)
