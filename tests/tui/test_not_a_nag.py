"""A usual batch is asked nothing: counted on the screen from the form to the hung piece."""

import json
from contextlib import closing
from datetime import timedelta
from pathlib import Path

from curedash.domain.times import utc_text
from curedash.store import places
from curedash.store.open import open_db
from curedash.store.work import By, change
from tests.tui.conftest import NOW
from tests.tui.test_new_batch import fill

USUAL = (
    ("name", "Beef eye"),
    ("style", "bresaola"),
    ("species", "beef"),
    ("place", "Fridge 2"),
    ("pieces", "1134"),
    ("thickness", "80"),
    ("curing_salt", "no2"),
    ("scale", "0.1"),
    ("rules", "un"),
)


def asked(seat) -> list[str]:
    """The lines of the screen that ask something; the key of the help is none."""
    return [line for line in seat.lines() if "?" in line.replace("? keys", "")]


def cautioned(seat) -> list[str]:
    """The lines that caution, refuse or say that something was not checked, by their sign."""
    return [line for line in seat.lines() if line.startswith(("· ", "! "))]


def with_a_fridge(path: Path) -> Path:
    """A household that has named one place and its band, and nothing else."""
    by = By(utc_text(NOW), "anna", "shell", "before")
    with closing(open_db(str(path), create=True)) as conn, change(conn, by, "build") as work:
        places.add(
            work,
            name="Fridge 2",
            created_at=utc_text(NOW),
            temp_lo_c=2.0,
            temp_hi_c=5.0,
            watch="not-watched",
        )
    return path


async def test_from_the_form_to_the_hung_piece_nothing_is_asked(tmp_path, sit):
    clock = [NOW]
    async with sit(with_a_fridge(tmp_path / "one.db"), now=lambda: clock[0]) as seat:
        await seat.press("n")
        await fill(seat, *USUAL)
        questions, cautions = asked(seat), cautioned(seat)
        await seat.press("f10")
        questions += asked(seat)
        await seat.press("space", "space")
        questions += asked(seat)
        await seat.press("I")
        questions += asked(seat)
        assert seat.ask("SELECT stage, dose_verdict FROM lot") == [("in-cure", "within-limits")]
        clock[0] = NOW + timedelta(days=24)  # the usual day out
        await seat.press("q", "s", "enter")
        assert "A1 → drying: weight as it hangs, on the scale" in seat.text()
        await seat.type("1080\r28 hook\r")  # the weight and its tare: no reason is wanted
        assert "A1 is drying now. u undoes it." in seat.text()
        questions += asked(seat)
        cautions += cautioned(seat)
        assert seat.ask("SELECT code, stage, green_g, hang_g, tare_g, hang_at FROM lot") == [
            ("A1", "drying", 1134.0, 1052.0, 28.0, "2026-12-19T09:00:00Z")
        ]
        lines = seat.ask("SELECT kind, planned_g, weighed_g FROM dose_line ORDER BY seq")
        assert lines == [("salt", 28.6, 28.6), ("curing-salt", 2.8, 2.8)]
        ((recipe,),) = seat.ask("SELECT recipe FROM batch")
        assert json.loads(recipe)["answers"] == []  # nothing had to be answered
        ((notes,),) = seat.ask("SELECT dose_notes FROM lot")
        assert "Asked:" not in (notes or "")
        assert seat.ask("SELECT text FROM event") == []  # nothing was left open
    assert questions == []
    assert len(cautions) <= 1
