"""A new batch on the screen: its fields, line by line."""

from collections.abc import Callable, Collection, Iterable, Sequence
from typing import cast

from textual.containers import Horizontal
from textual.widget import Widget

from curedash.present.dosing.form.batch_cells import ends_pieces, joined, rare
from curedash.present.dosing.form.batch_field import NO, YES
from curedash.present.dosing.form.batch_fields import (
    GROUPS,
    HEADS,
    field,
    label,
    options,
    reads_quantity,
    shown_words,
    value_of,
)
from curedash.present.dosing.form.batch_follows import effective, taken_words
from curedash.present.dosing.form.batch_layout import (
    MORE,
    Sight,
    folded,
    folded_words,
    heads_of,
    line_of,
    rows,
    waits,
)
from curedash.present.dosing.form.batch_lines import (
    FOOT,
    FieldText,
    below_cells,
    cells_in_sight,
    cells_line,
    field_line,
    heads_line,
    help_lines,
    lines_below,
    more_line,
    offer_lines,
    open_words,
    title,
    unseen_line,
)
from curedash.present.dosing.form.batch_reader import Read
from curedash.present.dosing.form.batch_reading import read_form
from curedash.present.dosing.form.batch_texts import scales_words, whole_weight
from curedash.present.words import Line, plain
from curedash.services.dosing.batch_start import start_batch
from curedash.tui.chassis.foot_prompt import Hint
from curedash.tui.chassis.form import OPEN, Form
from curedash.tui.chassis.state import DashboardState
from curedash.tui.flows.dose_area import AROUND, DoseArea
from curedash.tui.widgets.lines import LineList

ALL_HINTS = 80  # columns that hold every key at the foot


class BatchForm(DoseArea):
    """The form as it is computed and drawn; what its keys do is in :mod:`.new_batch`."""

    def __init__(self, house: DashboardState, *, again: str | None = None) -> None:
        super().__init__(house)
        self._again = again
        self._start = house.read(start_batch, again, house.now())
        self._before: dict[str, str] = {}  # what it held before it was emptied
        self._tried = False  # to save: what is still wanted is said in earnest then
        self._open: set[str] = set()  # groups whose rarer fields are in sight
        self._by_room = False  # they are open as far as the window has room
        self._extra = 0  # lines of the form that are no fields
        self._rarer: set[str] = set()  # fields in sight for that alone: Tab and Enter pass them
        self._heads: dict[tuple[str, ...], str] = {}  # the group that a line begins
        if self._start.again is not None:
            self._notes = list(self._start.again.notes)
        self.form = Form(
            lambda field_id: field(field_id).kind,
            lambda field_id: options(field_id, self._values, self._start),
            lambda field_id: value_of(field_id, self._values),
            rare=lambda at: rare(at) or at.startswith(MORE) or at in self._rarer,
            late=lambda at: waits(at, self._values) or at in self._rarer,
            ends=lambda field_id: ends_pieces(field_id, self._values),
            takes=lambda at, text: reads_quantity(at, text, self._start, house.now(), house.zone),
        )
        self.list = LineList(house.styles, id="body")
        self.compute()
        self.form.go(self.form.rows[0][0])

    def body(self) -> Iterable[Widget]:
        """Fields and the limits beside them, doses, buttons."""
        yield Horizontal(self.list, self.pane)
        yield from (self.table, self.buttons)

    def compute(self) -> None:
        """Read the form and compute the doses; what a field offers may change with it."""
        house = self.house
        self._as_one_field()
        self._values = effective(self.form.touched, self._start)
        self._read = read_form(self._values, self._start, house.now(), house.zone)
        read = self._read
        needed = {*read.troubles, *read.wanted}
        given = self._values, len(read.greens), read.sources, self._start

        def laid(open_groups: Collection[str]) -> list[list[str]]:
            by_room = self._by_room and bool(open_groups)
            return rows(*given, Sight(open_groups, self.form.touched, needed, by_room))

        if self._by_room and self.pane_width and (self._left or not self._open):
            self._open = self._that_fit(laid)
        laid_out, self._rarer = laid(self._open), set()
        if self._by_room:
            self._rarer = {row[0] for row in laid_out} - {row[0] for row in laid(())}
        self.form.lay_out(laid_out)
        self._heads = heads_of(laid_out)

    def _that_fit(self, laid: Callable[[Collection[str]], list[list[str]]]) -> set[str]:
        """The groups that have room opened; the last ones stay a line, but the one typed in."""
        every = [*GROUPS]
        room = self.app.size.height - AROUND - self._extra
        if "style" in cast(Read, self._read).wanted:  # its list hides nothing that is needed
            room -= len(self._offers("style"))
        here = {line_of(self.form.at).removeprefix(MORE)} if self.form.rows else set()
        for many in range(len(every), 0, -1):
            fitting = {*every[:many]} | here
            if len(laid(fitting)) <= room:
                return fitting
        return here

    def _as_one_field(self) -> None:
        """Pieces that are all alike again: their weights go into one field."""
        touched = self.form.touched
        weights = [field_id for field_id in touched if field_id.startswith("green:")]
        if weights and touched.get("each") == NO and self._values.get("each") == YES:
            touched["pieces"] = joined(self._values)
            for field_id in weights:
                del touched[field_id]

    def show_form(self) -> None:
        """Doses first: their number decides how much room the fields have."""
        keys = self._keys()
        self._show_doses(len(keys))
        self.list.show(keys, self._line)
        self.list.move_to(next(tuple(row) for row in self.form.rows if self.form.at in row))
        self.list.reveal(self._beside_cursor(keys))
        self.call_after_refresh(self._draw_around)  # by then the fields have their room

    def _draw_around(self) -> None:
        """Title and foot, which say what is out of sight."""
        self.draw_heading()
        self.draw_foot()

    def _beside_cursor(self, keys: Sequence[tuple[object, ...]]) -> list[tuple[object, ...]]:
        """What is in sight with the cursor where both have room: the nearest refusal, all that
        the field offers."""
        refused, here = cast(Read, self._read).troubles, self.list.cursor_key
        at = next((n for n, key in enumerate(keys) if key == here), 0)
        bad = [n for n, key in enumerate(keys) if refused.keys() & set(key)]
        near = sorted(bad, key=lambda n: abs(n - at))[:1]
        return [*(keys[n] for n in near), *(key for key in keys if key[0] == "!offer")]

    def _keys(self) -> list[tuple[object, ...]]:
        """The lines of the form: notes, heads of cells, fields, what is below them."""
        keys: list[tuple[object, ...]] = [("!note", n) for n in range(len(self._note_lines()[0]))]
        cells = ""  # what the line above begins with
        for row in self.form.rows:
            of, many, _ = row[0].partition(":")
            if many and of != cells:
                keys.append(("!heads", *row))
            cells = of
            keys.append(tuple(row))
            keys += [("!below", n, *row) for n in range(len(self._below(row)))]
        self._extra = len(keys) - len(self.form.rows)
        return self._covered(keys)

    def _covered(self, keys: list[tuple[object, ...]]) -> list[tuple[object, ...]]:
        """The lines with what the field offers laid over those below it, so that none moves.

        It moves them where it would hide what is still wanted, and there is room.
        """
        at = self.form.at if self.button is None else ""
        offers = [("!offer", n) for n in range(len(self._offers(at)) if at else 0)]
        if not offers:
            return keys
        here = next(n for n, key in enumerate(keys) if at in key and key[0] != "!heads") + 1
        hidden = {each for key in keys[here : here + len(offers)] for each in key}
        wanted = hidden & cast(Read, self._read).wanted.keys()
        if wanted and len(keys) + len(offers) <= self.list.size.height:
            return [*keys[:here], *offers, *keys[here:]]
        return [*keys[:here], *offers, *keys[here + len(offers) :]]

    def _line(self, key: object) -> Line:
        width = self.form_width
        ids = cast(tuple[str, ...], key)
        if ids[0] == "!note":
            return ((self._note_lines()[0][cast(int, ids[1])], ""),)
        if ids[0] == "!heads":
            return heads_line(cells_in_sight(ids[1:], self.form.at, width), width)
        if ids[0] == "!offer":
            return self._offers(self.form.at)[cast(int, ids[1])]
        if ids[0] == "!below":
            below, n = self._below(ids[2:]), cast(int, ids[1])
            return below[n] if n < len(below) else ()
        focus = self.form.at if self.button is None else None
        read = cast(Read, self._read)
        shown = {field_id: self._shown(field_id, focus) for field_id in ids}
        if len(ids) > 1:
            return cells_line(
                *(cells_in_sight(ids, self.form.at, width), shown, self._values, read),
                *(self._start.code, focus, width, self._ink()),
            )
        field_id = ids[0]
        if field_id.startswith(MORE):
            return self._more_line(field_id.removeprefix(MORE), focus == field_id)
        words = FieldText(
            shown[field_id],
            label(field_id, self._values),
            head=self._heads.get(ids, ""),
            taken=taken_words(field_id, self._values, self.form.touched, self._start),
            tone=self._ink(),
        )
        here = focus == field_id
        return field_line(
            field_id, words, self._values, read, width, focused=here, earnest=self._tried
        )

    def _more_line(self, group: str, focused: bool) -> Line:
        in_sight = {row[0] for row in self.form.rows}
        read = cast(Read, self._read)
        hidden = folded(group, self._values, len(read.greens), in_sight)
        words = folded_words(hidden, self._values, self._start)
        return more_line(
            self._heads.get((MORE + group,), ""),
            HEADS[group],
            len(hidden),
            words,
            self.form_width,
            focused=focused,
            opened=group in self._open,
        )

    def _below(self, ids: Sequence[str]) -> tuple[Line, ...]:
        """The lines under a line of fields: what had no room on it, what the field offers."""
        focus = self.form.at if self.button is None else None
        read, width = cast(Read, self._read), self.form_width
        if len(ids) > 1:
            return below_cells(ids, read, focus, width)
        field_id = ids[0]
        shown = self._shown(field_id, focus)
        return lines_below(field_id, shown, read, width, focused=field_id == focus)

    def _offers(self, field_id: str) -> tuple[Line, ...]:
        """All that the field offers; the lines stay as many while letters are typed."""
        offered = options(field_id, self._values, self._start)
        if not offered:
            return ()
        now, typed = self._values.get(field_id, ""), self.form.typed.text
        lines = offer_lines(offered, now, typed, self.form_width)
        room = len(offer_lines(offered, "", "", self.form_width))
        return tuple((*lines, *[()] * room)[: max(room, len(lines))])

    def _ink(self) -> str:
        """How the field with the focus is drawn; a choice is gone through, never typed over."""
        return "typed" if field(self.form.at).kind == "choice" else self.form.typed.tone

    def _shown(self, field_id: str, focus: str | None) -> str:
        """A field's value; with its caret while it is typed."""
        if field_id == focus and field(field_id).kind != "choice":
            text = self.form.typed.shown
            words = shown_words(field_id, self.form.typed.text, self._values, self._start)
            extra = words[len(self.form.typed.text) :]
            return plain(text) + plain(extra)
        text = value_of(field_id, self._values)
        if field_id.startswith(("green:", "bought:")):
            text = whole_weight(text)
        if field_id == "scale":
            return plain(scales_words(text))
        return plain(shown_words(field_id, text, self._values, self._start))

    def title_line(self, width: int) -> Line:
        """What the batch will be, and how far the form is."""
        read = cast(Read, self._read)
        above, below = self._out_of_sight()
        refused = read.troubles.keys()
        unseen = [label(each, self._values) for each in (*above, *below) if each in refused]
        more = len(above), len(below)
        return title(self._start.code, read, self._again, width, more, unseen)

    def _out_of_sight(self) -> tuple[list[str], list[str]]:
        """The first fields of the lines above and below what is seen."""
        keys, top, height = self.list.keys, self.list.top, self.list.size.height
        if not height:
            return [], []
        above, below = (
            [str(cast(tuple[object, ...], key)[0]) for key in part]
            for part in (keys[:top], keys[top + height :])
        )
        return [e for e in above if e[:1] != "!"], [e for e in below if e[:1] != "!"]

    def idle_lines(self, width: int) -> tuple[Line, ...]:
        """What is wrong with the field, else what it wants."""
        read = cast(Read, self._read)
        if self.button is not None:
            open_ones = read.wanted or read.troubles
            words = f"{open_words(read)}." if open_ones else "Enter does it."
            return ((words, "quiet"),), ()
        lines = help_lines(self.form.at, self._values, self._start, read, width)
        unseen = [each for part in self._out_of_sight() for each in part if each in read.troubles]
        if unseen and len(lines) < FOOT:
            return *lines, unseen_line(unseen[0], self._values, read, width)
        return lines

    def hints(self) -> list[Hint]:
        """What the keys do at this field."""
        at = self.form.at if self.button is None else ""
        wide = self.app.size.width >= ALL_HINTS
        accepted = bool(cast(Read, self._read).accepted)
        hints = field_hints(at, self._open, self.form.enters, accepted=accepted, wide=wide)
        key, _, rest = self.more_in_foot.partition(": ")
        return [*hints[:1], (key, rest), *hints[1:]] if key else hints

    def changed(self, lots: set[int]) -> None:
        """Somebody else wrote; places and jars may be new."""

    def shown_again(self) -> None:
        """Back from the keys: what was typed is still there."""


def field_hints(
    at: str, opened: Collection[str], to: str | None, *, accepted: bool, wide: bool
) -> list[Hint]:
    """What the keys do at a field.

    Parameters
    ----------
    at : the field with the focus, empty where a button has it
    opened : the groups that are open
    to : where Enter goes from here; None where it leaves the fields
    accepted : whether F5 has a value to put in
    wide : whether there is room for every key
    """
    found: list[Hint] = [("F10", "save"), ("Esc", "leave")]
    last: list[Hint] = [("F1", "keys"), ("F6", "fold all" if opened else "all fields")]
    if at.startswith(MORE):
        here = at.removeprefix(MORE) in opened
        return [*found, ("Enter", "fold them" if here else "open them"), *last]
    chosen = bool(at) and field(at).kind in ("choice", *OPEN)
    if accepted:
        found.append(("F5", "accepted"))
    elif ":" in at and not chosen:
        found.append(("Enter", _enter_words(at, to)))
    if not accepted or wide:
        found += [("Tab", "each"), ("↓", "line")] if ":" in at else [("Tab ↑↓", "fields")]
    if chosen:
        found.append(("←→", "choose"))
    elif at == "pieces":
        found.append(("→", "one by one"))
    elif ":" in at and wide:
        found.append(("↑", "back"))
    return [*found, *last]


def _enter_words(at: str, to: str | None) -> str:
    """Where Enter goes from a cell: ``name``, ``next line``, ``no more``."""
    line = to.partition(":")[2] if to is not None else ""
    if to is None or not line:
        return "on"
    same = line == at.partition(":")[2]
    return field(to).label if same else "next line"
