"""Taking a change back: its before-images as a new change, if nothing came since.

Nothing is erased: a weigh-in is voided, a batch or lot leaves every list, and both changes stay
in the log. Taking an undo back does the change again.
"""

import json
import os
import sqlite3
from collections.abc import Callable, Collection, Iterator
from datetime import timedelta
from typing import Any

from curedash.domain.errors import Doubtful, NotFound, Refused
from curedash.domain.records import Change
from curedash.domain.times import moment
from curedash.domain.weighing.weight_history import WeightHistory
from curedash.domain.wording import listed
from curedash.services.household import household
from curedash.store import log, places, rack
from curedash.store.file_trouble import path_of
from curedash.store.work import By, Work, at_once, change

#: columns that point at a row, and the table they point into
POINTERS = {
    "lot_id": "lot",
    "parent_id": "lot",
    "batch_id": "batch",
    "source_id": "source",
    "place_id": "place",
    "replaces": "weigh_in",
    "mixed_with": "pack",
}

PUT_BACK_FOR = timedelta(days=1)  # after a restart (design value)

#: rows that the weights of a lot rest on
WEIGHTS = ("weigh_in", "rebase", "stage_entry")

#: events that tell a lot what happened elsewhere
HEARD = ("sibling", "outage")
#: events of a place
AT_PLACE = ("reading", "outage", "place-decision")


@at_once
def undo_last(conn: sqlite3.Connection, by: By) -> str:
    """Take back this session's last change that still stands.

    Returns
    -------
    what was taken back, in words

    Raises
    ------
    NotFound: this session has changed nothing; Refused: somebody changed it since
    """
    number = _newest_done_here(conn, by)
    if number is None:
        raise NotFound("Nothing from this session is left to undo; the history has older changes.")
    require_not_restored_since(conn, number)
    return undo_change(conn, by, number)


@at_once
def redo_last(conn: sqlite3.Connection, by: By) -> str:
    """Do again what this session took back last, as long as it changed nothing else since.

    Before its first change that is what the same person took back in the run before, for a day.

    Raises
    ------
    NotFound: nothing was taken back, or something new was done since
    """
    number = _newest_undo(conn, _own_lines(conn, by))
    if number is None:
        raise NotFound("There is nothing to redo.")
    return _done_again(conn, by, number)


@at_once
def undo_last_of(
    conn: sqlite3.Connection,
    by: By,
    lot_ids: Collection[int],
    *,
    batch_id: int | None = None,
    whole: bool = False,
) -> str:
    """Undo the last change of these lots, whatever was changed elsewhere since.

    Parameters
    ----------
    batch_id : changes of this batch count as well
    whole : take it back although it changed other lots too

    Returns
    -------
    what was taken back, in words

    Raises
    ------
    NotFound: nothing of them was changed; Refused: this session did not, or something later
        rests on it; Doubtful: it changed other lots too, and which
    """
    line = _last(conn, by, _codes(conn, lot_ids), lambda of: _is_about(of, lot_ids, batch_id))
    others = [] if whole else _other_lots(conn, line, lot_ids)
    require_not_restored_since(conn, line.id)
    if others:
        raise Doubtful(f"The last change was “{_what(line)}”; it changed {listed(others)} too.")
    return undo_change(conn, by, line.id)


@at_once
def redo_last_of(
    conn: sqlite3.Connection, by: By, lot_ids: Collection[int], *, batch_id: int | None = None
) -> str:
    """Do again what this session took back last of these lots, if nothing new came since.

    Raises
    ------
    NotFound: nothing of them was taken back, or something new was done since
    """
    return _again(conn, by, _codes(conn, lot_ids), lambda of: _is_about(of, lot_ids, batch_id))


def newest_of(conn: sqlite3.Connection, actor: str, origin: str) -> int | None:
    """Number of the newest change of this person from there that still stands."""
    return _newest_standing(conn, log.newest(conn, actor=actor, origin=origin))


def require_not_restored_since(conn: sqlite3.Connection, change_id: int) -> None:
    """A restore is no change of the log: what is older is undone by its number only.

    Raises
    ------
    Refused: a copy was restored after this change; says which copy has the file as it was
    """
    from curedash.services.file.backup import restored_after

    line = log.one(conn, change_id)
    path = path_of(conn)
    kept = None if line is None or not path else restored_after(path, line.recorded_at)
    if line is not None and kept is not None:
        raise Refused(
            f"A copy was restored after “{_what(line)}”. To go back behind the restore, restore"
            f" {os.path.basename(kept.path)}; the history undoes older changes, this one is"
            f" {line.id}."
        )


@at_once
def undo_change(conn: sqlite3.Connection, by: By, change_id: int) -> str:
    """Take back one change by its number in the log; that of an undo does the change again.

    Raises
    ------
    NotFound: no such change; Refused: undone already, or something came since that rests on it
    """
    line = log.one(conn, change_id)
    if line is None:
        raise NotFound(f"There is no change {change_id} in the log.")
    what = _what(line)
    with change(conn, by, "undo", subject=what, undoes=line.id) as work:
        gone = log.taken_back(conn)
        if line.id in gone:
            raise Refused(f"Change {change_id} ({what}) is undone already.")
        _require_last(work, line, gone)
        known = _histories(conn, line)
        try:
            for table, key, image in reversed(json.loads(line.before)):
                work.restore(table, key, image)
            _readings_too(work, line)
            _followed(work, known)
        except sqlite3.IntegrityError:
            raise Refused(
                f"{what} no longer fits what was done since; undo the later changes first."
            ) from None
    return what


@at_once
def undo_last_at(conn: sqlite3.Connection, by: By, place_id: int, *, again: bool = False) -> str:
    """Undo the last reading by hand, failure, decision or band of a place.

    Parameters
    ----------
    again : do again what this session took back last there

    Returns
    -------
    what was taken back or done again, in words

    Raises
    ------
    NotFound: nothing there; Refused: this session did not, or something later rests on it
    """
    name = next((p.name for p in places.all_places(conn) if p.id == place_id), "it")
    if again:
        return _again(conn, by, name, lambda of: _is_at(of, place_id))
    number = _last(conn, by, name, lambda of: _is_at(of, place_id)).id
    require_not_restored_since(conn, number)
    return undo_change(conn, by, number)


def _last(conn: sqlite3.Connection, by: By, name: str, is_of: Callable[[Change], bool]) -> Change:
    """The last change of something that still stands, if this session made it."""
    gone = log.taken_back(conn)
    standing = (line for line in log.newest(conn) if line.undoes is None and line.id not in gone)
    line = next(filter(is_of, standing), None)
    if line is None:
        raise NotFound(f"Nothing of {name} is left to undo.")
    if line.session != by.session and line.id not in _put_back_here(conn, by):
        who, when = _who_and_when(conn, by, line)
        raise Refused(f"The last change of {name} is older: {who} did “{_what(line)}” on {when}.")
    return line


def _again(conn: sqlite3.Connection, by: By, name: str, is_of: Callable[[Change], bool]) -> str:
    """Do again what this session took back last of something."""
    number = _newest_undo(conn, filter(is_of, _own_lines(conn, by)))
    if number is None:
        raise NotFound(f"There is nothing of {name} to redo.")
    return _done_again(conn, by, number)


def _done_again(conn: sqlite3.Connection, by: By, number: int) -> str:
    undo_change(conn, by, number)
    undone = log.one(conn, number)
    return "" if undone is None else undone.subject


def _what(line: Change) -> str:
    return f"{line.verb} {line.subject}".strip()


def _is_at(line: Change, place_id: int) -> bool:
    """Whether a change is of the place itself: its row, a reading, a failure there."""
    for table, key, image in _rows_of(line):
        if (table, key) == ("place", place_id):
            return True
        if table == "event" and image.get("kind") in AT_PLACE and image["place_id"] == place_id:
            return True
    return False


def _rows_of(line: Change) -> Iterator[tuple[str, Any, dict[str, Any]]]:
    """Table, key and newest image of each row that a change touched."""
    pairs = zip(json.loads(line.before), json.loads(line.after), strict=True)
    for (table, key, old), (_, _, new) in pairs:
        yield table, key, new or old or {}


def _readings_too(work: Work, line: Change) -> None:
    """Readings by hand have no image: they follow the event that says they were typed."""
    from curedash.services.places.places import READING, follow_reading

    for table, key, image in _rows_of(line):
        if table == "event" and image.get("kind") == READING:
            follow_reading(work.conn, key)


def _histories(conn: sqlite3.Connection, line: Change) -> dict[int, WeightHistory]:
    """What the weights of the lots rest on whose weights, cuts, tares or stages it changed."""
    from curedash.services.weighing.as_of import history_of

    if not any(table in WEIGHTS for table, _, _ in json.loads(line.after)):
        return {}
    known = (lot_id for lot_id in _lots_of(line) if rack.one_lot(conn, lot_id) is not None)
    return {lot_id: history_of(conn, lot_id) for lot_id in known}


def _followed(work: Work, known: dict[int, WeightHistory]) -> None:
    """What was weighed after a change that is taken back is as if it had never been."""
    from curedash.services.weighing.as_of import follow

    for lot_id, before in known.items():
        if rack.one_lot(work.conn, lot_id) is not None:
            follow(work, lot_id, before)


def _newest_standing(conn: sqlite3.Connection, lines: Iterator[Change]) -> int | None:
    """The first of these lines that is a change and was not taken back."""
    gone = log.taken_back(conn)
    return next((line.id for line in lines if line.undoes is None and line.id not in gone), None)


def _newest_done_here(conn: sqlite3.Connection, by: By) -> int | None:
    """The newest change that stands of those this run made or put back."""
    gone, put_back = log.taken_back(conn), _put_back_here(conn, by)
    for line in log.newest(conn, session=by.session):
        if line.id not in gone and line.undoes is None:
            return line.id
        if line.id not in gone and line.id in put_back.values():
            return next(original for original, redo in put_back.items() if redo == line.id)
    return None


def _put_back_here(conn: sqlite3.Connection, by: By) -> dict[int, int]:
    """Changes of any run that this run put back, and the line of the log that did it."""
    gone = log.taken_back(conn)
    found: dict[int, int] = {}
    for line in log.newest(conn, session=by.session):
        undone = None if line.undoes is None else log.one(conn, line.undoes)
        if undone is not None and undone.undoes is not None and undone.undoes not in gone:
            found.setdefault(undone.undoes, line.id)
    return found


def _own_lines(conn: sqlite3.Connection, by: By) -> Iterator[Change]:
    """Lines of this run, newest first; before its first those of this person's run before it."""
    if next(log.newest(conn, session=by.session), None) is not None:
        return log.newest(conn, session=by.session)
    last = next(log.newest(conn, actor=by.actor, origin=by.origin), None)
    if last is None or moment(by.now) - moment(last.recorded_at) > PUT_BACK_FOR:
        return iter(())
    return log.newest(conn, session=last.session)


def _newest_undo(conn: sqlite3.Connection, lines: Iterator[Change]) -> int | None:
    """The first of these lines that is a standing undo, unless something new stands before it."""
    gone = log.taken_back(conn)
    for line in lines:
        if line.id in gone:
            continue
        if line.undoes is None and line.undone_by is None:
            return None
        undone = None if line.undoes is None else log.one(conn, line.undoes)
        if undone is not None and undone.undoes is None:
            return line.id
    return None


def _is_about(line: Change, lot_ids: Collection[int], batch_id: int | None) -> bool:
    """Whether a change is of one of these lots, or of this batch."""
    rows = {(table, key) for table, key, _ in json.loads(line.after)}
    return ("batch", batch_id) in rows or not _lots_of(line).isdisjoint(lot_ids)


def _lots_of(line: Change) -> set[int]:
    """The lots a change is of; those that only heard of it are not."""
    found: set[int] = set()
    for table, key, image in _rows_of(line):
        if table == "event" and image.get("kind") in HEARD:
            continue
        lot_id = key if table in ("lot", "finish") else image.get("lot_id")
        if lot_id is not None:
            found.add(int(lot_id))
    return found


def _other_lots(conn: sqlite3.Connection, line: Change, lot_ids: Collection[int]) -> list[str]:
    """Codes of the lots a change is of besides these and the parts cut from them."""
    touched = _lots_of(line).difference(lot_ids)
    lots = (rack.one_lot(conn, lot_id) for lot_id in sorted(touched))
    return [lot.code for lot in lots if lot is not None and lot.parent_id not in lot_ids]


def _codes(conn: sqlite3.Connection, lot_ids: Collection[int]) -> str:
    lots = (rack.one_lot(conn, lot_id) for lot_id in sorted(lot_ids))
    codes = [lot.code for lot in lots if lot is not None]
    return codes[0] if len(codes) == 1 else f"{codes[0]}–{codes[-1]}" if codes else "it"


def _who_and_when(conn: sqlite3.Connection, by: By, line: Change) -> tuple[str, str]:
    who = "you" if line.actor == by.actor else line.actor
    then = moment(line.recorded_at).astimezone(household.zone(conn))
    return who, f"{then.day} {then:%b %H:%M}"


def _require_last(work: Work, line: Change, gone: set[int]) -> None:
    """Every row stands as this change left it and nothing later rests on one it made."""
    after = _last_images(line)
    before = json.loads(line.before)
    made = {(table, key) for table, key, image in before if image is None}
    for later in log.since(work.conn, line.id):
        stands = later.undoes is None and later.id not in gone
        if stands and any(_rests_on(row, set(after), made) for row in json.loads(later.after)):
            who = "You have" if later.session == work.by.session else f"{later.actor} has"
            then = moment(later.recorded_at).astimezone(household.zone(work.conn))
            raise Refused(
                f"{who} changed it since ({later.verb} {later.subject}, {then.day} {then:%b %H:%M},"
                f" change {later.id}); undo that first."
            )
    for (table, key), image in after.items():
        if work.image(table, key) != image:
            raise Refused("It has been changed since; undo the later changes first.")


def _rests_on(row: list[Any], touched: set[tuple[str, Any]], made: set[tuple[str, Any]]) -> bool:
    table, key, image = row
    if (table, key) in touched:
        return True
    pointing = ((POINTERS[name], to) for name, to in (image or {}).items() if name in POINTERS)
    return any(pair in made for pair in pointing)


def _last_images(line: Change) -> dict[tuple[str, Any], Any]:
    """The image a change left each row with (it may have touched it twice)."""
    return {(table, key): image for table, key, image in json.loads(line.after)}
