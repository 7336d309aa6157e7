"""Settings: what this person sees and what the household settled, changed at the foot."""

from abc import abstractmethod
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from os import environ
from typing import Any

from textual.widget import Widget

from curedash.domain.errors import CuredashError, Refused
from curedash.domain.needs.alert_rules import rule
from curedash.domain.record import replace
from curedash.domain.records import Place
from curedash.present import signs
from curedash.present.display_units import (
    band_example,
    in_fahrenheit,
    scale_example,
    show_in,
    temp_letter,
)
from curedash.present.household.settings import (
    UNITS_TOGETHER,
    Row,
    all_rows,
    options_of,
    place_text,
    place_words,
    row_line,
    scale_text,
    units_of,
)
from curedash.present.places.air import is_difference
from curedash.present.words import Line, below_words, cells, cut, plain
from curedash.services.dosing.answer import answered_by
from curedash.services.household import household_settings, styles
from curedash.services.household import preferences as person
from curedash.services.needs import alert_rules
from curedash.services.places import places
from curedash.store.watching import Connection
from curedash.store.work import By
from curedash.tui.chassis import apply_preferences as own
from curedash.tui.chassis.commands import RENAMED, by_key, key_of, use_keys
from curedash.tui.chassis.foot_prompt import Hint
from curedash.tui.chassis.list_page import ListPage
from curedash.tui.chassis.page import Page
from curedash.tui.chassis.state import DashboardState
from curedash.tui.chassis.writer import Job
from curedash.tui.prompts.as_shown import write_as_shown
from curedash.tui.prompts.prompt import Ask, PagePrompt
from curedash.tui.prompts.typed_air import typed_band, typed_place
from curedash.tui.widgets.lines import LineList


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
            return tuple(spans), ((cut("← → or a number goes through them", width), "quiet"),)
        where = f"  {self._at + 1} of {len(self._options)}"
        room = width - cells(self._question) - 3 - len(where)
        first: Line = (
            (f"{self._question} › ", "strong"),
            (cut(words, room), "typed"),
            (where, "quiet"),
        )
        return first, ((cut("← → or a number goes through them", width), "quiet"),)

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


class SettingPage(ListPage):
    """Lines that Enter changes; how, by the kind of the line."""

    def __init__(self, house: DashboardState) -> None:
        super().__init__(house)
        view = person.load()
        self.view = replace(view, keys=own.named_anew(view.keys)) if view.keys else view
        self.rows: dict[tuple[str, str], Row] = {}
        self._asked_at = house.seen  # the newest line of the log when a change was asked for
        self.list = LineList(house.styles, id="body")
        self._read()

    def body(self) -> Iterable[Widget]:
        """The list."""
        yield self.list

    @abstractmethod
    def rows_now(self, found: household_settings.HouseholdSettings) -> list[Row]:
        """The lines of this page."""

    def _read(self) -> None:
        found = self.house.read(household_settings.read_settings)
        self.rows = {row.key: row for row in self.rows_now(found)}

    def _fill(self) -> None:
        self.list.show(list(self.rows), lambda key: row_line(self.rows[key], self.app.size.width))  # type: ignore[index]
        self.draw()

    def on_mount(self) -> None:
        """Fill the list; the cursor stands on the first line that can be changed."""
        self._fill()
        if self.rows and self.row_here().kind == "head":
            self.list.move(1)

    def on_resize(self) -> None:
        """Another width, other lines."""
        self.list.redraw_all()
        self.draw()

    def changed(self, lots: set[int]) -> None:  # noqa: ARG002
        """Somebody chose something."""
        self._read()
        self._fill()

    def row_here(self) -> Row:
        """The line under the cursor."""
        return self.rows[self.list.cursor_key]  # type: ignore[index]

    def idle_lines(self, width: int) -> tuple[Line, Line]:
        """What the line means."""
        row = self.row_here()
        return ((cut(plain(row.help), width), "quiet"),), ()

    # ── moving ────────────────────────────────────────────────────────────────────────────

    def step(self, by: int) -> None:
        """The next line that is not a head; at the upper end the head is shown once more."""
        before = self.list.cursor_key
        self.list.move(by)
        if self.row_here().kind == "head":
            at = self.list.cursor_key
            self.list.move(by)
            if self.list.cursor_key == at and before is not None:
                self.list.move_to(before)

    # ── changing ──────────────────────────────────────────────────────────────────────────

    def do_edit(self) -> None:
        """Change what the marked line says."""
        row, self._asked_at = self.row_here(), self.house.seen
        change = getattr(self, "_change_" + row.kind.replace("-", "_"), None)
        if change is None:
            words = _ELSEWHERE.get(row.kind, "Put the cursor on a line below this head.")
            raise Refused(words.replace("{remove}", key_of("settings.remove")))
        change(row)

    def _pick(self, row: Row, now: str | None, then: Callable[[str], None]) -> None:
        self.talk(Cycled(self, row.label, options_of(row.kind), now, then))

    def _ask(self, row: Row, question: str, read: Callable[[str], Any], text: str = "") -> None:
        """A line of text; ``read`` does it or refuses it with a sentence."""

        def take(typed: str) -> str | None:
            try:
                read(typed)
            except CuredashError as refusal:
                return str(refusal)
            return None

        self.talk(Ask(self, question, take, text=text, help=row.help))

    def _write(self, job: Job, then: Callable[[Any], None]) -> None:
        """Save it on what stood on the line when it was asked for."""
        write_as_shown(self, job, then, seen=self._asked_at)

    def _kept(self, _result: Any = None) -> None:
        self.show_message(f"Saved; {key_of('rack.undo')} on the Rack takes it back.", "good")

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

    def _change_units(self, row: Row) -> None:
        """All units at once; lengths and paper follow the weights."""
        self._pick(row, units_of(self.view), lambda value: self._own_all(UNITS_TOGETHER[value]))

    def _change_weights(self, row: Row) -> None:
        self._pick(row, self.view.weights, lambda value: self._own("weights", value))

    def _change_temperatures(self, row: Row) -> None:
        self._pick(row, self.view.temperatures, lambda value: self._own("temperatures", value))

    def _change_lengths(self, row: Row) -> None:
        self._pick(row, self.view.lengths_shown(), lambda value: self._own("lengths", value))

    def _change_paper(self, row: Row) -> None:
        self._pick(row, self.view.paper_shown(), lambda value: self._own("paper", value))

    def _change_rule_set(self, row: Row) -> None:
        now = self.house.read(household_settings.read_settings).rule_set
        self._pick(
            row,
            now,
            lambda value: self._write(
                lambda conn, by: household_settings.set_rule_set(conn, by, value), self._kept
            ),
        )

    def _change_zone(self, row: Row) -> None:
        self._ask(row, "time zone", self._zone)

    def _zone(self, text: str) -> None:
        def kept(_result: None) -> None:
            from curedash.services.household.household import zone

            self.house.zone = self.house.read(zone)
            self._kept()

        self._write(lambda conn, by: household_settings.set_zone(conn, by, text), kept)

    # ── scales and places ─────────────────────────────────────────────────────────────────

    def _change_new_scale(self, row: Row) -> None:
        def add(text: str) -> None:
            scale = household_settings.typed_scale(text)
            self._free_scale(scale.name)
            self._write(lambda conn, by: household_settings.add_scale(conn, by, scale), self._kept)

        self._ask(
            replace(row, help=f"name, resolution, capacity: {scale_example()}"),
            "another scale",
            add,
        )

    def _change_scale(self, row: Row) -> None:
        scales = self.house.read(household_settings.read_settings).scales
        found = next(s for s in scales if s.name == row.which)
        text = scale_text(found)

        def change(typed: str) -> None:
            scale = household_settings.typed_scale(typed)
            self._free_scale(scale.name, found.name)
            self._write(
                lambda conn, by: household_settings.change_scale(conn, by, found.name, scale),
                self._kept,
            )

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
            name, temp_c, rh_pct = typed_place(text)
            if not name:
                raise Refused(f"Type its name first, e.g. Fridge 2 {band_example()}.")
            self._free_name(name)
            self._write(
                lambda conn, by: places.add_place(conn, by, name, temp_c=temp_c, rh_pct=rh_pct),
                self._kept_place,
            )

        self._ask(replace(row, help=f"name and band: Fridge 2 {band_example()}"), "new place", add)

    def _change_place(self, row: Row) -> None:
        place = self.house.read(lambda conn: places.require_place(conn, row.which))

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

        self._ask(row, f"{plain(place.name)} should keep", change, place_text(place))

    def _free_name(self, name: str, own: Place | None = None) -> None:
        """Refuse a name another place has while the line is still open."""
        found = self.house.read(lambda conn: places.find_place(conn, name))
        if found is not None and (own is None or found.id != own.id):
            raise Refused(f"There is a place “{found.name}” already; give this one another name.")

    def _kept_place(self, place: Place) -> None:
        """What was understood, so that a band never becomes part of a name unseen."""
        self.show_message(
            f"Saved: {place_words(place)}. {key_of('rack.undo')} on the Rack takes it back.", "good"
        )

    def do_new(self) -> None:
        """Another scale or place."""
        row, self._asked_at = self.row_here(), self.house.seen
        if row.kind in ("scale", "new-scale"):
            self._change_new_scale(row)
        elif row.kind in ("place", "new-place"):
            self._change_new_place(row)
        else:
            more = key_of("settings.new")
            raise Refused(f"Put the cursor among the scales or the places, then {more} adds one.")


_ELSEWHERE = {
    "jars": "Jars are changed in the shell: curedash jar add 'red jar' 6.25/0; jar remove.",
    "styles": "{remove} removes a style no batch has; curedash style set mine changes it.",
    "own-key": "Enter on “own keys” changes a key; {remove} gives back the usual one.",
}


class Settings(SettingPage):
    """Everything that can be settled."""

    NAME = "settings"

    def rows_now(self, found: household_settings.HouseholdSettings) -> list[Row]:
        """All of it."""
        plain_ink = "NO_COLOR" in environ
        return all_rows(
            self.view,
            found,
            self.house.theme,
            person.view_path(),
            plain_ink=plain_ink,
            remove_key=key_of("settings.remove"),
            sensor_key=key_of("settings.sensor"),
        )

    def title_line(self, width: int) -> Line:
        """The head the marked line belongs to, and how many lines there are below."""
        at = list(self.rows).index(self.row_here().key)
        head = next(row for row in [*self.rows.values()][at::-1] if row.kind == "head")
        spans = [("SETTINGS   ", "title"), (head.label, "")]
        more = below_words(self.list.below)
        used = sum(cells(text) for text, _tone in spans)
        return (*spans, (" " * max(1, width - used - cells(more)), ""), (more, "quiet"))

    def draw_foot(self) -> None:
        """The title follows the marked line too."""
        self.draw_heading()
        super().draw_foot()

    def cannot(self) -> Collection[str]:
        """What does nothing on the marked line."""
        row = self.row_here()
        able = {
            "settings.new": row.kind in ("scale", "new-scale", "place", "new-place"),
            "settings.sensor": row.kind == "place",
            "settings.remove": row.kind in ("scale", "alert", "own-key")
            or (row.kind == "styles" and bool(row.which)),
            "settings.edit": row.kind not in ("head", *_ELSEWHERE),
        }
        return [command for command, works in able.items() if not works]

    def hints(self) -> list[Hint]:
        """Of an alert or a key, what removes gives the usual value."""
        usual = self.row_here().kind in ("alert", "own-key")
        return [
            (key, "usual") if usual and key == key_of("settings.remove") else (key, words)
            for key, words in super().hints()
        ]

    # ── this person ───────────────────────────────────────────────────────────────────────

    def _change_theme(self, row: Row) -> None:
        self._pick(row, self.house.theme, self._take_look)

    def _take_look(self, theme: str) -> None:
        self.house.navigator.look_like(theme)
        self._own("theme", theme)
        if self.house.theme != theme:
            self.show_message(
                "Saved; NO_COLOR or the terminal overrides the colours here.", "today"
            )

    def _change_signs(self, row: Row) -> None:
        self._pick(row, self.view.signs or "auto", self._take_signs)

    def _take_signs(self, name: str) -> None:
        self._own_all({"signs": None if name == "auto" else name})
        signs.use(signs.set_for(self.view.signs))
        self.house.navigator.look_like(self.house.theme)

    def _change_own_keys(self, row: Row) -> None:
        self._ask(row, "command and key", self._bind)

    def _bind(self, text: str) -> None:
        typed, *keys = text.replace("=", " ").split() or [""]
        name = RENAMED.get(typed, typed)
        kept = dict(self.view.keys or {})
        if keys:
            kept[name] = tuple(keys)
        elif kept.pop(name, None) is None:
            own.checked(name, "a")
        usable, troubles = own.usable(kept)
        mine = [trouble for trouble in troubles if trouble.startswith(name)]
        if troubles and (mine or name not in usable):
            raise Refused((mine or troubles)[0])
        for old in (old for old, new in RENAMED.items() if new == name):
            person.choose_keys(old, ())
        person.choose_keys(name, usable.get(name, ()))
        self.view = replace(self.view, keys=kept)
        use_keys(usable)
        for page in self.app.screen_stack:
            if isinstance(page, Page):
                page.rebind(by_key(page.NAME))
        self._read()
        self._fill()
        self.show_message(f"Saved in {person.view_path()}.", "good")

    # ── the household ─────────────────────────────────────────────────────────────────────

    def _change_keep_days(self, row: Row) -> None:
        self._ask(
            row,
            "a pack keeps, days",
            lambda text: self._write(
                lambda conn, by: household_settings.set_keep_days(conn, by, text), self._kept
            ),
        )

    def _change_copies(self, row: Row) -> None:
        self._ask(
            row,
            "daily copies to keep",
            lambda text: self._write(
                lambda conn, by: household_settings.set_copies(conn, by, text), self._kept
            ),
        )

    def _change_alert(self, row: Row) -> None:
        known = rule(row.which)
        degrees = known.unit == "°C"
        unit = f"°{temp_letter()}" if degrees else known.unit

        def change(text: str) -> None:
            bare = degrees and in_fahrenheit() and text[-1:].isdecimal()
            value = household_settings.typed_threshold(
                text + "F" if bare else text, known.unit, apart=is_difference(known.id)
            )
            self._write(
                lambda conn, by: alert_rules.set_rule(conn, by, known.id, value), self._kept
            )

        self._ask(row, f"{known.words} [{unit}]", change)

    def do_sensor(self) -> None:
        """Choose who measures in this place."""
        row, self._asked_at = self.row_here(), self.house.seen
        if row.kind != "place":
            sensor = key_of("settings.sensor")
            raise Refused(f"Put the cursor on a place, then {sensor} says who measures there.")
        place = self.house.read(lambda conn: places.require_place(conn, row.which))
        self.talk(
            Cycled(
                self,
                plain(place.name),
                options_of("watch"),
                place.watch,
                lambda watch: self._write(
                    lambda conn, by: places.change_place(conn, by, place, watch=watch), self._kept
                ),
            )
        )

    def do_remove(self) -> None:
        """Forget a scale or a style nobody used; give an alert or a key its usual value."""
        row, self._asked_at = self.row_here(), self.house.seen
        if row.kind == "scale":
            self._write(
                lambda conn, by: household_settings.remove_scale(conn, by, row.which), self._kept
            )
        elif row.kind == "alert":
            self._write(lambda conn, by: alert_rules.reset_rule(conn, by, row.which), self._kept)
        elif row.kind == "own-key":
            self._bind(row.which)
        elif row.kind == "styles" and row.which:
            self._write(lambda conn, by: styles.remove_unused(conn, by, row.which), self._kept)
        else:
            raise Refused(
                f"{key_of('settings.remove')} is for scales, own styles, alerts and own keys;"
                " a place cannot be removed."
            )
