"""Places: the air of each, what hangs there; readings, bands and failures typed."""

from collections.abc import Collection
from datetime import timedelta
from typing import cast

from curedash.domain.errors import Refused
from curedash.domain.needs.lot_needs import LEVELS
from curedash.domain.records import Place
from curedash.present.display_units import band_example, retold
from curedash.present.household.history import done_words
from curedash.present.places.air import about_lines, band_words
from curedash.present.places.air_curve import week_lines
from curedash.present.places.place_row import heads, now_words, place_row
from curedash.present.words import Line, count, cut, filled, plain, wrapped
from curedash.services.dosing.answer import answered_by
from curedash.services.household.undo import undo_last_at
from curedash.services.needs.check import current_needs
from curedash.services.places import places
from curedash.services.places.air_view import (
    AirPoint,
    PlaceAir,
    air_of_places,
    curves,
    recent_means,
)
from curedash.tui.chassis.commands import key_of, named, of_page
from curedash.tui.chassis.list_page import ListPage
from curedash.tui.chassis.need_keys import together
from curedash.tui.chassis.state import DashboardState
from curedash.tui.flows import place_steps
from curedash.tui.flows.need_answers import deciding_at
from curedash.tui.flows.undo import way_out
from curedash.tui.prompts.converse import converse
from curedash.tui.prompts.prompt import Ask
from curedash.tui.prompts.questions import Choice, Steps
from curedash.tui.prompts.typed_air import typed_band, typed_place

WEEK = timedelta(days=7)
LEAST_CURVE = 7  # lines below which a week is not drawn


class Places(ListPage):
    """Every fridge, chamber and cellar."""

    NAME = "places"
    HEADS = 1

    def __init__(self, house: DashboardState, *, at: int | None = None) -> None:
        super().__init__(house)
        self._begin_at = at  # the place the cursor stands on at first
        self._air: dict[int, PlaceAir] = {}
        self._rows: dict[tuple[int, int], Line] = {}
        self._undone: int | None = None  # the place something was taken back of last
        self._levels: dict[int, str] = {}
        self._why: dict[int, str] = {}
        self._means: dict[int, list[float | None]] = {}
        self._weeks: dict[int, list[AirPoint]] = {}
        self.list.owner = lambda key: cast(tuple[int, int], key)[0]
        self._read()

    def _read(self) -> None:
        house, now = self.house, self.house.now()
        self._air = {a.place.id: a for a in house.read(air_of_places, now)}
        self._means = house.read(
            lambda conn: {key: recent_means(conn, air, now) for key, air in self._air.items()}
        )
        self._levels, self._why, self._weeks = {}, {}, {}
        needs = house.read(current_needs, now)
        for need in sorted(needs, key=lambda each: (LEVELS.index(each.level), together(each))):
            if need.place_id is not None:  # of equal needs its air comes before its lots
                self._levels.setdefault(need.place_id, need.level)
                self._why.setdefault(need.place_id, plain(retold(need.message)))

    def _fill(self) -> None:
        """A row a place, why it is marked below it, and the place under the cursor in full."""
        width = self.app.size.width
        self._rows = {}
        for place_id, air in self._air.items():
            level = self._levels.get(place_id, "")
            row = place_row(air, self._means[place_id], level, width)
            self._rows[(place_id, 0)] = row
            if why := self._why.get(place_id, ""):
                self._rows[(place_id, 1)] = ((cut(f"      {why}", width), level),)
        if self._air:
            here = self._chosen
            self._rows |= {(0, n): row for n, row in enumerate(self._whole(here, width))}
        self.heads.show(filled([(heads(width) if self._air else "", "quiet")], width))
        self.list.show(list(self._rows), lambda key: self._rows[cast(tuple[int, int], key)])
        if self._air:
            self.list.move_to((here, 0))  # the place it was on may be gone
        self.draw()

    @property
    def _chosen(self) -> int:
        """The place under the cursor; the first before there is one."""
        place_id = cast(tuple[int, int], self.list.cursor_key or (0, 0))[0]
        return place_id if place_id in self._air else next(iter(self._air))

    def _whole(self, place_id: int, width: int) -> list[Line]:
        """What a row leaves out, and its week as far as there is room."""
        air, now = self._air[place_id], self.house.now()
        head: list[Line] = [(), ((f"  {plain(air.place.name)}   ", "title"), (now_words(air), ""))]
        about = about_lines(air, now.timestamp())
        rows = [row for text in about for row in wrapped(text, width - 4)]
        lines = [*head, *(((f"    {row}", ""),) for row in rows)]
        room = self.list.size.height - len(self._rows) - len(lines)
        if room < LEAST_CURVE:
            return lines
        if place_id not in self._weeks:
            found = self.house.read(curves, air.place, now)
            name = air.series[0].name if air.series else ""
            self._weeks[place_id] = found.get(name, [])
        week, span = self._weeks[place_id], (now - WEEK, now)
        return [*lines, *week_lines(week, air.place, self.house.zone, width, room, span)]

    def _begin(self) -> None:
        """Go to the place it was opened for."""
        if self._begin_at is not None:
            self.list.move_to((self._begin_at, 0))
        self.call_after_refresh(self._fill)  # its height is known then

    def on_resize(self) -> None:
        """Another width, other lines."""
        self.call_after_refresh(self._fill)

    def minute_passed(self) -> None:
        """Readings grow older."""
        self.changed(set())

    def title_line(self, width: int) -> Line:  # noqa: ARG002
        """How many places, and whether a broker is listened to."""
        said = self.house.feed_said
        more = f"   {plain(said)}" if said else ""
        return (("PLACES   ", "title"), (count(len(self._air), "place") + more, ""))

    def idle_lines(self, width: int) -> tuple[Line, Line]:  # noqa: ARG002
        """What can be done here."""
        if not self._air:
            words = (
                f"No place yet: {key_of('places.new')} makes one, e.g. Fridge 2 {band_example()}."
            )
            return ((words, "quiet"),), ()
        return (), ()

    # ── moving and doing ──────────────────────────────────────────────────────────────────

    def _here(self) -> Place:
        if not self._air:
            raise Refused(f"There is no place yet; {key_of('places.new')} makes one.")
        return self._air[self._chosen].place

    def cannot(self) -> Collection[str]:
        """Without a place one can only be made, or put back."""
        works = ["places.keys", "places.leave", "places.new"]
        works += ["places.redo"] if self._undone is not None else []
        return () if self._air else [c.id for c in of_page("places") if c.id not in works]

    def step(self, by: int) -> None:
        """The next place, which is then shown in full."""
        ids = list(self._air)
        if ids:
            at = ids.index(self._here().id) + by
            self.list.move_to((ids[max(0, min(len(ids) - 1, at))], 0))
            self._fill()

    def do_first(self) -> None:
        """The first place, shown in full."""
        self.step(-len(self._air))

    def do_last(self) -> None:
        """The last place, shown in full."""
        self.step(len(self._air))

    def do_open(self) -> None:
        """The week of this place."""
        self.show("air", place=self._here())

    def do_by_name(self) -> None:
        """What is rarely done with a place, by its name."""
        converse(self, self._by_name)

    def _by_name(self) -> Steps:
        place = self._here()
        ways = {
            "outage": self.do_outage,
            "decide": self.do_decide,
            "sensor": self.do_sensor,
            "edit": self.do_edit,
        }
        verb = yield Choice(
            f"{plain(place.name)}: what else",
            tuple((each, named(f"places.{each}")) for each in ways),
        )
        ways[verb]()

    def do_reading(self) -> None:
        """A reading typed in."""
        place_steps.reading(self, self._here())

    def do_outage(self) -> None:
        """It was off or warm."""
        place = self._here()
        converse(self, lambda: place_steps.was_off(self, place))

    def do_decide(self) -> None:
        """What was decided after a failure, in all its lots."""
        deciding_at(self, self._here())

    def do_sensor(self) -> None:
        """What is added to what a sensor sends."""
        place = self._here()
        converse(self, lambda: place_steps.offsetting(self, place))

    def do_undo(self) -> None:
        """Take back what was written down last of this place."""
        self._back(again=False)

    def do_redo(self) -> None:
        """Put it back; also a place that is gone for that."""
        self._back(again=True)

    def _back(self, *, again: bool) -> None:
        place_id = self._undone
        if not again or place_id is None or place_id in self._air:
            place_id = self._undone = self._here().id
        other = key_of("places.undo" if again else "places.redo")
        done, then = ("Redone", "undoes it") if again else ("Undone", "redoes it")
        self.write(
            lambda conn, by: undo_last_at(conn, by, place_id, again=again),
            lambda what: self.show_message(
                f"{done}: {done_words('', what)}. {other} {then}.", "good"
            ),
            lambda refusal: self.show_message(f"{refusal}{'' if again else way_out(self)}", "act"),
        )

    def do_new(self) -> None:
        """Another place."""
        self.talk(
            Ask(self, "new place", self._new, help=f"name and band: Fridge 2 {band_example()}")
        )

    def _new(self, text: str) -> None:
        name, temp_c, rh_pct = typed_place(text)
        if not name:
            raise Refused(f"Type a name first, e.g. Fridge 2 {band_example()}; Esc leaves.")
        edit, band = key_of("places.edit"), band_words(temp_c, rh_pct)
        change = f"changes its band, {band}" if band else "changes its band"
        self.write(
            lambda conn, by: places.add_place(conn, by, name, temp_c=temp_c, rh_pct=rh_pct),
            lambda made: self.show_message(
                f"{plain(made.name)} made. {key_of('places.reading')} records a reading,"
                f" {edit} {change}.",
                "good",
            ),
        )

    def do_edit(self) -> None:
        """Another band."""
        place = self._here()
        question, help_ = (
            f"temperature and humidity for {plain(place.name)}",
            f"e.g. {band_example()}",
        )
        self.talk(Ask(self, question, lambda text: self._band(place, text), help=help_))

    def _band(self, place: Place, text: str) -> None:
        temp_c, rh_pct = typed_band(text)
        self.write(
            lambda conn, by: places.change_place(
                conn, by, place, temp_c=temp_c, rh_pct=rh_pct, then=answered_by(place)
            ),
            lambda _: place_steps.recorded(self, place, f"band {band_words(temp_c, rh_pct)}"),
        )
