"""All keys of a screen, from the same list that binds them."""

from collections.abc import Iterable, Sequence
from importlib import import_module
from itertools import zip_longest

from curedash.present.glossary import EXPLAINED_ON, TERMS
from curedash.present.words import Line, Span, cells, count, filled, left, wrapped
from curedash.tui.chassis.commands import MOVES, SCREENS, Command, of_form, of_page
from curedash.tui.chassis.list_page import ListPage
from curedash.tui.chassis.state import DashboardState

KEY_CELLS = 14  # at most, with the blanks on both sides
TERM_CELLS = 18
LETTERS = (
    "A digit starts the weigh-in of a row; letters are commands while nothing is typed.",
    "Every page can be left by a letter; Esc leaves too, and what was saved stays.",
    "Of several questions Esc goes back to the one before, Ctrl-X leaves them all.",
    "Typing replaces what is on the line; an arrow edits it, Ctrl-U empties it.",
    "An unlikely value is asked about: y takes the likely fix, k keeps what was typed,"
    " n or Esc changes it.",
)
FIELDS = (
    "Letters and digits go into the field; space and letters also choose one of a few, ←→ go"
    " through what a field offers.",
    "Typing replaces what is in a field; an arrow edits it, Ctrl-U empties it, Ctrl-W drops"
    " its last word.",
)
MOST_LINES = 4
BETWEEN = 2  # cells between two columns
PURPOSES = ("Do", "Other pages", "What is shown", "Move about", "Everywhere")
MOVES_ABOUT = (*MOVES, "table-up", "table-down", "bench-up", "bench-down")
ALWAYS = ("keys", "leave", "palette", "backup", "restore", "calendar", "export")
LEADS = (
    *("needs", "places", "book", "diary", "history", "settings"),
    *("sheet", "misdose", "lot", "open"),
)
SHOWS = (
    *("base", "order", "find", "only-batch", "only-place", "only-stage", "clear", "size"),
    *("next-tab", "previous-tab", "view", "span", "earlier", "later", "alike"),
)


class Keys(ListPage):
    """The keys of the page it was opened from."""

    NAME = "keys"
    CURSOR = False

    def __init__(self, house: DashboardState, *, of: str) -> None:
        super().__init__(house)
        self._of = of

    def title_line(self, width: int) -> Line:  # noqa: ARG002
        """Which screen these keys belong to."""
        name = self._of.replace("_", " ")
        return (("KEYS   ", "title"), (name[:1].upper() + name[1:], ""))

    def idle_lines(self, width: int) -> tuple[Line, Line]:  # noqa: ARG002
        """Whether there is more below."""
        below = self.list.below
        if not self.list.size.height or len(self.list.keys) <= self.list.size.height:
            return (), ()
        words = f"PgDn for the rest: {count(below, 'line')}" if below > 0 else "that is all of them"
        return ((words, "quiet"),), ()

    def draw(self) -> None:
        """Break the sentences for this width."""
        super().draw()
        lines = self._lines(self.app.size.width)
        self.list.show(range(len(lines)), lambda at: lines[int(str(at))])
        self.draw_foot()

    def _lines(self, width: int) -> list[Line]:
        columns = columns_at(width)
        room = (width - (columns - 1) * BETWEEN) // columns
        fields = _has_fields(self._of)
        entries: list[list[Line]] = []
        bound = of_form(self._of) if fields else of_page(self._of)
        key_cells = min(KEY_CELLS, 4 + max(cells(command.key_words) for command in bound))
        for purpose, commands in by_purpose(bound):
            head: list[Line] = [((purpose, "title"),)]
            for n, command in enumerate(commands):
                entries.append([*([] if n else head), *command_lines(command, room, key_cells)])
            entries[-1] = [*entries[-1], ()]
        entries += legend_entries(self._of, room, key_cells)
        closing: list[Line] = [
            ((line, "quiet"),)
            for text in (FIELDS if fields else (*_listed_by_name(bound), *LETTERS))
            for line in wrapped(text, width, MOST_LINES)
        ]
        terms = beside(term_entries(self._of, room), columns, room)
        if terms:
            terms = [(), (("Words of the trade", "title"),), *terms, ()]
        after = [*closing, *terms] if fields else [*terms, *closing]
        return [(), *beside(entries, columns, room), *after]


def _listed_by_name(bound: Iterable[Command]) -> list[str]:
    """That Space lists what is rare, where it does."""
    here = any(command.id.endswith(".by-name") for command in bound)
    said = "Space lists less common actions by their names, so no letter need be remembered."
    return [said] * here


def columns_at(width: int) -> int:
    """How many columns of keys there are.

    Example
    -------
    >>> columns_at(60), columns_at(100), columns_at(140)
    (1, 2, 3)
    """
    return 3 if width >= 140 else 2 if width >= 100 else 1


def purpose_of(command: Command) -> str:
    """What a command is for: the head of its keys."""
    verb = command.id.partition(".")[2]
    if verb in MOVES_ABOUT:
        return "Move about"
    if command.page == "any" or verb in ALWAYS:
        return "Everywhere"
    if verb in LEADS:
        return "Other pages"
    return "What is shown" if verb in SHOWS or command.id == "air.sensor" else "Do"


def by_purpose(commands: Iterable[Command]) -> list[tuple[str, list[Command]]]:
    """The commands under their heads, what is done first."""
    found: dict[str, list[Command]] = {purpose: [] for purpose in PURPOSES}
    for command in commands:
        found[purpose_of(command)].append(command)
    return [(purpose, each) for purpose, each in found.items() if each]


def beside(entries: Sequence[list[Line]], columns: int, width: int) -> list[Line]:
    """Entries in columns of about one height, read downwards; none is torn apart."""
    total = sum(map(len, entries))
    sides: list[list[Line]] = [[] for _ in range(columns)]
    at, seen = 0, 0
    for entry in entries:
        if seen + len(entry) / 2 > total * (at + 1) / columns and at + 1 < columns:
            at += 1
        sides[at] += entry
        seen += len(entry)
    sides = [side[1:] if side and not side[0] else side for side in sides]
    gap: Line = ((" " * BETWEEN, ""),)
    rows = []
    for parts in zip_longest(*sides, fillvalue=()):
        row: list[Span] = []
        for n, part in enumerate(parts):
            row += [*(gap if n else ()), *(filled(part, width) if columns > 1 else part)]
        rows.append(tuple(row))
    return rows


def _has_fields(page: str) -> bool:
    """Whether letters are typed into fields there."""
    from curedash.tui.chassis.form_page import FormPage

    module, _, kind = SCREENS[page].partition(":")
    return issubclass(getattr(import_module(module), kind), FormPage)


def legend_entries(page: str, width: int, key_cells: int = KEY_CELLS) -> list[list[Line]]:
    """The signs of a page and what they mean, where it has any, below its keys."""
    from curedash.present.rack import around
    from curedash.present.weighing import round

    legends = {"rack": around.LEGEND, "needs": around.LEGEND[:2], "round": round.LEGEND}
    entries: list[list[Line]] = []
    legend = legends.get(page, ())
    key_cells = max([key_cells, *(3 + cells(sign) for sign, _ in legend)])
    for sign, words in legend:
        first, *rest = wrapped(words, width - key_cells - 2, 3)
        lines: list[Line] = [((left("  " + sign, key_cells), "strong"), (first, ""))]
        lines += [((" " * key_cells + more, ""),) for more in rest]
        entries.append(lines)
    return [[(("Signs", "title"),), *entries[0]], *entries[1:], [()]] if entries else []


def term_entries(page: str, width: int) -> list[list[Line]]:
    """The words of the trade and what they mean, under the keys of a screen that uses them."""
    if page not in EXPLAINED_ON:
        return []
    entries: list[list[Line]] = []
    for term, meaning in TERMS.items():
        first, *rest = wrapped(meaning, width - TERM_CELLS, 3)
        lines: list[Line] = [((left("  " + term, TERM_CELLS), "strong"), (first, ""))]
        lines += [((" " * TERM_CELLS + more, ""),) for more in rest]
        entries.append(lines)
    return entries


def command_lines(command: Command, width: int, key_cells: int = KEY_CELLS) -> list[Line]:
    """A command's keys and help, broken to the width."""
    first, *rest = wrapped(command.help, width - key_cells - 1, 3)
    head = ((left("  " + command.key_words, key_cells), "key"), (first, ""))
    return [head, *(((" " * key_cells + more, ""),) for more in rest)]
