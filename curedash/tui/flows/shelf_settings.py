"""Alerts as a grid, jars and styles: what Settings changes through their services."""

from collections.abc import Callable
from typing import Any, ClassVar

from curedash.domain.errors import CuredashError, Refused
from curedash.domain.household.styles import Style
from curedash.domain.needs.alert_rules import rule
from curedash.present.display_units import in_fahrenheit, temp_letter
from curedash.present.household.settings_row import Row
from curedash.present.household.shelf_rows import jar_text
from curedash.present.household.style_fields import field_of
from curedash.present.places.air import is_difference
from curedash.present.signs import key_drawn
from curedash.present.words import Line, plain, wrapped
from curedash.services.dosing import jars
from curedash.services.household import household_settings, styles
from curedash.services.needs import alert_rules
from curedash.services.needs.cautions import cautions_once
from curedash.tui.chassis.state import DashboardState
from curedash.tui.chassis.writer import Job
from curedash.tui.flows.setting_page import Cycled, SettingPage
from curedash.tui.prompts.as_shown import write_as_shown

STARTS_NUMBER = "0123456789-"


class ShelfSettings(SettingPage):
    """The lines of alerts, jars and styles."""

    ADDS: ClassVar[dict[str, str]] = SettingPage.ADDS | {
        "jar": "_change_new_jar",
        "new-jar": "_change_new_jar",
        "new-premix": "_change_new_premix",
        "styles": "_change_copied_style",
    }
    NOTHING_TO_ADD = (
        "{new} adds a scale, a place or a jar, and copies a style: put the cursor on one."
    )

    def __init__(self, house: DashboardState) -> None:
        self.opened: str | None = None  # the style whose fields are shown
        super().__init__(house)
        self._marked = self.list.cursor_key
        self.list.moved = self._move_mark

    def _move_mark(self) -> None:
        """The brackets of a grid go with the cursor."""
        before, self._marked = self._marked, self.list.cursor_key
        grid = [key for key in (before, self._marked) if key in self.rows and self._cells(key)]
        self.list.redraw(grid)

    def _cells(self, key: object) -> bool:
        return bool(self.rows[key].cells)  # type: ignore[index]

    def idle_lines(self, width: int) -> tuple[Line, ...]:
        """What the line means; of a grid what its marked cell does."""
        row = self.row_here()
        if row.kind != "limits":
            return super().idle_lines(width)
        said = plain(row.cells[self.column].help)
        return tuple(((line, "quiet"),) for line in wrapped(said, width))

    def typed_key(self, key: str, char: str | None) -> None:  # noqa: ARG002
        """A digit begins the new value of an alert."""
        row = self.row_here()
        if char is not None and char in STARTS_NUMBER and row.kind in ("alert", "limits"):
            self._asked_at = self.house.seen
            self._change_threshold(row, char)

    # ── alerts ────────────────────────────────────────────────────────────────────────────

    def do_left(self) -> None:
        """The cell before."""
        self._go_along(-1)

    def do_right(self) -> None:
        """The next cell."""
        self._go_along(1)

    def _go_along(self, by: int) -> None:
        row = self.row_here()
        if row.kind != "limits":
            raise Refused(key_drawn("← and → go through the grid of alerts; put the cursor there."))
        self.column = (self.column + by) % len(row.cells)
        self.list.redraw([row.key])

    def _change_threshold(self, row: Row, begun: str = "") -> None:
        """The value of an alert; ``begun`` was typed already."""
        known = rule(row.cells[self.column].which if row.cells else row.which)
        degrees = known.unit == "°C"
        unit = f"°{temp_letter()}" if degrees else known.unit

        def change(text: str) -> None:
            bare = degrees and in_fahrenheit() and text[-1:].isdecimal()
            value = household_settings.typed_threshold(
                text + "F" if bare else text, known.unit, apart=is_difference(known.id)
            )
            self._keep(alert_rules.set_rule, known.id, value)

        self._ask(row, f"{known.words} [{unit}]", change, begun, begun=bool(begun))

    _change_alert = _change_limits = _change_threshold

    # ── jars ──────────────────────────────────────────────────────────────────────────────

    def _change_new_jar(self, row: Row) -> None:
        self._ask_until_saved(row, "a jar", self._add_jar)

    def _add_jar(self, text: str) -> Job:
        name, strength = jars.typed_jar(text)
        return lambda conn, by: (
            jars.add_jar(conn, by, name, strength),
            cautions_once(conn, by, "curing-salt"),
        )

    def _change_jar(self, row: Row) -> None:
        jar = self.house.read(jars.require_jar, row.which)

        def change(text: str) -> Job:
            name, strength = jars.typed_jar(text)
            return lambda conn, by: (jars.change_jar(conn, by, jar.salt.name, name, strength), ())

        self._ask_until_saved(row, "jar", change, jar_text(jar))

    def _change_new_premix(self, row: Row) -> None:
        def mix(text: str) -> Job:
            of, parts, weight_g, name = jars.typed_premix(text)
            day = self.house.today()

            def job(conn: Any, by: Any) -> Any:
                jar, made = jars.add_premix(conn, by, of, parts, weight_g, name=name, mixed_on=day)
                return jar, (made.recipe, *cautions_once(conn, by, "curing-salt"))

            return job

        self._ask_until_saved(row, "a pre-mix", mix)

    # ── styles ────────────────────────────────────────────────────────────────────────────

    def _change_styles(self, row: Row) -> None:
        """Show its fields below it, or none again."""
        self._open_style(None if self.opened == row.which else row.which)

    def _open_style(self, style_id: str | None) -> None:
        """Show the fields of this style alone, its line as far up as that goes."""
        self.opened = style_id
        self._read()
        self._fill()
        if style_id is not None:
            key = ("styles", style_id)
            self.list.move_to(key)
            self.list.scroll_by_lines(self.list.keys.index(key) - self.list.top)
            self.draw()

    def _change_style_field(self, row: Row) -> None:
        style_id, _, field_id = row.which.partition(" ")
        field, known = field_of(field_id), self._style(style_id)
        label = f"{plain(known.style.name)}: {field.label or 'humidity'}"

        def change(text: str) -> Job:
            values = field.read(text)
            return lambda conn, by: (styles.set_style(conn, by, style_id, values), ())

        if field.options:
            self.talk(
                Cycled(
                    self,
                    label,
                    field.options,
                    field.typed(known.style),
                    lambda answer: self._write(change(answer), self._kept_with),
                )
            )
        else:
            self._ask_until_saved(row, label, change, field.typed(known.style))

    def _style(self, style_id: str) -> styles.KnownStyle:
        return self.house.read(styles.require_style, style_id)

    def _change_copied_style(self, row: Row) -> None:
        """A copy under a name of its own, opened."""
        known = self._style(row.which)

        def copy(text: str) -> Job:
            name = " ".join(text.split())
            new_id = "-".join("".join(c if c.isalnum() else " " for c in name.casefold()).split())
            if not new_id:
                raise Refused("Give the copy a name with letters or digits, e.g. our collar.")
            return lambda conn, by: (
                styles.copy_style(conn, by, known.style.id, new_id, {"name": name}),
                (),
            )

        self._ask_until_saved(row, f"name of a copy of {plain(known.style.name)}", copy)

    # ── asked on one line ─────────────────────────────────────────────────────────────────

    def _ask_until_saved(
        self, row: Row, question: str, change: Callable[[str], Job], text: str = "", **more: Any
    ) -> None:
        """Ask for a line; what the service refuses is asked again with what was typed."""

        def read(typed: str) -> None:
            job = change(typed)

            def refused(trouble: CuredashError) -> None:
                self._ask_until_saved(
                    row, question, change, typed, begun=True, trouble=str(trouble)
                )
                self.draw_foot()

            write_as_shown(self, job, self._kept_with, refused, seen=self._asked_at)

        self._ask(row, question, read, text, **more)

    def _kept_with(self, done: Any) -> None:
        """Saved, with what is said once beside it; a style is opened."""
        made, sentences = done
        if isinstance(made, Style) and made.id != self.opened:
            self._open_style(made.id)
        self.show_message(" ".join((f"Saved; {self._back()}.", *sentences)), "good")
