"""``curedash place add``, ``place set`` and ``place list``."""

from typing import Any

from curedash.cli.command import JSON_BARE, Chosen, Command, Group, Word
from curedash.cli.context import Context
from curedash.domain.typed.units import parse_rh_range_pct, parse_temp_range_c
from curedash.present.documents import place_document
from curedash.present.lines import place_line
from curedash.services.dosing.answer import answered_by
from curedash.services.places.places import add_place, change_place
from curedash.store.places import all_places

WATCHES = ("sensor", "hand-log", "not-watched")


_WATCH = "who measures there: a sensor, you by hand, or nobody"
#: a place and its bands
_BANDS = (
    Word("name", "name of the place, e.g. 'Fridge 2'"),
    Word("--temp", "its temperature range, e.g. 2..5C or 36..41F"),
    Word("--rh", "its humidity range, e.g. 70..80%%"),
)


def _bands(chosen: Chosen) -> dict[str, Any]:
    """The bands that were typed."""

    temp_c = parse_temp_range_c(chosen.temp) if chosen.temp else None
    return {"temp_c": temp_c, "rh_pct": parse_rh_range_pct(chosen.rh) if chosen.rh else None}


def _add(chosen: Chosen, context: Context) -> None:

    conn, bands = context.open(create=True), _bands(chosen)
    place = add_place(conn, context.by(), chosen.name, watch=chosen.watch, **bands)
    context.answer(chosen.json, place_document(place), f"{place.name} added")


_ADD = Command(
    "place add",
    "Add a fridge, chamber or cellar.",
    "curedash place add 'Fridge 2' --temp 2..5C --rh 70..80%",
    *_BANDS,
    Word("--watch", _WATCH, choices=WATCHES, default="hand-log"),
    JSON_BARE,
    run=_add,
)


def _set(chosen: Chosen, context: Context) -> None:

    conn = context.open()
    place = context.place(chosen.name)
    what = {"watch": chosen.watch, "name": chosen.rename, "then": answered_by(place)}
    change_place(conn, context.by(), place, **what, **_bands(chosen))
    context.out(place_line(context.place(chosen.rename or chosen.name)))


_SET = Command(
    "place set",
    "Change a place's ranges, its name, or who measures there.",
    "curedash place set Cellar --rh 70..80% --watch not-watched",
    *_BANDS,
    Word("--watch", _WATCH, choices=WATCHES),
    Word("--rename NAME", "its new name"),
    run=_set,
)


def _list(chosen: Chosen, context: Context) -> None:

    found = all_places(context.open())
    context.each(chosen.json, found, place_document, place_line)


_LIST = Command(
    "place list", "The places and their bands.", "curedash place list --json", JSON_BARE, run=_list
)


COMMAND = Group(
    "Say 'curedash place add NAME', 'place set NAME' or 'place list'.", _ADD, _SET, _LIST
)
