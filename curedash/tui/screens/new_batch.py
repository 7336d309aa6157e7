"""A new batch: one form, the dose of every piece computed at each key, then the dose sheet."""

from collections.abc import Callable, Iterable, Sequence
from typing import Any, cast

from textual.widget import Widget

from curedash.domain.dosing import DoseRequest, Premix
from curedash.domain.errors import CuredashError
from curedash.domain.times import utc_text
from curedash.present.display_units import retold
from curedash.present.dosing.batch_cells import ends_pieces, joined, rare
from curedash.present.dosing.batch_fields import (
    NO,
    YES,
    effective,
    field,
    known_style,
    label,
    near_styles,
    options,
    rows,
    said,
    taken_words,
    value_of,
)
from curedash.present.dosing.batch_lines import (
    below_cells,
    cells_line,
    field_line,
    heads_line,
    help_lines,
    lines_below,
    open_words,
    title,
    waits_words,
)
from curedash.present.dosing.batch_reading import Read, answer_typed, read_form
from curedash.present.dosing.batch_texts import scales_words, text_of, whole_weight
from curedash.present.dosing.dose_table import DoseTable, dose_table, premix_of
from curedash.present.words import Line, cells, cut, plain
from curedash.services.dosing.add_batch import AddedBatch, BatchSpec, add_batch, open_questions
from curedash.services.dosing.batch_start import start_batch
from curedash.services.dosing.jars import Jar, add_premix
from curedash.services.file import drafts
from curedash.services.household.household import choose
from curedash.services.needs.cautions import say_once
from curedash.store.watching import Connection
from curedash.store.work import By
from curedash.tui.chassis.commands import key_of
from curedash.tui.chassis.foot_prompt import Hint
from curedash.tui.chassis.form import OPEN, Form
from curedash.tui.chassis.form_page import FormPage
from curedash.tui.chassis.state import House
from curedash.tui.flows.form_questions import MakeAgain, NewStyle, WhySo, kept_words
from curedash.tui.prompts.prompt import Ask
from curedash.tui.widgets.lines import FixedLines, LineList

DRAFT = "new-batch"
OWN_STYLE = "own-style"  # beside the fields: the new style that was meant so
ALL_HINTS = 80  # columns that hold every key at the foot
AROUND = 5  # lines of title, buttons and foot
SAID_LINES = 3


class TableLines(FixedLines):
    """Lines whose number may change; a change lays the page out anew, so it is kept rare."""

    def hold(self, lines: int) -> None:
        """Have this many lines."""
        if lines != len(self._lines):
            self._lines = (self._lines + [()] * lines)[:lines]
            self.styles.height = lines


class NewBatch(FormPage):
    """The form, the dose table, the buttons."""

    NAME = "new_batch"
    BUTTONS = (
        ("Save F10", "Save F10", "do_save"),
        ("Leave, saved as a draft Esc", "Leave, saved Esc", "do_leave"),
        ("Empty F9", "Empty F9", "do_empty"),
    )

    def __init__(self, house: House, *, again: str | None = None) -> None:
        super().__init__(house)
        self._again = again
        now = house.now()
        self._start = house.read(lambda conn: start_batch(conn, again, now))
        self._values: dict[str, str] = {}
        self._read: Read | None = None
        self._table: DoseTable | None = None
        self._scroll = 0  # lines of the table scrolled past: lots, then sentences
        self._before: dict[str, str] = {}  # what stood there before it was emptied
        self._tried = False  # to save: what is still wanted is said in earnest then
        self._more = ""  # of the doses, that has no room: the key for it, beside the buttons
        self._left = False  # a field was left just now: the lines may take another room
        self._settled = False  # saved, or kept as a draft
        self._kept: dict[str, str] = {}  # what the draft in the file holds of this form
        self._notes: list[str] = [] if self._start.again is None else list(self._start.again.notes)
        self.form = Form(
            lambda field_id: field(field_id).kind,
            lambda field_id: options(field_id, self._values, self._start),
            lambda field_id: value_of(field_id, self._values),
            rare=rare,
            ends=lambda field_id: ends_pieces(field_id, self._values),
        )
        self.list = LineList(house.styles, id="body")
        self.table = TableLines(house.styles, id="table")
        self.compute()

    def body(self) -> Iterable[Widget]:
        """Fields, doses, buttons."""
        yield from (self.list, self.table, self.buttons)

    def on_mount(self) -> None:
        """Offer what was left half-typed; say the cautions that belong here, once."""
        self.draw()
        kept = self.house.read(drafts.waiting)
        draft = next((d for d in kept if d.name == DRAFT), None)
        if draft is not None and self._again in (None, draft.body.get("again")):
            self.take_up(draft)
            self.say(kept_words(draft, self.house.zone) + "; F9 begins afresh.", "today")
        elif draft is not None:
            self.talk(MakeAgain(self, draft, self.take_up))
        self._quietly(lambda conn, by: say_once(conn, by, "new-batch", "rule-set"), self._cautions)

    def _cautions(self, sentences: tuple[str, ...]) -> None:
        if sentences:
            self._notes += sentences
            self.draw()

    def buttons_line(self) -> Line:
        """The buttons, and at their right the key for what of the doses has no room."""
        line = super().buttons_line()
        room = self.app.size.width - sum(cells(text) for text, _tone in line)
        more = self._more if cells(self._more) <= room else self._more[:4]
        return (*line, (" " * max(0, room - cells(more)), ""), (more, "key"))

    # ── computing and drawing ─────────────────────────────────────────────────────────────

    def compute(self) -> None:
        """Read the form and compute the doses; what a field offers may change with it."""
        house = self.house
        self._as_one_field()
        self._values = effective(self.form.touched, self._start)
        self._read = read_form(self._values, self._start, house.now(), house.zone)
        self.form.lay_out(rows(self._values, len(self._read.greens), self._read.sources))

    def _as_one_field(self) -> None:
        """Pieces that are all alike again: their weights stand in one field."""
        touched = self.form.touched
        weights = [field_id for field_id in touched if field_id.startswith("green:")]
        if weights and touched.get("each") == NO and self._values.get("each") == YES:
            touched["pieces"] = joined(self._values)
            for field_id in weights:
                del touched[field_id]

    def show_form(self) -> None:
        """Doses first: their number decides how much room the fields have."""
        self._show_table()
        keys: list[object] = [("!note", n) for n in range(len(self._notes))]
        cells = ""  # what the line above begins with
        for row in self.form.rows:
            of, many, _ = row[0].partition(":")
            if many and of != cells:
                keys.append(("!heads", *row))
            cells = of
            keys.append(tuple(row))
            keys += [("!below", n, *row) for n in range(len(self._below(row)))]
        self.list.show(keys, self._line)
        self.list.move_to(next(tuple(row) for row in self.form.rows if self.form.at in row))
        self.call_after_refresh(self.draw_heading)  # by then the fields have their room

    def _line(self, key: object) -> Line:
        width = self.app.size.width
        ids = cast(tuple[str, ...], key)
        if ids[0] == "!note":
            return ((cut("  " + plain(self._notes[cast(int, ids[1])]), width), "today"),)
        if ids[0] == "!heads":
            return heads_line(ids[1:], width)
        if ids[0] == "!below":
            below, n = self._below(ids[2:]), cast(int, ids[1])
            return below[n] if n < len(below) else ()
        focus = self.form.at if self.button is None else None
        read = cast(Read, self._read)
        shown = {field_id: self._shown(field_id, focus) for field_id in ids}
        if len(ids) > 1:
            return cells_line(
                ids, shown, self._values, read, self._start.code, focus, width, self._ink()
            )
        field_id = ids[0]
        return field_line(
            field_id,
            shown[field_id],
            label(field_id, self._values),
            self._values,
            read,
            width,
            focused=focus == field_id,
            earnest=self._tried,
            tone=self._ink(),
            taken=taken_words(field_id, self._values, self.form.touched, self._start),
        )

    def _below(self, ids: Sequence[str]) -> tuple[Line, ...]:
        """The lines under a line of fields: what had no room on it."""
        focus = self.form.at if self.button is None else None
        read = cast(Read, self._read)
        if len(ids) > 1:
            return below_cells(ids, read, focus, self.app.size.width)
        field_id = ids[0]
        shown = self._shown(field_id, focus)
        return lines_below(field_id, shown, read, self.app.size.width, focused=field_id == focus)

    def _ink(self) -> str:
        """How the field with the focus is drawn; a choice is gone through, never typed over."""
        return "typed" if field(self.form.at).kind == "choice" else self.form.typed.tone

    def _shown(self, field_id: str, focus: str | None) -> str:
        """A field's value; with its caret while it is typed."""
        if field_id == focus and field(field_id).kind != "choice":
            text = self.form.typed.shown
            words = said(field_id, self.form.typed.text, self._values, self._start)
            extra = words[len(self.form.typed.text) :]
            return plain(text) + plain(extra)
        text = value_of(field_id, self._values)
        if field_id.startswith(("green:", "bought:")):
            text = whole_weight(text)
        if field_id == "scale":
            return plain(scales_words(text))
        return plain(said(field_id, text, self._values, self._start))

    def _show_table(self) -> None:
        """Head, lots, sum and sentences, in the lines there are."""
        house, read, width = self.house, cast(Read, self._read), self.app.size.width
        room = max(2, self.app.size.height - AROUND)
        most = max(2, room - max(6, room * 11 // 20))
        keep = 0 if self._left else min(len(self.table._lines), most)  # typing moves no line
        self._left = False
        self._more = ""
        if not read.planned:
            self._table = None
            self.table.hold(1 if read.troubles else max(1, keep))
            self.table.show(((cut(waits_words(read), width), "quiet"),), *[()] * most)
            return
        day = read.spec.salted_at if read.spec and read.spec.salted_at else house.now()
        table = self._table = dose_table(read.planned, self._start.code, day, house.zone, width)
        fixed = 1 + (table.total is not None)
        least = min(len(table.said), SAID_LINES, max(1, most - fixed - min(len(table.lots), 4)))
        lots = max(1, min(len(table.lots), most - fixed - least))
        text = min(len(table.said), most - fixed - lots)
        self._scroll = max(0, min(self._scroll, len(table.lots) - lots + len(table.said) - text))
        top = min(self._scroll, len(table.lots) - lots)
        first = self._scroll - top
        self.table.hold(max(fixed + lots + text, keep))
        head, total = table.head, table.total
        if lots < len(table.lots):
            self._more = f"PgDn: lots {top + 1}–{top + lots} of {len(table.lots)}"
        elif text < len(table.said):
            self._more = "PgDn: more" if first + text < len(table.said) else "PgUp: back"
        shown = [head, *table.lots[top : top + lots]]
        shown += [total] if total is not None else []
        self.table.show(*shown, *table.said[first : first + text], *[()] * most)

    def title_line(self, width: int) -> Line:
        """What the batch will be, and how far the form is."""
        read = cast(Read, self._read)
        return title(self._start.code, read, self._again, width, self.list.below)

    def idle_lines(self, width: int) -> tuple[Line, ...]:
        """What is wrong with the field, else what it wants."""
        read = cast(Read, self._read)
        if self.button is not None:
            open_ones = read.wanted or read.troubles
            words = f"{open_words(read)}." if open_ones else "Enter does it."
            return ((words, "quiet"),), ()
        return help_lines(
            self.form.at, self._values, self._start, read, self.form.typed.text, width
        )

    def hints(self) -> list[Hint]:
        """What the keys do at this field."""
        found: list[Hint] = [("F10", "save"), ("Esc", "leave")]
        of_line = self.button is None and ":" in self.form.at
        chosen = self.button is None and field(self.form.at).kind in ("choice", *OPEN)
        accepted = self._read is not None and bool(self._read.accepted)
        if accepted:
            found.append(("F5", "accepted"))
        elif of_line and not chosen:
            found.append(("Enter", "next"))
        if not accepted or self.app.size.width >= ALL_HINTS:
            found += [("Tab", "each"), ("↓", "line")] if of_line else [("Tab ↑↓", "fields")]
        if chosen:
            found.append(("←→", "choose"))
        elif of_line and self.app.size.width >= ALL_HINTS:
            found.append(("↑", "back"))
        return [*found, ("F1", "keys")]

    def changed(self, lots: set[int]) -> None:
        """Somebody else wrote; places and jars may be new."""

    def shown_again(self) -> None:
        """Back from the keys: what was typed stands."""

    # ── keys ──────────────────────────────────────────────────────────────────────────────

    def do_table_down(self) -> None:
        """Further down in the dose table and what is said under it."""
        self._scroll += 3
        self.draw()

    def do_table_up(self) -> None:
        """Further up in the dose table."""
        self._scroll = max(0, self._scroll - 3)
        self.draw()

    def do_accepted(self) -> None:
        """Use the suggested value."""
        read = cast(Read, self._read)
        if not read.accepted:
            self.say("Nothing refused here has a suggested value.", "quiet")
            return
        self.form.put(dict(read.accepted))
        self.compute()
        self.draw()

    def do_premix(self) -> None:
        """Make the proposed pre-mix a jar of the household and dose with it."""
        found = premix_of(cast(Read, self._read).planned)
        if found is None:
            self.say(
                "No pre-mix is needed: the scale weighs this curing salt well enough.", "quiet"
            )
            return
        mix, better = found
        cure, today = self._values["curing_salt"], self.house.today()

        def take(name: str) -> None:
            self.write(
                lambda conn, by: add_premix(
                    conn,
                    by,
                    cure,
                    mix.parts_plain,
                    mix.curing_salt_g + mix.plain_salt_g,
                    name=name,
                    mixed_on=today,
                ),
                lambda made: self._mixed(made[0], made[1], better),
            )

        self.talk(Ask(self, "call the jar", take, text=plain(mix.salt.name), help=mix.recipe))

    def _mixed(self, jar: Jar, mix: Premix, better: DoseRequest) -> None:
        """The jar stands on the shelf: the form doses with it."""
        again, now = self._again, self.house.now()
        self._start = self.house.read(lambda conn: start_batch(conn, again, now))
        self.form.put({"curing_salt": jar.salt.id, "cure": text_of(better.cure_pct or 0.0)})
        self.compute()
        self.draw()
        self.say(f"A jar on the shelf, dosed with here: {mix.recipe}.", "good")

    def do_empty(self) -> None:
        """Empty the form; pressed again it brings back what stood there."""
        touched, before = self.form.touched, dict(self.form.touched)
        touched.clear()
        if not before:
            touched.update(self._before)
        self._before = before or self._before
        words = "Emptied; F9 brings it back." if before else "As it was before."
        self._tried, self.button = False, None
        self.compute()
        self.form.go(self.form.rows[0][0])
        self.draw()
        self.say(words, "quiet")

    def _asks_style(self, go_on: Callable[[], None], *, at_last: bool = False) -> bool:
        """Whether a style nobody knows was typed just now: it is asked about before going on."""
        self.form.go(self.form.at)  # the beginning of a name becomes it
        text = self.form.touched.get("style", "").strip()
        own = self.form.touched.get(OWN_STYLE, "").casefold() == text.casefold()
        here = self.form.at == "style" or at_last
        if not here or not text or own or known_style(text, self._start) is not None:
            return False

        def keep() -> None:
            self.form.touched[OWN_STYLE] = text
            go_on()

        def take(style: str) -> None:
            self.form.put({"style": style})
            go_on()

        near = near_styles(text, self._start)
        self.talk(NewStyle(self, text, near, keep, take, lambda: self.again_at("style")))
        return True

    def again_at(self, field_id: str) -> None:
        """Back to a field, to type it again."""
        self.button = None
        self.form.go(field_id)
        self.draw()

    # ── keeping ───────────────────────────────────────────────────────────────────────────

    def _go(self, by: int, *, row: bool = False, by_enter: bool = False) -> None:
        """A field that is left is kept: a power cut takes the one being typed at most."""
        if self._asks_style(lambda: self._go(by, row=row, by_enter=by_enter)):
            return
        self._left = True
        super()._go(by, row=row, by_enter=by_enter)
        if self._settled or self.form.touched == self._kept:
            return
        self._kept = dict(self.form.touched)
        body, now = self._body(), self.house.now()

        def keep(conn: Connection, _by: By) -> None:
            if not self._settled:  # saved meanwhile: nothing is left half-typed
                drafts.keep(conn, DRAFT, body, now)

        self._quietly(keep, lambda _: None)

    def do_save(self) -> None:
        """Keep the batch, if nothing stands in the way."""
        self.form.go(self.form.at)
        self.compute()
        if self._asks_style(self.do_save, at_last=True):
            return
        read = cast(Read, self._read)
        self._tried = True
        if read.spec is None:
            self._to_first_trouble(read)
            return
        spec, now = read.spec, utc_text(self.house.now())
        if asked := next((a for lot in read.planned for a in open_questions(spec, lot, now)), None):
            self._ask_why(*asked)
            return
        fresh = self._start.defaults.rule_set is None
        self._settled = True
        self.write(lambda conn, by: _keep(conn, by, spec, fresh), self._saved, self._not_kept)

    def _ask_why(self, question: str, sentence: str) -> None:
        """The value, "unknown" or the reason that answers; saved with the batch, asked once."""

        def answer(text: str) -> str | None:
            try:
                self.form.touched.update([answer_typed(question, text, self._values)])
            except CuredashError as trouble:
                return str(trouble)
            self.hush()
            self.do_save()
            return None

        usual = ", ".join(text for text in cast(Read, self._read).accepted.values() if text)
        self.talk(WhySo(self, retold(sentence), usual, answer, self.do_accepted))

    def _to_first_trouble(self, read: Read) -> None:
        """Put the focus on the first field that is open or refused, and say it."""
        stands, first = {**read.wanted, **read.troubles}, self._first_open()
        if first is not None:
            self.button = None
            self.form.go(first)
        self.compute()
        self.draw()
        more = f" ({len(stands) - 1} more)" if len(stands) > 1 else ""
        if first is not None:
            tone = "act" if first in read.troubles else "today"
            wants = "" if first in read.troubles else f"Still missing: {field(first).label}, "
            self.say(f"{wants}{stands[first]}{more}", tone)

    def _first_open(self) -> str | None:
        """The first field that is still wanted or refused."""
        read = cast(Read, self._read)
        every = (field_id for row in self.form.rows for field_id in row)
        return next((one for one in every if one in read.wanted or one in read.troubles), None)

    def _saved(self, added: AddedBatch) -> None:
        place = added.new_place
        words = () if place is None else (_new_place_words(place.name),)
        self.house.navigator.open_instead("dose_sheet", batch_id=added.batch.id, said=words)

    def _body(self) -> dict[str, Any]:
        return {"touched": dict(self.form.touched), "again": self._again}

    def do_leave(self) -> None:
        """Leave; what was typed is kept as a draft."""
        body, now = self._body(), self.house.now()
        if self._settled or not (self.form.touched or self._kept):
            self.leave()
            return
        self._settled = True
        if self.form.touched:
            self.write(
                lambda conn, _by: drafts.keep(conn, DRAFT, body, now),
                lambda _: self.leave(),
                self._not_kept,
            )
        else:  # emptied: what was kept of it meanwhile is not wanted back
            self.write(
                lambda conn, _by: drafts.drop(conn, DRAFT), lambda _: self.leave(), self._not_kept
            )

    def _not_kept(self, trouble: CuredashError) -> None:
        self._settled = False
        self.say(str(trouble), "act")

    def terminal_gone(self, *, may_write: bool = True) -> None:
        """The program ends: what was typed is offered at the next start, or in a text file."""
        saved = self._orders and all(order.saved for order in self._orders)
        if not self.form.touched or saved or (self._settled and not self._orders):
            return
        self._settled = True
        if not (may_write and self.kept_as_draft(DRAFT, self._body())):
            typed = ", ".join(f"{name}: {text}" for name, text in self.form.touched.items())
            self.set_aside(f"new batch, {typed}")

    def on_unmount(self) -> None:
        """The program is left from here: the same."""
        self.terminal_gone()

    def take_up(self, draft: drafts.Draft) -> None:
        """Go on with what was left half-typed."""
        touched, again = draft.body.get("touched"), draft.body.get("again")
        if isinstance(again, str):
            now = self.house.now()
            self._start = self.house.read(lambda conn: start_batch(conn, again, now))
            self._again = again
        if isinstance(touched, dict):
            self.form.touched.update({str(k): str(v) for k, v in touched.items()})
        self._kept = dict(self.form.touched)
        self.compute()
        self.form.go(self._first_open() or self.form.rows[0][0])
        self.draw()


def _new_place_words(name: str) -> str:
    """That a place was made with the batch, and the keys that give it its band."""
    way = f"{key_of('rack.places')} on the Rack, then {key_of('places.band')}"
    return f"Place “{plain(name)}” is new and has no band yet: {way}."


def _keep(conn: Connection, by: By, spec: BatchSpec, fresh: bool) -> AddedBatch:
    """The first rule set picked becomes the household's; then the batch; then no draft."""
    if fresh and spec.dose.rule_set is not None:
        choose(conn, by, "rule_set", spec.dose.rule_set)
    added = add_batch(conn, by, spec)
    drafts.drop(conn, DRAFT)
    return added
