"""What several commands read and print alike: weights, tares, one lot."""

from collections.abc import Callable, Sequence
from typing import TypeVar

from curedash.cli.context import Context
from curedash.domain.records import LotState
from curedash.store.watching import Connection

T = TypeVar("T")


def grams(text: str, lot: LotState) -> float:
    """A weight as the scale shows it; the lot's last weight settles what is ambiguous."""
    from curedash.domain.typed.weights import parse_weight_g

    return parse_weight_g(text, last_g=lot.last_gross_g or lot.green_g)


def tare_g(text: str) -> float:
    """A tare, which unlike a piece may weigh nothing."""
    from curedash.domain.typed.weights import parse_weight_g

    return 0.0 if text.strip() in ("0", "0g", "0 g") else parse_weight_g(text)


def if_given(read: "Callable[..., T]", text: str | None, *more: object) -> "T | None":
    """What an option says, read; None where it was not given.

    Example
    -------
    >>> if_given(float, "2.5"), if_given(float, None)
    (2.5, None)
    """
    return None if text is None else read(text, *more)


def print_lot(context: Context, conn: Connection, lot: LotState, *, as_json: bool) -> None:
    """One lot as 'lots --json' lists it, or its line."""
    print_lots(context, conn, (lot,), as_json=as_json, alone=True)


def print_lots(
    context: Context,
    conn: Connection,
    lots: Sequence[LotState],
    *,
    as_json: bool,
    alone: bool = False,
) -> None:
    """Lots as 'lots --json' lists them, or a line each; ``alone``: the one, not a list of it."""
    from curedash.present.documents import lot_document
    from curedash.present.lines import moved_line
    from curedash.services.rack import row_now

    now, zone = context.now, context.zone
    if not as_json:
        for lot in lots:
            context.out(moved_line(lot, zone))
        return
    found = [lot_document(row_now(conn, lot, now, zone)) for lot in lots]
    context.json(found[0] if alone else found)
