"""``curedash place add``, ``place set`` and ``place list``."""

from curedash.cli.command import JSON_BARE, Chosen, Command, Group, Word
from curedash.cli.context import Context

WATCHES = ("sensor", "hand-log", "not-watched")


_WATCH = "who measures there: a sensor, you by hand, or nobody"


def _add(chosen: Chosen, context: Context) -> None:
    from curedash.domain.typed.units import parse_rh_range_pct, parse_temp_range_c
    from curedash.present.documents import place_document
    from curedash.services.places.places import add_place

    place = add_place(
        context.open(create=True),
        context.by(),
        chosen.name,
        temp_c=parse_temp_range_c(chosen.temp) if chosen.temp else None,
        rh_pct=parse_rh_range_pct(chosen.rh) if chosen.rh else None,
        watch=chosen.watch,
    )
    context.answer(chosen.json, place_document(place), f"{place.name} added")


_ADD = Command(
    "place add",
    "Add a fridge, chamber or cellar.",
    "curedash place add 'Fridge 2' --temp 2..5C --rh 70..80%",
    Word("name", "name of the place, e.g. 'Fridge 2'"),
    Word("--temp", "its temperature range, e.g. 2..5C or 36..41F"),
    Word("--rh", "its humidity range, e.g. 70..80%%"),
    Word("--watch", _WATCH, choices=WATCHES, default="hand-log"),
    JSON_BARE,
    run=_add,
)


def _set(chosen: Chosen, context: Context) -> None:
    from curedash.domain.typed.units import parse_rh_range_pct, parse_temp_range_c
    from curedash.present.lines import place_line
    from curedash.services.dosing.answer import answered_by
    from curedash.services.places.places import change_place

    conn = context.open()
    place = context.place(chosen.name)
    change_place(
        conn,
        context.by(),
        place,
        watch=chosen.watch,
        name=chosen.rename,
        temp_c=parse_temp_range_c(chosen.temp) if chosen.temp else None,
        rh_pct=parse_rh_range_pct(chosen.rh) if chosen.rh else None,
        then=answered_by(place),
    )
    context.out(place_line(context.place(chosen.rename or chosen.name)))


_SET = Command(
    "place set",
    "Change a place's ranges, its name, or who measures there.",
    "curedash place set Cellar --rh 70..80% --watch not-watched",
    Word("name", "name of the place, e.g. 'Fridge 2'"),
    Word("--temp", "its temperature range, e.g. 2..5C or 36..41F"),
    Word("--rh", "its humidity range, e.g. 70..80%%"),
    Word("--watch", _WATCH, choices=WATCHES),
    Word("--rename NAME", "its new name"),
    run=_set,
)


def _list(chosen: Chosen, context: Context) -> None:
    from curedash.present.documents import place_document
    from curedash.present.lines import place_line
    from curedash.store.places import all_places

    found = all_places(context.open())
    context.each(chosen.json, found, place_document, place_line)


_LIST = Command(
    "place list", "The places and their bands.", "curedash place list --json", JSON_BARE, run=_list
)


COMMAND = Group(
    "Say 'curedash place add NAME', 'place set NAME' or 'place list'.", _ADD, _SET, _LIST
)
