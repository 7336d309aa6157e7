"""Each field of a lot's record is the column of its name: the row itself is the record."""

from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

from curedash.domain.record import field_names
from curedash.domain.records import LotState, StoredForecast
from curedash.store.open import open_db
from curedash.store.rack import all_lots
from tests.data.make_released import released, unpacked

OWN_LIMITS = {
    "target_lo_pct": 31.0,
    "target_hi_pct": 41.0,
    "target_base": "green",
    "stage": "drying",
    "shape": "round",
    "start_from": "days",
}
STORED = field_names(StoredForecast)[1:]
TEXTS = ("as_of", "model", "method", "near")


def test_each_field_holds_the_column_of_its_name(tmp_path: Path) -> None:
    path = unpacked(released()[-1], f"{tmp_path}/h.db")
    numbers: Iterator[int] = iter(range(1000, 2000))
    with closing(open_db(path)) as conn:
        told = conn.execute("PRAGMA table_info(lot)").fetchall()
        kept = {"id", "batch_id", "parent_id", "source_id", "place_id", "voided_at"}
        flags = {"in_bag", "salt_box", "by_date", "ferments", "has_rest", "frozen", "skin"}
        made = {
            name: OWN_LIMITS.get(name, next(numbers) if kind != "TEXT" else f"{name} text")
            for _, name, kind, *_ in told
            if name not in kept | flags
        }
        number = conn.execute("SELECT min(id) FROM lot").fetchone()[0]
        sets = ", ".join(f"{name} = ?" for name in made)
        conn.execute(f"UPDATE lot SET {sets} WHERE id = ?", (*made.values(), number))
        lot = next(one for one in all_lots(conn) if one.id == number)
        fields = set(field_names(LotState)) & set(made)
        assert {name: getattr(lot, name) for name in fields} == {n: made[n] for n in fields}
        assert len(fields) > 30
        wide = {n: f"{n} text" if n in TEXTS else next(numbers) for n in STORED}
        conn.execute("DELETE FROM forecast WHERE lot_id = ?", (number,))
        conn.execute(
            f"INSERT INTO forecast (lot_id, {', '.join(wide)}) VALUES (?{', ?' * len(wide)})",
            (number, *wide.values()),
        )
        stored = next(one for one in all_lots(conn) if one.id == number).forecast
        assert stored is not None
        assert {name: getattr(stored, name) for name in wide} == wide
        for flag in flags - {"frozen", "skin"}:
            conn.execute(f"UPDATE lot SET {', '.join(f'{f} = {f == flag:d}' for f in flags)}")
            lot = next(one for one in all_lots(conn) if one.id == number)
            assert [f for f in flags - {"frozen", "skin"} if getattr(lot, f)] == [flag]
