"""For every kind of need the command of the dashboard that answers it."""

from collections.abc import Sequence

from curedash.domain.needs.lot_needs import BAG, DECIDE, DISCARD, GATHERED, WEIGH_AGAIN, Need
from curedash.present.display_units import retold
from curedash.present.rack.around import WEIGHED
from curedash.present.rack.row import Step
from curedash.present.signs import key_drawn
from curedash.present.words import plain
from curedash.services.rack import RackRow
from curedash.tui.chassis.commands import COMMANDS, Command, key_of


class Answer:
    """What is done about a need: in as few words as a column takes, and by which commands."""

    __slots__ = ("ways", "words")

    def __init__(self, words: str, *ways: str) -> None:
        self.words = words
        self.ways = ways  # the usual one first


#: cause → its answer; a place's lies on the page Places
ANSWERS: dict[str, Answer] = {
    "decision-asked": Answer("decide", "lot.decide"),
    "dose-not-ticked": Answer("tick doses", "lot.sheet"),
    "dose-outside": Answer("check dose", "lot.misdose", "lot.decide"),
    "question-open": Answer("answer it", "lot.answer"),
    "use-by": Answer("salt it now", "lot.sheet", "lot.stage"),
    "not-stuffed": Answer("stuff it", "lot.stage"),
    "cure-not-begun": Answer("begin cure", "lot.stage"),
    "cure-ready": Answer("rinse, hang", "lot.stage"),
    "cure-decide": Answer("decide", "lot.stage"),
    "salt-box-overdue": Answer("take it out", "lot.stage"),
    "pick-up-overdue": Answer("take it out", "lot.stage"),
    "rest-over": Answer("hang it", "lot.stage"),
    "equalising-over": Answer("feel it", "lot.feel", "lot.stage"),
    "freezing-over": Answer("take it out", "lot.freeze"),
    "freezing-not-begun": Answer("freeze it", "lot.freeze"),
    "turn-due": Answer("turn over", "lot.turned"),
    "ph-due": Answer("measure pH", "lot.reading"),
    "ferment-over": Answer("hang it", "lot.stage"),
    "ph-late": Answer("decide", "lot.decide"),
    "degree-hours-over": Answer("measure pH", "lot.reading", "lot.decide"),
    "degree-hours-unknown": Answer("measure pH", "lot.reading", "lot.decide"),
    "weigh-in-due": Answer("weigh it", "lot.weigh"),
    "target-reached": Answer("feel it", "lot.feel"),
    "target-too-soon": Answer("feel it", "lot.feel", "lot.stage"),
    "past-target": Answer("feel, slice", "lot.feel", "lot.finish"),
    "too-fast": Answer("slow it", "lot.decide", "lot.move"),
    "rim-suspected": Answer("feel rim", "lot.feel"),
    "levelling": Answer("feel it", "lot.feel", "lot.decide", "lot.contact"),
    "mould-recheck": Answer("see mould", "lot.mould"),
    "sibling-opened": Answer("feel it", "lot.feel"),
    "place-failed": Answer("decide", "places.decide"),
    "place-silent": Answer("type reading", "places.reading"),
    "place-warm": Answer("type reading", "places.reading", "places.edit"),
    "place-too-warm": Answer("type reading", "places.reading", "places.outage"),
    "place-cold": Answer("type reading", "places.reading", "places.edit"),
    "place-read-out": Answer("type reading", "places.reading", "places.outage"),
    "place-dries-warm": Answer("cooler place", "places.new", "places.edit"),
    "place-too-humid": Answer("type reading", "places.reading", "places.edit"),
    "place-too-dry": Answer("type reading", "places.reading", "places.edit"),
    "place-sensors-apart": Answer("set offset", "places.sensor"),
}

#: what a need asks for instead of what its cause usually asks → commands that answer it
ASKED: dict[str, tuple[str, ...]] = {
    WEIGH_AGAIN: ("lot.weigh",),
    BAG: ("lot.contact",),
    DISCARD: ("lot.discard",),
    DECIDE: ("lot.decide",),
}


def ways_of(need: Need) -> list[Command]:
    """The commands that answer a need, the usual first; none for one outside the program."""
    if need.asks:
        ways = ASKED[need.asks]
    else:
        ways = ANSWERS[need.cause].ways if need.cause in ANSWERS else ()
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

BY_DIGIT = "weigh-in-due"  # answered by a digit too
OPENS = "its page: curve, log, doses"
#: several lots of a place in one go
TOGETHER_WAYS = {"weigh-in-due": "rack.round", "turn-due": "rack.turned"}
TOGETHER = {"weigh-in-due": "weigh them", "turn-due": "turn them over"}
#: the same from the Rack, where the key opens a page: with the name of that page
OPENED = {"weigh-in-due": "weigh round"}
OPENS_PLACES = "open places"
#: command → what is done, where a need is answered in another way than its kind usually is
BY_WAY = {"lot.contact": "record bag", "lot.weigh": "weigh it", "lot.discard": "discard"}


def action_words(need: Need) -> str:
    """What Enter does about a need, in two words; nothing where it is done outside the program."""
    if together(need):
        return TOGETHER[need.cause]
    way = way_of(need)
    if way is not None and way.id in BY_WAY:
        return BY_WAY[way.id]
    answer = ANSWERS.get(need.cause)
    return "" if answer is None else answer.words


def rack_words(need: Need) -> str:
    """What its key does on the Rack: of a place, and of a round, it opens their page."""
    if together(need):
        return OPENED.get(need.cause, TOGETHER[need.cause])
    way = way_of(need)
    return OPENS_PLACES if way is not None and way.page == "places" else action_words(need)


def rack_key(need: Need) -> str:
    """The key that answers a need from the Rack; of a place the one that opens Places."""
    if together(need):
        return key_of(TOGETHER_WAYS[need.cause])
    way = way_of(need)
    if way is None:
        return ""
    return key_of("rack." + way.id.partition(".")[2] if way.page == "lot" else "rack.places")


def key_shown(key: str) -> str:
    """The key in a row: ``P`` with its shift, as it looks like ``p``; ``F3`` like a lot's code."""
    if key[:1] == "F" and key[1:].isdigit():
        return f"[{key}]"
    return key_drawn(f"⇧{key}") if len(key) == 1 and key.isupper() else key


def action_of(needs: Sequence[Need]) -> tuple[str, str]:
    """Key and words of the first need that a key of the Rack answers; empty without one."""
    for need in needs:
        if key := rack_key(need):
            return key_shown(key), action_words(need)
    return "", ""


def steps_of(row: "RackRow") -> list[Step]:
    """Everything a lot asks for, each with its key; else that a digit weighs it."""
    asked = [
        Step(
            key_shown(rack_key(need)),
            f"{plain(retold(need.message))}: {plain(retold(need.action))}",
            need.level,
        )
        for need in row.needs
    ]
    weigh = Step(key_of("rack.weigh"), "or a digit: weigh it", "")
    known = any(need.cause == BY_DIGIT for need in row.needs) or row.lot.stage not in WEIGHED
    return [*asked, *([] if known else [weigh]), Step(key_of("rack.open"), OPENS, "")]
