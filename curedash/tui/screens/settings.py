"""Settings: what this person sees and what the household settled, changed at the foot."""

from collections.abc import Collection
from functools import partial
from os import environ

from curedash.domain.errors import Refused
from curedash.domain.record import replace
from curedash.present import signs
from curedash.present.household.settings import all_rows, options_of
from curedash.present.household.settings_row import OWN, Row
from curedash.present.words import Line, below_words, cells, plain
from curedash.services.dosing import jars
from curedash.services.household import household_settings, styles
from curedash.services.household import preferences as person
from curedash.services.needs import alert_rules
from curedash.services.places import places
from curedash.tui.chassis import apply_preferences as own
from curedash.tui.chassis.commands import RENAMED, by_key, key_of, use_keys
from curedash.tui.chassis.foot_prompt import Hint
from curedash.tui.chassis.page import Page
from curedash.tui.flows.setting_page import ELSEWHERE, Cycled
from curedash.tui.flows.shelf_settings import ShelfSettings
from curedash.tui.widgets.lines import COLUMN


class Settings(ShelfSettings):
    """Everything that can be settled."""

    NAME = "settings"

    COLUMN = COLUMN

    def rows_now(self, found: household_settings.HouseholdSettings) -> list[Row]:
        """All of it."""
        plain_ink = "NO_COLOR" in environ
        return all_rows(
            self.view,
            found,
            self.house.theme,
            person.view_path(),
            self.house.read(styles.all_styles),
            plain_ink=plain_ink,
            opened=self.opened,
            remove_key=key_of("settings.remove"),
            sensor_key=key_of("settings.sensor"),
            new_key=key_of("settings.new"),
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
            "settings.new": row.kind in self.ADDS,
            "settings.left": bool(row.cells) and row.kind != "head",
            "settings.right": bool(row.cells) and row.kind != "head",
            "settings.sensor": row.kind == "place",
            "settings.remove": row.kind in ("scale", "alert", "limits", "jar", "own-key")
            or (row.kind == "styles" and row.label.endswith(OWN)),
            "settings.edit": row.kind not in ("head", *ELSEWHERE),
        }
        return [command for command, works in able.items() if not works]

    def hints(self) -> list[Hint]:
        """Of an alert or a key, what removes gives the usual value."""
        usual = self.row_here().kind in ("alert", "limits", "own-key")
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

    def _change_mouse(self, row: Row) -> None:
        self._pick(row, self.view.mouse, self._take_mouse)

    def _take_mouse(self, chosen: str) -> None:
        self.house.navigator.use_mouse(on=chosen == "on")
        self._own("mouse", chosen)

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
        self._ask(row, "a pack keeps, days", partial(self._keep, household_settings.set_keep_days))

    def _change_copies(self, row: Row) -> None:
        self._ask(row, "daily copies to keep", partial(self._keep, household_settings.set_copies))

    def do_sensor(self) -> None:
        """Choose who measures in this place."""
        row, self._asked_at = self.row_here(), self.house.seen
        if row.kind != "place":
            sensor = key_of("settings.sensor")
            raise Refused(f"Put the cursor on a place, then {sensor} says who measures there.")
        place = self.house.read(places.require_place, row.which)
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
        """Forget a scale, jar or style; give an alert or a key its usual value."""
        row, self._asked_at = self.row_here(), self.house.seen
        if row.kind == "scale":
            self._keep(household_settings.remove_scale, row.which)
        elif row.kind in ("alert", "limits"):
            which = row.cells[self.column].which if row.cells else row.which
            self._keep(alert_rules.reset_rule, which)
        elif row.kind == "jar":
            self._keep(jars.remove_jar, row.which)
        elif row.kind == "own-key":
            self._bind(row.which)
        elif row.kind == "styles" and row.which:
            self._keep(styles.remove_unused, row.which)
        else:
            raise Refused(
                f"{key_of('settings.remove')} is for scales, jars, own styles, alerts, own keys;"
                " a place cannot be removed."
            )
