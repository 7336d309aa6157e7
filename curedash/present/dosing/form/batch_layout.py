"""How the fields of a new batch are laid out: groups, what decides first, the rest folded away.

A folded field comes into sight once it is touched, refused or still missing; a group is opened
on the line that says what it holds.
"""

from collections.abc import Collection, Mapping, Sequence

from curedash.domain.record import record
from curedash.present.dosing.form.batch_cells import (
    MOST_ROWS,
    SOURCE_CELLS,
    Values,
    piece_cells,
    piece_rows,
)
from curedash.present.dosing.form.batch_field import Shape, is_under_way
from curedash.present.dosing.form.batch_fields import (
    FIELDS,
    GROUPS,
    HEADS,
    field,
    label,
    shown_words,
)
from curedash.present.words import plain
from curedash.services.dosing.batch_start import Start

MORE = "more-"  # before the name of a group: the line that opens it

#: what decides a batch; the rest follows from the style, the rule set and the household
DECIDING = (
    *("style", "name", "now", "since", "how_many", "weighed", "tare", "salted_with"),
    *("pieces", "sausages", "casing", "thickness"),
    *("curing_salt", "cure", "salt", "starter", "water", "pickup", "pump", "pack", "packs"),
    *("sugar", "spices"),
    *("stuffed", "casing_g", "ferment_in", "smoke", "hang_in", "place", "sticker"),
)


def waits(field_id: str, values: Values) -> bool:
    """Whether Tab comes to a field after all others: it follows from them, or is usual so."""
    if field_id == "now":
        return not is_under_way(values)
    return field_id == "name" or field_id.startswith(MORE)


@record
class Sight:
    """What brings a field into sight that is folded otherwise."""

    open_groups: Collection[str] = tuple(GROUPS)
    touched: Mapping[str, str] = {}
    needed: Collection[str] = ()  # refused, or still missing
    by_room: bool = False  # the window opens them: no line folds them again


def rows(
    values: Values,
    pieces: int,
    sources: Sequence[str],
    start: Start | None = None,
    sight: Sight | None = None,
) -> list[list[str]]:
    """The ids of the fields in sight, line by line, as far as the method needs them.

    Parameters
    ----------
    pieces : how many green weights can be read
    sources : the roasts named
    sight : what is in sight beside what decides; without it everything is
    """
    shape = Shape(values, pieces)
    every = sight is None
    sight = sight or Sight()
    out: list[list[str]] = []
    for group, ids in GROUPS.items():
        there = [each for each in ids if field(each).is_there(shape)]
        shown = [each for each in there if _in_sight(each, group, shape, start, sight)]
        out += [[each] for each in shown]
        if group == "meat" and shape.one_by_one:
            at = out.index(["each"]) + 1
            out[at:at] = _grid(values, sources)
        if "source" in shown:
            at = out.index(["source"]) + 1
            out[at:at] = _roasts(sources)
        folds = group in sight.open_groups and not sight.by_room
        if there and not every and (folds or len(shown) < len(there)):
            out.append([MORE + group])
    return out


def _grid(values: Values, sources: Sequence[str]) -> list[list[str]]:
    """A line for each piece and one more, then the roasts they are of."""
    lines = range(min(MOST_ROWS, piece_rows(values) + 1))
    return [[f"{cell}:{n}" for cell in piece_cells(values)] for n in lines] + _roasts(sources)


def _roasts(sources: Sequence[str]) -> list[list[str]]:
    return [[f"{cell}:{n}" for cell in SOURCE_CELLS] for n in range(len(sources))]


def _in_sight(field_id: str, group: str, shape: Shape, start: Start | None, sight: Sight) -> bool:
    if group in sight.open_groups or field_id in DECIDING or field_id in sight.needed:
        return True
    if field_id == "each":
        return shape.one_by_one
    if field_id == "scale":
        return start is not None and not start.defaults.scales and start.last is None
    if field_id == "rules":
        return start is not None and start.defaults.rule_set is None and start.last is None
    if field_id in ("bags", "source") and shape.values.get(field_id, "").strip():
        return True
    return bool(sight.touched.get(field_id, "").strip())


def line_of(field_id: str) -> str:
    """The line that opens the group of a field; of a cell the one of the pieces."""
    return MORE + next((group for group, ids in GROUPS.items() if field_id in ids), "meat")


def heads_of(lines: Sequence[Sequence[str]]) -> dict[tuple[str, ...], str]:
    """The name of each group at the line that begins it."""
    group_of = {each: group for group, ids in GROUPS.items() for each in ids}
    found: dict[tuple[str, ...], str] = {}
    for line in lines:
        group = group_of.get(line[0]) or line[0].removeprefix(MORE)
        if group in HEADS and HEADS[group] not in found.values():
            found[tuple(line)] = HEADS[group]
    return found


def folded(group: str, values: Values, pieces: int, in_sight: Collection[str]) -> list[str]:
    """The fields of a group that are there and not in sight."""
    shape = Shape(values, pieces)
    return [e for e in GROUPS[group] if e not in in_sight and field(e).is_there(shape)]


def folded_words(ids: Sequence[str], values: Values, start: Start) -> str:
    """What is folded away: each field by its value where it says something, else by its name."""
    return " · ".join(_short(each, values, start) for each in ids)


def _short(field_id: str, values: Values, start: Start) -> str:
    value = values.get(field_id, "").strip()
    name = label(field_id, values)
    if not value or value == FIELDS[field_id].usual:
        return name
    if field(field_id).kind == "choice":
        words = plain(shown_words(field_id, value, values, start))
        return f"{name} {words}" if words in ("yes", "no") else words
    return f"{name} {plain(value)}"
