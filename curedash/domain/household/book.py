"""Learning from finished lots: order, filter, and what a cut, style or place did before."""

from collections.abc import Callable, Iterable, Sequence

from curedash.domain.dosing.cuts import same_cut
from curedash.domain.errors import Refused
from curedash.domain.record import record
from curedash.domain.wording import listed


@record
class FinishedLot:
    """One line of the Book."""

    id: int
    code: str
    batch: str
    batch_name: str
    piece: str
    species: str
    cut: str | None
    style: str
    style_name: str
    place: str | None  # where it dried
    thickness_mm: float | None
    green_g: float | None  # meat taken off followed; None: not weighed
    hang_g: float | None  # meat taken off followed
    approx: bool  # the hang weight was an estimate
    hang_at: str | None
    salted_at: str | None
    total_salt_pct: float | None
    batch_note: str | None
    at: str
    final_g: float | None  # None: not weighed
    base: str
    loss_pct: float | None
    days: int | None
    drying_days: int | None
    yield_pct: float | None
    cost_in: float | None
    cost_per_kg: float | None
    currency: str | None
    cut_face: str | None
    liked: int | None
    liked_at_pct: float | None
    note: str | None
    at_the_cut: bool = False  # a part that was eaten when the whole was cut up
    heard: str | None = None  # notes written on it after its end: what those who ate it say
    roast_price: float | None = None  # of the whole roast; it may be known where no share of it is
    roast_currency: str | None = None

    @property
    def rate_pct_per_day(self) -> float | None:
        """Mean loss a drying day [% of hang weight a day]."""
        if self.loss_pct is None or not self.drying_days:
            return None
        return self.loss_pct / self.drying_days


@record
class Spread:
    """The middle of several values and how far they lie apart."""

    n: int
    median: float
    lo: float
    hi: float


@record
class Before:
    """What comparable lots did: drying days, rate, loss and liking."""

    n: int
    drying_days: Spread | None
    rate_pct_per_day: Spread | None
    loss_pct: Spread | None
    liked: Spread | None
    best: FinishedLot | None
    base: str | None  # hang or green, None where the lots differ


#: order → the value lots are ordered by, largest or newest first; unknown values come last
ORDERS = ("date", "liked", "loss", "days", "yield", "cost", "name")


def spread(values: Iterable[float | None]) -> Spread | None:
    """The median of what is known, with the middle half (all of them below five values).

    Parameters
    ----------
    values : any numbers; None is left out

    Returns
    -------
    number, median, lower and upper end; None when nothing is known

    Source
    ------
    quartiles by linear interpolation (Hyndman & Fan 1996, type 7), as most statistics programs

    Example
    -------
    >>> spread([30, 20, None, 40])
    Spread(n=3, median=30.0, lo=20.0, hi=40.0)
    """
    known = sorted(float(value) for value in values if value is not None)
    if not known:
        return None
    ends = (0.25, 0.75) if len(known) >= 5 else (0.0, 1.0)
    lo, median, hi = (_quantile(known, share) for share in (ends[0], 0.5, ends[1]))
    return Spread(len(known), median, lo, hi)


def _quantile(ordered: Sequence[float], share: float) -> float:
    place = (len(ordered) - 1) * share
    low = int(place)
    high = min(low + 1, len(ordered) - 1)
    return ordered[low] + (ordered[high] - ordered[low]) * (place - low)


def before(rows: Sequence[FinishedLot]) -> Before:
    """Sum up what these finished lots did.

    Parameters
    ----------
    rows : finished lots that are alike, as ``filtered`` picks them

    Returns
    -------
    number of lots, spreads of drying days, rate, loss and liking, and the best liked (the newest
    of equals); drying days are those until it was pulled; a part eaten at the cut was not dried
    to its end: only its liking counts

    Source
    ------
    definition

    Example
    -------
    >>> before([]).n
    0
    """
    liked = [row for row in rows if row.liked is not None]
    whole = [row for row in rows if not row.at_the_cut]
    bases = {row.base for row in whole if row.loss_pct is not None}
    best = max(liked, key=lambda row: (row.liked or 0, row.at), default=None)
    return Before(
        n=len(whole),
        drying_days=spread(row.drying_days for row in whole),
        rate_pct_per_day=spread(row.rate_pct_per_day for row in whole),
        loss_pct=spread(row.loss_pct for row in whole),
        liked=spread(row.liked for row in rows),
        best=best,
        base=bases.pop() if len(bases) == 1 else None,
    )


def filtered(
    rows: Iterable[FinishedLot],
    *,
    text: str = "",
    style: str | None = None,
    species: str | None = None,
    cut: str | None = None,
    place: str | None = None,
    least_liked: int | None = None,
) -> list[FinishedLot]:
    """Pick finished lots; what is None or empty does not count.

    Parameters
    ----------
    rows : finished lots
    text : words that all occur in code, names, style, place or note, whatever their case
    style, species, cut, place : as kept with the lot, whatever their case
    least_liked : liked at least so much [1–5]

    Returns
    -------
    those that fit, in the order given

    Source
    ------
    definition

    Example
    -------
    >>> filtered([], text="collar")
    []
    """
    words = text.casefold().split()
    return [
        row
        for row in rows
        if _same(row.species, species)
        and (cut is None or same_cut(row.cut or "", cut))
        and _same(row.place, place)
        and (_same(row.style, style) or _same(row.style_name, style))
        and (least_liked is None or (row.liked or 0) >= least_liked)
        and all(word in _searched(row) for word in words)
    ]


def _same(value: str | None, wanted: str | None) -> bool:
    return wanted is None or (value or "").casefold() == wanted.casefold().strip()


def _searched(row: FinishedLot) -> str:
    names = (row.code, row.batch_name, row.piece, row.species, row.cut, row.style_name)
    found = (row.place, row.note, row.heard, row.cut_face)
    return " ".join(filter(None, (*names, *found))).casefold()


def ordered(rows: Iterable[FinishedLot], by: str = "date") -> list[FinishedLot]:
    """Order the Book; what is not known comes last.

    Parameters
    ----------
    rows : finished lots
    by : date (newest first), liked, loss, yield (largest first), days, cost (smallest first),
        name; another raises ``Refused``

    Returns
    -------
    all of them in order, equals by date

    Source
    ------
    definition

    Example
    -------
    >>> ordered([], "liked")
    []
    """
    newest = sorted(rows, key=lambda row: row.at, reverse=True)
    values: dict[str, Callable[[FinishedLot], float | None]] = {
        "liked": lambda row: None if row.liked is None else -row.liked,
        "loss": lambda row: None if row.loss_pct is None else -row.loss_pct,
        "yield": lambda row: None if row.yield_pct is None else -row.yield_pct,
        "days": lambda row: row.drying_days,
        "cost": lambda row: row.cost_per_kg,
    }
    if by == "date":
        return newest
    if by == "name":
        return sorted(newest, key=lambda row: (row.batch_name.casefold(), row.code))
    if by not in values:
        raise Refused(f"The Book is ordered by {listed(ORDERS, 'or')}.")
    value = values[by]
    return sorted(newest, key=lambda row: (value(row) is None, value(row) or 0.0))
