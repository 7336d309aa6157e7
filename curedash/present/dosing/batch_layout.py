"""How the fields of a new batch are laid out: line by line, as far as the method needs them."""

from collections.abc import Sequence

from curedash.present.dosing.batch_cells import (
    MOST_ROWS,
    SOURCE_CELLS,
    Values,
    piece_cells,
    piece_rows,
)
from curedash.present.dosing.batch_field import Shape
from curedash.present.dosing.batch_fields import LATER, MEAT, PLACE, SALT, field

HEAD = ("name", "style", "species", "cut", "place", "salted")
PIECES = ("pieces", "each", "source")


def rows(values: Values, pieces: int, sources: Sequence[str]) -> list[list[str]]:
    """The ids of the fields, line by line, as far as the method needs them.

    Parameters
    ----------
    pieces : how many green weights can be read
    sources : the roasts named
    """
    shape = Shape(values, pieces)
    grid = []
    if shape.one_by_one:
        lines = range(min(MOST_ROWS, piece_rows(values) + 1))
        grid = [[f"{cell}:{n}" for cell in piece_cells(values)] for n in lines]
    roasts = [[f"{cell}:{n}" for cell in SOURCE_CELLS] for n in range(len(sources))]
    rest = [each for each in (*MEAT, *SALT, *PLACE, *LATER) if each not in (*HEAD, *PIECES, "bags")]
    rest.insert(rest.index("sugar"), "bags")
    return [*_there(HEAD, shape), *_there(PIECES, shape), *grid, *roasts, *_there(rest, shape)]


def _there(ids: Sequence[str], shape: Shape) -> list[list[str]]:
    return [[each] for each in ids if field(each).visible(shape)]
