"""A sheet of weigh-ins: preview, problems by line, all or nothing."""

import sqlite3
from datetime import datetime

import pytest

from curedash.domain.errors import Refused
from curedash.services.find import require_lot
from curedash.services.household.undo import undo_last
from curedash.services.weighing.import_sheet import import_sheet
from curedash.store import weigh_ins
from curedash.store.work import By

GOOD = (
    "date,lot,weight,note\n2026-11-21,D1,780 g,\n2026-11-22,D1,776,fine\n2026-11-23,F2,1.049 kg,\n"
)


def _stored(conn: sqlite3.Connection) -> int:
    return int(conn.execute("SELECT count(*) FROM weigh_in").fetchone()[0])


def test_a_sheet_is_kept_as_one_change(house: sqlite3.Connection, by: By, now: datetime) -> None:
    before = _stored(house)
    found = import_sheet(house, by, GOOD, now)
    assert found.kept
    assert [line.number for line in found.lines] == [2, 3, 4]
    newest = weigh_ins.of_lot(house, require_lot(house, "D1").id)[-1]
    assert (newest.gross_g, newest.tare_g, newest.net_g) == (776.0, 28.0, 748.0)
    assert newest.note == "fine"
    assert _stored(house) == before + 3
    undo_last(house, by)
    assert require_lot(house, "D1").last_gross_g == 784.0


def test_looking_first_keeps_nothing(house: sqlite3.Connection, by: By, now: datetime) -> None:
    before = _stored(house)
    found = import_sheet(house, by, GOOD, now, keep=False)
    assert not found.kept
    assert len(found.lines) == 3
    assert _stored(house) == before


def test_the_grown_sheet_comes_in_again(house: sqlite3.Connection, by: By, now: datetime) -> None:
    import_sheet(house, by, GOOD, now)
    found = import_sheet(house, by, GOOD + "2026-11-24,D1,772,\n", now)
    assert found.kept
    assert found.known == (2, 3, 4)
    assert [line.number for line in found.lines] == [5]


@pytest.mark.parametrize(
    "text",
    [
        "date;lot;weight\n2026-11-23;D1;775,5 g\n",
        "Lot\tWeight (g)\tDate\nd1\t775.5 g\t2026-11-23\n",
        "\ufeff\n\ndate,lot,weight,net\n2026-11-23,D1,747.5 g,yes\n",
        'date,lot,weight,note\n2026-11-23,D1,"775,5 g","two\nlines"\n',
        "date,time,lot,weight,who\n2026-11-23,08:30,D1,775.5 g,mara\n",
    ],
)
def test_separators_marks_and_order_of_columns_do_not_matter(
    text: str, house: sqlite3.Connection, by: By, now: datetime
) -> None:
    found = import_sheet(house, by, text.removeprefix("\ufeff"), now)
    assert found.kept, found.problems
    assert found.lines[0].seen.net_g == 747.5  # 775.5 g less 28 g of tare; net stays as typed


def test_a_line_is_judged_by_the_lines_before_it_in_time(
    house: sqlite3.Connection, by: By, now: datetime
) -> None:
    text = "date,lot,weight\n2026-11-23,D1,775 g\n2026-11-22,D1,716 g\n"
    found = import_sheet(house, by, text, now)
    assert not found.kept
    assert [(p.number, p.doubt) for p in found.problems] == [(2, True), (3, True)]
    kept = import_sheet(house, by, text, now, keep_doubtful=True)
    assert kept.kept
    assert weigh_ins.of_lot(house, require_lot(house, "D1").id)[-1].flagged is not None


#: each line has one fault; the words are what its sentence must say
FAULTS = [
    ("2026-11-23,Q9,700 g", "no lot"),
    ("2026-11-23,,700 g", "lot is missing"),
    (",D1,700 g", "date is missing"),
    ("2026-11-23,D1,", "weight is missing"),
    ("2026-02-30,D1,700 g", ""),
    ("31/31/2026,D1,700 g", ""),
    ("someday,D1,700 g", ""),
    ("2026-12-24,D1,700 g", "ahead"),
    ("2031-01-01,D1,700 g", ""),
    ("2025-01-01,D1,700 g", "before"),
    ("2026-11-23,D1,heavy", ""),
    ("2026-11-23,D1,-700 g", ""),
    ("2026-11-23,D1,0 g", ""),
    ("2026-11-23,D1,NaN", ""),
    ("2026-11-23,D1,inf g", ""),
    ("2026-11-23,D1,1e99 g", ""),
    ("2026-11-23,D1,700 furlongs", ""),
    ("2026-11-23,D1,7 0 0 g kg", ""),
    ("2026-11-23,D1,20 g", ""),
    ("2026-11-23,D1,700 g,,", "cells"),
    ("2026-11-23,D1", "cells"),
    ("2026-11-23", "cells"),
    ("2026-11-23 D1 700", "cells"),
    ("2026-11-23,A1,700 g", "no more weigh-ins"),
    ("2026-11-23,=D1,700 g", "no lot"),
    ("2026-11-23,D1;DROP,700 g", "no lot"),
    ("2026-11-23,D1,=2+2", ""),
    ("2026-11-20 18:00,D1,700 g", "another weight"),
    ("2026-11-23,D1,\x00700", ""),
    ("D1,2026-11-23,700 g", ""),
    ("2026-11-23,D1,1.2.3 g", ""),
    ("2026-11-23T99:00,D1,700 g", ""),
    ("2026-11-23,Ð1,700 g", "no lot"),
]


def test_a_sheet_of_thirty_faults_loses_nothing_and_names_each_line(
    house: sqlite3.Connection, by: By, now: datetime
) -> None:
    assert len(FAULTS) >= 30
    before, changes = _stored(house), _changes(house)
    good = "2026-11-22,D1,776 g\n"
    text = "date,lot,weight\n" + good + "".join(f"{line}\n" for line, _ in FAULTS)
    found = import_sheet(house, by, text, now, keep_doubtful=True)
    assert not found.kept
    named = {problem.number: problem.words for problem in found.problems if not problem.doubt}
    assert sorted(named) == list(range(3, 3 + len(FAULTS)))
    for number, (line, words) in enumerate(FAULTS):
        assert words in named[number + 3], line
        assert "\n" not in named[number + 3]
    assert (_stored(house), _changes(house)) == (before, changes)


@pytest.mark.parametrize("text", ["", "a,b\n", "date,lot\n1,2\n", "date,lot,weight,g\n", "\n\n"])
def test_a_sheet_without_its_headings_is_refused(
    text: str, house: sqlite3.Connection, by: By, now: datetime
) -> None:
    with pytest.raises(Refused):
        import_sheet(house, by, text, now)


def _changes(conn: sqlite3.Connection) -> int:
    return int(conn.execute("SELECT count(*) FROM change").fetchone()[0])
