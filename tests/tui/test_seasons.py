"""Two seasons lived through by keyboard at 80 × 24, with the keys of each step counted and held.

Two deer haunches were cut in four, salted and bagged four days ago; nothing is ever weighed. And a
string of sausages goes from the bowl to the neighbours. The people are invented.
"""

from datetime import UTC, datetime, timedelta

import pytest

LIMIT_SAUSAGES = 225  # keys from the bowl to the Book
LIMIT_TAKE_IN = 25  # keys to take in four pieces under way


async def on_field(life: "Season", step: str, label: str) -> None:
    """Tab to a field of the form, each Tab counted."""
    for _ in range(40):
        if any("› " in line[:4] and label in line[:30] for line in life.seat.drawn()):
            return
        await life.do(step, "tab")
    raise AssertionError(f"no field {label}")


class Season:
    """Somebody at the keyboard, through the weeks; the keys of each step are counted."""

    def __init__(self, seat, clock: list[datetime]) -> None:
        self.seat, self.clock, self.steps = seat, clock, {}

    async def do(self, step: str, *keys: str) -> None:
        """Press keys; what begins with = is typed letter by letter, ``\\r`` is Enter."""
        count = 0
        for key in keys:
            if key.startswith("="):
                count += len(key) - 1
                await self.seat.type(key[1:])
            else:
                count += 1
                await self.seat.press(key)
            await self.seat.settle()
        self.steps[step] = self.steps.get(step, 0) + count

    def later(self, days: float) -> None:
        self.clock[0] += timedelta(days=days)

    def said(self) -> str:
        return " ".join(self.seat.text().split())

    def costs(self) -> str:
        """What each step cost, to be read with -s."""
        lines = [f"{keys:4}  {step}" for step, keys in self.steps.items()]
        return "\n".join([*lines, f"{sum(self.steps.values()):4}  in all"])


@pytest.fixture
def clock() -> list[datetime]:
    return [datetime(2026, 11, 10, 19, tzinfo=UTC)]


async def test_four_pieces_that_are_never_weighed(tmp_path, sit, clock):
    async with sit(tmp_path / "new.db", now=lambda: clock[0]) as seat:
        await seat.settle()
        life = Season(seat, clock)
        # four days in the bag, salted with two packs, nothing weighed; called as they are
        await life.do("take in four pieces", "N", "=deer 4\r", "enter", "=-4d\r")
        await life.do("take in four pieces", *["enter"] * 5)
        assert life.steps["take in four pieces"] <= LIMIT_TAKE_IN
        assert "A1–A4 are in cure, day 4" in life.said()
        await life.do("turn the four bags", "t", "enter")
        assert "Turned: A1–A4" in life.said()
        life.later(18)
        # rinsed and hung, not weighed: each is asked for a weight, Enter leaves it out
        await life.do("hang all four", "s", "b", "enter", *["enter"] * 5)
        assert "A1–A4 are drying now" in life.said()
        assert seat.ask("SELECT DISTINCT stage, hang_g FROM lot") == [("drying", None)]
        life.later(28)
        # one is opened a week early: red in the middle, and goes back
        await life.do("open one, raw in the middle, back", "end", "enter", "i", "4", "1")
        await life.do("open one, raw in the middle, back", "enter", "enter", "enter", "q")
        assert seat.ask("SELECT count(*) FROM event WHERE kind = 'opened'") == [(1,)]
        assert "A1 opened: raw middle" in life.said()
        life.later(14)
        # hard outside: a week in a vacuum bag in the cold
        await life.do(
            "feel a hard rim, soften it", "home", "enter", "f", "3", "2", "1", "2", "enter"
        )
        soft = seat.ask("SELECT code, stage_until IS NOT NULL FROM lot WHERE stage = 'equalising'")
        assert len(soft) == 1
        code = soft[0][0]
        life.later(7)
        # sliced, shared, a label for each pack, liked
        await life.do("end it: sliced, three packs", "E", "enter", "1", "5", "=slice thinner\r")
        await life.do("end it: sliced, three packs", "=150 150 140\r", "=Ida, Ida, Emil\r")
        packs = seat.ask("SELECT weight_g, given_to FROM pack ORDER BY id")
        assert packs == [(150.0, "Ida"), (150.0, "Ida"), (140.0, "Emil")]
        life.later(4)
        await life.do("write down what Ida says", "l", "=Ida: a little salty\r", "q")
        await life.do("look into the Book", "B")
        assert "next time: slice thinner" in life.said()
        assert "Ida: a little salty" in life.said()
        await life.do("make it again", "n")
        assert f"{code}: " in life.said()
        assert "liked 5 of 5, even, slice thinner" in life.said()
        await life.do("make it again", "down")
        assert "name air-dried venison" in life.said()
        print(f"\nFour pieces, never weighed\n{life.costs()}")
        assert sum(life.steps.values()) <= 120


async def test_four_weighed_pieces_are_hung_with_one_tare_and_one_place(tmp_path, sit, clock):
    async with sit(tmp_path / "new.db", now=lambda: clock[0]) as seat:
        await seat.settle()
        life = Season(seat, clock)
        await life.do("two places", "q", "p", "n", "=Salting fridge 2-4\r")
        await life.do("two places", "n", "=Cellar 10-14 70-80\r", "escape")
        await life.do("take in", "N", "=deer 4\r", "enter", "=-20d\r", "=812 790 760 805\r")
        await life.do("take in", "enter", "=60mm\r", "enter", "=1\r", "enter")
        await life.do("hang all four", "s", "b", "enter", "=785\r", "=28 hook\r")
        assert "Enter: Cellar" in life.said()  # the place to dry in, not the fridge it lies in
        await life.do("hang all four", "enter", "=763\r", "=735\r", "=778\r")
        assert "A1–A4 are drying now" in life.said()
        hung = "SELECT hang_g, tare_g, place.name FROM lot JOIN place ON place.id = place_id"
        assert seat.ask(hung + " ORDER BY lot.id") == [
            (757.0, 28.0, "Cellar"),
            (735.0, 28.0, "Cellar"),
            (707.0, 28.0, "Cellar"),
            (750.0, 28.0, "Cellar"),
        ]
        print(f"\nFour pieces hung\n{life.costs()}")
        assert life.steps["hang all four"] <= 30


async def test_sausages_from_the_bowl_to_the_neighbours(tmp_path, sit, clock):
    async with sit(tmp_path / "new.db", now=lambda: clock[0]) as seat:
        await seat.settle()
        life = Season(seat, clock)
        await life.do("two places", "q", "p", "n", "=Warm box 20-24 85-95\r")
        await life.do("two places", "n", "=Cellar 10-14 70-80\r", "escape")
        await life.do("mix", "n", "=thin sal", "tab", "shift+tab", "down", "=Garlic string")
        await on_field(life, "mix", "meat and fat")
        await life.do("mix", "=2000", "f10")
        # the one thing nobody but the label can tell is asked for, and the cursor is there
        assert "which one?" in life.said()
        await life.do("mix", "=no2", "f10")
        await life.do("mix", "space", "space")
        assert "stuff it, then s on its page starts its ferment" in life.said()
        await life.do("mix", "escape")
        await life.do("stuff, into the warm box", "s", "enter", "=2060\r", "=45 casing\r")
        assert "Enter: Warm box" in life.said()  # the warm one is proposed
        await life.do("stuff, into the warm box", "enter")
        where = "SELECT stage, hang_g, place.name FROM lot JOIN place ON place.id = place_id"
        assert seat.ask(where) == [("ferment", 2015.0, "Warm box")]
        assert seat.ask("SELECT substr(salted_at, 1, 10) FROM batch") == [("2026-11-10",)]
        life.later(2)
        await life.do("measure the pH", "g", "=5.1\r")
        assert "the count of degree-hours has ended" in life.said()
        await life.do("smoke it", "enter", "K", "=4 h beech\r", "q")
        assert seat.ask("SELECT text FROM event WHERE kind = 'smoke'") == [("4 h beech",)]
        await life.do("hang it", "s", "enter")
        assert "Enter: Cellar" in life.said()  # and then the place to dry in
        await life.do("hang it", "enter")
        assert seat.ask(where) == [("drying", 2015.0, "Cellar")]
        for days, weight in ((5, "1800"), (6, "1600"), (7, "1430"), (5, "1340")):
            life.later(days)
            await life.do("weigh it four times", f"={weight}\r")
            if "y " in seat.lines()[-1]:
                await life.do("weigh it four times", "y")
        assert seat.ask("SELECT count(*) FROM weigh_in WHERE voided_at IS NULL") == [(5,)]
        await life.do("end it: eight in four packs", "enter", "E", "enter", "1", "4", "enter")
        await life.do("end it: eight in four packs", "=320 320 320 320\r")
        await life.do("end it: eight in four packs", "=Hanne, Hanne, Tilo, Tilo\r")
        given = seat.ask("SELECT given_to, count(*) FROM pack GROUP BY given_to ORDER BY 1")
        assert given == [("Hanne", 2), ("Tilo", 2)]
        await life.do("write down what Tilo says", "l", "=Tilo: more garlic\r", "q")
        await life.do("look into the Book", "B")
        assert "Tilo: more garlic" in life.said()
        print(f"\nSausages, from the bowl to the neighbours\n{life.costs()}")
        assert sum(life.steps.values()) <= LIMIT_SAUSAGES
