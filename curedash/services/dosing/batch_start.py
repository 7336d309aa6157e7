"""Where a new batch starts from: the household's shelf and places, and how it was done last."""

from datetime import datetime, timedelta
from sqlite3 import Connection

from curedash.domain.curing.stages import GROUND
from curedash.domain.dosing import CuringSalt, DoseRequest
from curedash.domain.dosing.answers import TEMPERATURE, unknown_reason
from curedash.domain.errors import NotFound
from curedash.domain.household.codes import next_batch_code
from curedash.domain.household.styles import Style, styles
from curedash.domain.record import record
from curedash.domain.records import Batch
from curedash.services.dosing.dosing_means import DosingDefaults, dosing_defaults
from curedash.services.dosing.recipe import recipe_from, request_of
from curedash.services.household.book import Again, Liked, cured_in, liked_before, make_again
from curedash.services.places import places
from curedash.store import batches, rack

MOST_BATCHES = 12  # looked through for the last place of a cure, and its curing salt
SAME_DAY = timedelta(hours=24)  # design value: what was entered since belongs to one salting day


@record
class Before:
    """The batch entered last, on the same salting day: the next one is made much like it."""

    batch: Batch
    request: DoseRequest | None
    place: str | None  # where meat lay in the cure last; no place of a ferment, none to dry in
    place_of: str  # the batch that lay there
    by_one: bool  # its pieces were entered one by one
    in_bag: bool


@record
class Cured:
    """A batch that was dosed with a curing salt."""

    code: str
    style: str
    request: DoseRequest


@record
class Start:
    """What a new batch can be made of, read once when the form opens."""

    code: str  # the code the batch will get
    defaults: DosingDefaults
    styles: tuple[Style, ...]  # the household's own first
    places: tuple[tuple[str, float | None], ...]  # name, middle of its temperature band [°C]
    last: DoseRequest | None  # as the newest batch was dosed
    liked: dict[str, Liked]  # best liked lot by style
    again: Again | None  # the batch to make again
    again_request: DoseRequest | None
    before: Before | None = None  # entered within a day; None where an earlier one is made again
    cured: tuple[Cured, ...] = ()  # with which curing salt, newest first
    answered: tuple[tuple[str, str], ...] = ()  # a place without a band, how cold it was said to be

    def temp_c(self, place: str) -> float | None:
        """Temperature of a place during the cure [°C], None if it is not known."""
        wanted = place.strip().casefold()
        return next((warm for name, warm in self.places if name.casefold() == wanted), None)

    def salt(self, text: str) -> CuringSalt | None:
        """The own jar of this id or name."""
        wanted = text.strip().casefold()
        return next((s for s in self.defaults.jars if wanted in (s.id, s.name.casefold())), None)


def start_batch(conn: Connection, again: str | None = None, now: datetime | None = None) -> Start:
    """Read what a new batch starts from.

    Parameters
    ----------
    again : code of an earlier batch to make again
    now : the moment (aware); without it no batch counts as entered just before

    Raises
    ------
    NotFound: no such batch
    """
    told = dosing_defaults(conn)
    own = {style.id for style in told.styles}
    newest = next(iter(batches.all_batches(conn)), None)
    before = None if again is None else make_again(conn, again)
    return Start(
        next_batch_code(batches.codes(conn)),
        told,
        (*told.styles, *(style for style in styles() if style.id not in own)),
        tuple((place.name, places.middle_temp_c(place)) for place in places.all_of(conn)),
        None if newest is None else _request(newest.recipe),
        _liked(conn),
        before,
        None if before is None else _request(before.batch.recipe),
        None if again is not None else _before(conn, newest, now),
        () if again is not None else _cured(conn),
        _answered(conn),
    )


def _before(conn: Connection, newest: Batch | None, now: datetime | None) -> Before | None:
    """The newest batch, if it was entered within a day."""
    if newest is None or now is None:
        return None
    entered = datetime.fromisoformat(batches.created_at(conn, newest.id))
    if not timedelta(0) <= now - entered <= SAME_DAY:
        return None
    lots = [lot for lot in rack.lots_of_batch(conn, newest.id) if lot.parent_id is None]
    place, code = _cured_last(conn)
    by_one = len({lot.thickness_mm for lot in lots}) > 1 or any(lot.piece for lot in lots)
    in_bag = any(lot.in_bag for lot in lots)
    return Before(newest, _request(newest.recipe), place, code, by_one, in_bag)


def _cured_last(conn: Connection) -> tuple[str | None, str]:
    """Where a batch was in cure last, and which; a sausage has no such place."""
    for batch in batches.all_batches(conn)[:MOST_BATCHES]:
        found = None
        if batch.method != GROUND:
            found = cured_in(conn, rack.lots_of_batch(conn, batch.id))
        if found is not None:
            return found, batch.code
    return None, ""


def _cured(conn: Connection) -> tuple[Cured, ...]:
    """The newest batches that got nitrite or nitrate, of a curing salt whose strength is known."""
    found = []
    for batch in batches.all_batches(conn)[:MOST_BATCHES]:
        asked = _request(batch.recipe)
        salt = None if asked is None else asked.curing_salt
        # Leaving nitrite out is decided, with a reason, for one batch; the next begins as usual.
        plain = salt is None or (
            salt.strength_known and not (salt.nitrite_fraction or salt.nitrate_fraction)
        )
        if asked is not None and not plain:
            found.append(Cured(batch.code, batch.style, asked))
    return tuple(found)


def _answered(conn: Connection) -> tuple[tuple[str, str], ...]:
    """How cold a place without a band is, as answered last for a lot in it."""
    bare = {place.name: "" for place in places.all_of(conn) if places.middle_temp_c(place) is None}
    for lot in reversed(rack.open_lots(conn)):
        if lot.place in bare and not bare[lot.place]:
            request = request_of(conn, lot)
            said = "" if request is None else dict(request.answers).get(TEMPERATURE, "")
            bare[lot.place] = said if said and unknown_reason(said) is None else ""
    return tuple((name.casefold(), said) for name, said in bare.items() if said)


def _liked(conn: Connection) -> dict[str, Liked]:
    """The best liked lot of each style that was finished here."""
    made = {batch.style for batch in batches.all_batches(conn)}
    found = ((style, liked_before(conn, style=style)) for style in made)
    return {style: liked for style, liked in found if liked is not None}


def _request(recipe: str) -> DoseRequest | None:
    if recipe == "{}":
        return None
    try:
        return recipe_from(recipe)
    except (TypeError, ValueError, NotFound):  # kept by a newer program
        return None
