"""A page of lines that Enter changes at the foot: the settings of a person, scales, places."""

from abc import abstractmethod
from collections.abc import Callable, Mapping, Sequence
from typing import Any, ClassVar, cast

from curedash.domain.errors import CuredashError, Refused
from curedash.domain.record import replace
from curedash.domain.records import Place
from curedash.domain.wording import facts
from curedash.present.display_units import show_in
from curedash.present.household import settings as setting_rows
from curedash.present.household.settings_row import Row, row_lines, whole_words
from curedash.present.signs import key_drawn
from curedash.present.words import Line, cells, cut, plain, wrapped
from curedash.services.dosing.answer import answered_by
from curedash.services.household import household_settings
from curedash.services.household import preferences as person
from curedash.services.household.household import zone
from curedash.services.household.preferences import View
from curedash.services.places import places
from curedash.store.watching import Connection
from curedash.store.work import By
from curedash.tui.chassis import apply_preferences as own
from curedash.tui.chassis.commands import key_of, of_page
from curedash.tui.chassis.foot_prompt import Hint
from curedash.tui.chassis.page import Page
from curedash.tui.chassis.state import DashboardState
from curedash.tui.chassis.writer import Job
from curedash.tui.flows.undo import UndoesLast
from curedash.tui.prompts.as_shown import write_as_shown
from curedash.tui.prompts.prompt import Ask, PagePrompt
from curedash.tui.prompts.typed_air import typed_band, typed_place, typed_places


class Cycled(PagePrompt):
    """One of a few, gone through with ←→ or by its number; Enter takes it."""

    def __init__(
        self,
        page: Page,
        question: str,
        options: Sequence[tuple[str, str]],
        now: str | None,
        then: Callable[[str], None],
    ) -> None:
        super().__init__(page)
        self._question, self._options, self._then = question, options, then
        ids = [option for option, _ in options]
        self._at = ids.index(now) if now in ids else 0

    def lines(self, width: int) -> tuple[Line, Line]:
        """All answers where they have room, else the one it is on; and how to go on."""
        words = self._options[self._at][1]
        spans = [(f"{self._question} › ", "strong")]
        for n, (_option, each) in enumerate(self._options):
            here = n == self._at
            spans += [(f"[{each}]" if here else each, "typed" if here else "quiet"), ("  ", "")]
        if sum(cells(text) for text, _tone in spans) <= width:
            return tuple(spans), ((cut(key_drawn(GO_THROUGH), width), "quiet"),)
        where = f"  {self._at + 1} of {len(self._options)}"
        room = width - cells(self._question) - 3 - len(where)
        first: Line = (
            (f"{self._question} › ", "strong"),
            (cut(words, room), "typed"),
            (where, "quiet"),
        )
        return first, ((cut(key_drawn(GO_THROUGH), width), "quiet"),)

    def hints(self) -> list[Hint]:
        """Three keys."""
        return [("← →", "other"), ("Enter", "take it"), ("Esc", "leave")]

    def key(self, key: str, char: str | None) -> bool:
        """Go through, take, or leave."""
        if key in ("left", "up", "h", "k"):
            self._at = (self._at - 1) % len(self._options)
        elif key in ("right", "down", "space", "l", "j"):
            self._at = (self._at + 1) % len(self._options)
        elif char is not None and char in "123456789" and int(char) <= len(self._options):
            self._at = int(char) - 1
        elif key == "enter":
            self.page.hush()
            self._then(self._options[self._at][0])
        elif key in ("escape", "q"):
            self.page.hush()
        return True


GO_THROUGH = "← → or a number goes through them"
MOST_LINES = 3  # lines of what is said of a line
AROUND = 4  # title and foot
#: which row a line is of; its further lines have their number behind it
LineKey = tuple[str, str] | tuple[str, str, int]
ELSEWHERE = {"own-key": "Enter on “own keys” changes a key; {remove} gives back the usual one."}

#: kind of a line → what a person has chosen there
OWN_UNITS: dict[str, Callable[[View], str]] = {
    "weights": lambda view: view.weights,
    "temperatures": lambda view: view.temperatures,
    "lengths": View.lengths_shown,
    "paper": View.paper_shown,
}


def _row_of(key: object) -> tuple[str, str]:
    kind, which, *_ = cast(LineKey, key)
    return kind, which


class SettingRows(UndoesLast):
    """Rows in as many lines as each takes, and the cursor that goes from row to row."""

    rows: dict[tuple[str, str], Row]
    column = 0  # which cell of a grid is marked

    def _fill(self) -> None:
        width = self._row_width()
        keys: list[LineKey] = []
        for key, row in self.rows.items():
            further = range(1, len(row_lines(row, width)))
            keys += [key, *((*key, n) for n in further)]
        self.list.owner = _row_of if len(keys) > len(self.rows) else None
        self.list.show(keys, self._line)
        self.draw()

    def _row_width(self) -> int:
        """Cells of a row: a long list has several columns in a wide window."""
        size = self.app.size
        most = size.width // self.COLUMN if self.COLUMN else 1
        columns = -(-len(self.rows) // max(1, size.height - AROUND))
        return size.width // max(1, min(most, columns))

    def _line(self, key: object) -> Line:
        kind, which, *further = cast(LineKey, key)
        here = self.column if key == self.list.cursor_key else None
        lines = row_lines(self.rows[kind, which], self.list.column_width, here)
        at = further[0] if further else 0
        return lines[at] if at < len(lines) else ()

    def on_resize(self) -> None:
        """Another width, other lines."""
        self._fill()
        self.list.redraw_all()

    def row_here(self) -> Row:
        """The line under the cursor."""
        return self.rows[_row_of(self.list.cursor_key)]

    # ── moving ────────────────────────────────────────────────────────────────────────────

    def step(self, by: int) -> None:
        """The next row that is not a head; at the upper end the head is shown once more."""
        before = self.list.cursor_key
        self._to_row(by)
        if self.row_here().kind == "head":
            at = self.list.cursor_key
            self._to_row(by)
            if self.list.cursor_key == at and before is not None:
                self.list.move_to(before)

    def _to_row(self, by: int) -> None:
        """The next row, all its lines in sight."""
        here = self.list.cursor_key
        while _row_of(self.list.cursor_key) == _row_of(here):
            at = self.list.cursor_key
            self.list.move(by)
            if self.list.cursor_key == at:
                break
        self._see_whole()

    def _see_whole(self) -> None:
        """Put the cursor on the first line of its row, with the last one in sight."""
        if self.list.owner is None or self.list.cursor_key is None:
            return
        row = _row_of(self.list.cursor_key)
        self.list.move_to([key for key in self.list.keys if _row_of(key) == row][-1])
        self.list.move_to(row)

    def after_leap(self, by: int) -> None:
        """A leap ends on a row that can be changed."""
        if not self.rows:
            return
        self._see_whole()
        if self.row_here().kind == "head":
            self.step(by)
        if self.row_here().kind == "head":
            self.step(-by)


class SettingPage(SettingRows):
    """Lines that Enter changes; how, by the kind of the line."""

    #: kind of a line → what adds another one there
    ADDS: ClassVar[dict[str, str]] = {
        "scale": "_change_new_scale",
        "new-scale": "_change_new_scale",
        "place": "_change_new_place",
        "new-place": "_change_new_place",
    }
    NOTHING_TO_ADD = "Put the cursor among the scales or the places, then {new} adds one."

    def __init__(self, house: DashboardState) -> None:
        super().__init__(house)
        view = person.load()
        self.view = replace(view, keys=own.named_anew(view.keys)) if view.keys else view
        self.rows: dict[tuple[str, str], Row] = {}
        self._asked_at = house.seen  # the newest line of the log when a change was asked for
        self._read()

    @abstractmethod
    def rows_now(self, found: household_settings.HouseholdSettings) -> list[Row]:
        """The lines of this page."""

    def _read(self) -> None:
        found = self.house.read(household_settings.read_settings)
        self.rows = {row.key: row for row in self.rows_now(found)}

    def _begin(self) -> None:
        """Put the cursor on the first line that can be changed."""
        if self.rows and self.row_here().kind == "head":
            self.list.move(1)

    def idle_lines(self, width: int) -> tuple[Line, ...]:
        """What the line means, and what was cut on it."""
        row = self.row_here()
        said = " · ".join(
            words for words in (whole_words(row, self.list.column_width), plain(row.help)) if words
        )
        return tuple(((line, "quiet"),) for line in wrapped(said, width, MOST_LINES))

    # ── changing ──────────────────────────────────────────────────────────────────────────

    def do_edit(self) -> None:
        """Change what the marked line says."""
        row, self._asked_at = self.row_here(), self.house.seen
        if row.kind in OWN_UNITS:
            now = OWN_UNITS[row.kind](self.view)
            self._pick(row, now, lambda value: self._own(row.kind, value))
            return
        change = getattr(self, "_change_" + row.kind.replace("-", "_"), None)
        if change is None:
            words = ELSEWHERE.get(row.kind, "Put the cursor on a line below this heading.")
            raise Refused(words.replace("{remove}", key_of("settings.remove")))
        change(row)

    def _pick(self, row: Row, now: str | None, then: Callable[[str], None]) -> None:
        self.talk(Cycled(self, row.label, setting_rows.options_of(row.kind), now, then))

    def _ask(
        self,
        row: Row,
        question: str,
        read: Callable[[str], Any],
        text: str = "",
        *,
        begun: bool = False,
        trouble: str = "",
    ) -> None:
        """A line of text; ``read`` does it or refuses it with a sentence.

        ``begun``: it was typed already; ``trouble``: why it was not taken before.
        """

        asked = Ask(self, question, read, text=text, help=row.help, begun=begun)
        if trouble:
            asked.refuse(trouble)
        self.talk(asked)

    def _write(self, job: Job, then: Callable[[Any], None]) -> None:
        """Save it on what stood on the line when it was asked for."""
        write_as_shown(self, job, then, seen=self._asked_at)

    def _keep(self, change: Callable[..., Any], *given: Any) -> None:
        """Store what was typed with this service, and say so."""
        self._write(lambda conn, by: change(conn, by, *given), self._kept)

    def _kept(self, _result: Any = None) -> None:
        self.show_message(f"Saved; {self._back()}.", "good")
        self.answered()

    def answered(self) -> None:
        """A line was changed; where questions follow each other, the next is asked."""

    def _back(self) -> str:
        """Which key undoes it, and where."""
        here = any(command.id == f"{self.NAME}.undo" for command in of_page(self.NAME))
        return f"{self.undo_key}{'' if here else ' on the Rack'} undoes it"

    def _own(self, name: str, value: str) -> None:
        """A choice of this person: at once, and in their file."""
        self._own_all({name: value})

    def _own_all(self, chosen: Mapping[str, str | None]) -> None:
        """Several of them; None takes a choice back."""
        self.view = replace(self.view, **chosen)
        show_in(*self.view.shown())
        try:
            for name, value in chosen.items():
                person.choose(name, value)
            self.show_message(f"Saved in {person.view_path()}.", "good")
        except CuredashError as trouble:
            self.show_message(str(trouble), "act")
        self._read()
        self._fill()
        self.list.redraw_all()
        self.answered()

    def _change_units(self, row: Row) -> None:
        """All units at once; lengths and paper follow the weights."""
        self._pick(
            row,
            setting_rows.units_of(self.view),
            lambda value: self._own_all(setting_rows.UNITS_TOGETHER[value]),
        )

    def _change_rule_set(self, row: Row) -> None:
        now = self.house.read(household_settings.read_settings).rule_set
        self._pick(row, now, lambda value: self._keep(household_settings.set_rule_set, value))

    def _change_zone(self, row: Row) -> None:
        self._ask(row, "time zone", self._zone)

    def _zone(self, text: str) -> None:
        def kept(_result: None) -> None:
            self.house.zone = self.house.read(zone)
            self._kept()

        self._write(lambda conn, by: household_settings.set_zone(conn, by, text), kept)

    # ── scales and places ─────────────────────────────────────────────────────────────────

    def _change_new_scale(self, row: Row) -> None:
        def add(text: str) -> None:
            scales = household_settings.typed_scales(text)
            for scale in scales:
                self._free_scale(scale.name)
            self._keep(household_settings.add_scales, scales)

        question = "scales" if row.label == "scales" else "another scale"
        self._ask(replace(row, help=setting_rows.scales_help()), question, add)

    def _change_scale(self, row: Row) -> None:
        scales = self.house.read(household_settings.read_settings).scales
        found = next(s for s in scales if s.name == row.which)
        text = setting_rows.scale_text(found)

        def change(typed: str) -> None:
            scale = household_settings.typed_scale(typed)
            self._free_scale(scale.name, found.name)
            self._keep(household_settings.change_scale, found.name, scale)

        self._ask(row, "scale", change, text)

    def _free_scale(self, name: str, own: str = "") -> None:
        """Refuse a name another scale has while the line is still open."""
        others = {
            s.name.casefold(): s.name
            for s in self.house.read(household_settings.read_settings).scales
        }
        others.pop(own.casefold(), None)
        if name.casefold() in others:
            known = others[name.casefold()]
            raise Refused(f"There is a scale “{known}” already; give this one another name.")

    def _change_new_place(self, row: Row) -> None:
        def add(text: str) -> None:
            new = typed_places(text)
            if not new:
                self.answered()
                return
            for one in new:
                self._free_name(one.name)
            self._write(lambda conn, by: places.add_places(conn, by, new), self._kept_places)

        self._ask(replace(row, help=setting_rows.places_help()), "new place", add)

    def _change_place(self, row: Row) -> None:
        place = self.house.read(places.require_place, row.which)

        def change(text: str) -> None:
            name, temp_c, rh_pct = typed_place(text)
            if not name and temp_c is None and rh_pct is None:
                typed_band(text)  # says what is missing
            if name:
                self._free_name(name, place)
            renamed = None if name in ("", place.name) else name

            def keep(conn: Connection, by: By) -> Place:
                places.change_place(
                    conn,
                    by,
                    place,
                    temp_c=temp_c,
                    rh_pct=rh_pct,
                    name=renamed,
                    then=answered_by(place),
                )
                return places.require_place(conn, renamed or place.name)

            self._write(keep, self._kept_place)

        self._ask(
            row,
            f"temperature and humidity for {plain(place.name)}",
            change,
            setting_rows.place_text(place),
        )

    def _free_name(self, name: str, own: Place | None = None) -> None:
        """Refuse a name another place has while the line is still open."""
        found = self.house.read(places.find_place, name)
        if found is not None and (own is None or found.id != own.id):
            raise Refused(f"There is a place “{found.name}” already; give this one another name.")

    def _kept_place(self, place: Place) -> None:
        """What was understood, so that a band never becomes part of a name unseen."""
        self.show_message(f"Saved: {setting_rows.place_words(place)}. {self._back()}.", "good")

    def _kept_places(self, made: Sequence[Place]) -> None:
        words = facts(*(setting_rows.place_words(place) for place in made))
        self.show_message(f"Saved: {words}. {self._back()}.", "good")
        self.answered()

    def do_new(self) -> None:
        """Another one of what the marked line is."""
        row, self._asked_at = self.row_here(), self.house.seen
        add = self.ADDS.get(row.kind)
        if add is None:
            raise Refused(self.NOTHING_TO_ADD.replace("{new}", key_of("settings.new")))
        getattr(self, add)(row)
