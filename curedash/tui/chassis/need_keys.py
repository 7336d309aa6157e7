"""For every kind of need the command of the dashboard that answers it."""

from collections.abc import Sequence

from curedash.domain.needs.lot_needs import BAG, DISCARD, GATHERED, WEIGH_AGAIN, Need
from curedash.present.display_units import retold
from curedash.present.rack.row import Step
from curedash.present.words import plain
from curedash.tui.chassis.commands import COMMANDS, Command, key_of

TYPE_CHECKING = False
if TYPE_CHECKING:
    from curedash.services.rack import RackRow

#: cause → commands that answer it, the usual one first; a place's lie on the page Places
WAYS: dict[str, tuple[str, ...]] = {
    "decision-asked": ("lot.decide",),
    "dose-not-ticked": ("lot.sheet",),
    "dose-outside": ("lot.misdose", "lot.decide"),
    "question-open": ("lot.answer",),
    "use-by": ("lot.sheet", "lot.stage"),
    "not-stuffed": ("lot.stage",),
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

#: what a need asks for instead of what its cause usually asks → commands that answer it
ASKED: dict[str, tuple[str, ...]] = {
    WEIGH_AGAIN: ("lot.weigh",),
    BAG: ("lot.contact",),
    DISCARD: ("lot.discard",),
}


def ways_of(need: Need) -> list[Command]:
    """The commands that answer a need, the usual first; none for one outside the program."""
    ways = ASKED[need.asks] if need.asks else WAYS.get(need.cause, ())
    return [next(command for command in COMMANDS if command.id == way) for way in ways]


def way_of(need: Need) -> Command | None:
    """The command that answers a need; None for one outside the program (a clock to be set)."""
    return next(iter(ways_of(need)), None)


def key_for(need: Need) -> str:
    """Its key on the page of the lot, or on Places; nothing where there is none."""
    way = way_of(need)
    return "" if way is None else key_of(way.id)


def together(need: Need) -> bool:
    """Whether it is about several lots of a place that are weighed or turned in one go."""
    return need.cause in GATHERED and need.lot_id is None


def first_way(needs: Sequence[Need]) -> Command | None:
    """The command for the worst of some needs that has one."""
    return next((way for need in needs if (way := way_of(need)) is not None), None)


# ── from a row of the Rack ────────────────────────────────────────────────────────────────

#: cause → what is done, in as few words as a column takes
DOES = {
    "decision-asked": "decide",
    "dose-not-ticked": "tick doses",
    "question-open": "answer it",
    "use-by": "salt it now",
    "dose-outside": "check dose",
    "not-stuffed": "stuff it",
    "cure-ready": "rinse, hang",
    "cure-decide": "look, decide",
    "salt-box-overdue": "take it out",
    "pick-up-overdue": "take it out",
    "rest-over": "hang it",
    "equalising-over": "feel it",
    "freezing-over": "take it out",
    "freezing-not-begun": "freeze it",
    "turn-due": "turn it",
    "ph-due": "measure pH",
    "degree-hours-over": "measure pH",
    "degree-hours-unknown": "measure pH",
    "target-reached": "feel it",
    "target-too-soon": "feel it",
    "past-target": "feel, slice",
    "too-fast": "slow it",
    "rim-suspected": "feel the rim",
    "levelling": "feel it",
    "mould-recheck": "see mould",
    "sibling-opened": "feel it",
}
#: the same of what a row of the Rack need not say: a digit weighs, and a place has no row
DOES_ELSEWHERE = {
    "weigh-in-due": "weigh it",
    "place-failed": "decide",
    "place-silent": "type reading",
    "place-warm": "type reading",
    "place-too-warm": "type reading",
    "place-cold": "type reading",
    "place-read-out": "type reading",
    "place-too-humid": "type reading",
    "place-too-dry": "type reading",
    "place-sensors-apart": "set offset",
}
TOGETHER = {"weigh-in-due": "weigh them", "turn-due": "turn them"}
#: command → what is done, where a need is answered in another way than its kind usually is
BY_WAY = {"lot.contact": "record bag", "lot.weigh": "weigh it", "lot.discard": "discard"}


def deed_words(need: Need) -> str:
    """What Enter does about a need, in two words; nothing where it is done outside the program."""
    if together(need):
        return TOGETHER[need.cause]
    way = way_of(need)
    if way is not None and way.id in BY_WAY:
        return BY_WAY[way.id]
    return DOES.get(need.cause, DOES_ELSEWHERE.get(need.cause, ""))


def rack_key(need: Need) -> str:
    """How a need of a lot is answered from the Rack: its key there, or that of the lot's page.

    Nothing where there is no way.
    """
    way = way_of(need)
    if way is None or way.page != "lot":
        return ""
    own = "rack." + way.id.partition(".")[2]
    if any(command.id == own for command in COMMANDS):
        return key_of(own)
    return f"{key_of('rack.open')}, {key_of(way.id)}"


def action_of(needs: Sequence[Need]) -> tuple[str, str]:
    """Key and words of the first need that asks for more than a weigh-in; empty without one."""
    for need in needs:
        if need.cause in DOES and (key := rack_key(need)):
            return key, deed_words(need)
    return "", ""


def steps_of(row: "RackRow") -> list[Step]:
    """Everything a lot asks for, each with its key; else that a digit weighs it."""
    asked = [
        Step(
            rack_key(need),
            f"{plain(retold(need.message))}: {plain(retold(need.action))}",
            need.level,
        )
        for need in row.needs
    ]
    weigh = Step(key_of("rack.weigh"), "or a digit: weigh it", "")
    rest = [] if any(need.cause == "weigh-in-due" for need in row.needs) else [weigh]
    return [*asked, *rest, Step(key_of("rack.open"), "its page: curve, log, doses", "")]
