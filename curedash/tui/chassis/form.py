"""What is being typed into a form: values, focus and caret, without a widget.

The page draws it and hands keys over; a field is text, one of a few, or one of a few or words of
one's own. A field that is gone to has its value marked: the first key typed replaces it.
"""

from collections.abc import Callable, Sequence

from curedash.present.dosing.form.batch_field import Option, beginning, fitting
from curedash.tui.chassis.line_input import CLEARING, TypedLine, starts_weight

#: One of a few, or words of one's own. → takes an option; left behind, the beginning of one stays
#: what was typed in a combo (it may be a new name), and becomes it in a search if it fits no other.
OPEN = ("combo", "search")
PICKED = ("choice", "fold")  # nothing is typed there
MOST_STRAY = 200  # characters remembered of what fits no option
ERASING = ("backspace", "delete", *CLEARING)
FieldRows = Sequence[Sequence[str]]


class OneOfAFew:
    """How one of a few is picked, and what is typed at it that belongs to none of them."""

    _kind: Callable[[str], str]
    _options: Callable[[str], list[Option]]
    _value: Callable[[str], str]
    touched: dict[str, str]
    at: str
    typed: TypedLine
    stray: str
    strays: dict[str, str]
    _fresh: bool
    _letters: str
    _unpicked: str | None
    _from: str

    @property
    def picks(self) -> bool:
        """Whether one of a few is picked here."""
        return self._kind(self.at) == "choice"

    def _keep_stray(self, text: str) -> None:
        """What is typed at one of a few, and belongs to none of them, is there to come back to."""
        self._letters, self.stray, self._from = "", text, self.at
        self.strays.pop(self.at, None)
        if text:
            self.strays[self.at] = text

    def _cycles(self, kind: str) -> bool:
        """←→ go through the options while the value is one of them, or nothing."""
        if kind == "choice":
            return True
        if kind not in OPEN or not (self._fresh or not self.typed.text):
            return False
        ids = [option for option, _words in self._options(self.at)]
        return bool(ids) and self._value(self.at) in (*ids, "")

    def _finds(self, kind: str) -> bool:
        """→ behind letters goes through the options that fit them."""
        text = self.typed.text
        if kind not in OPEN or not text.strip() or self.typed.at < len(text):
            return False
        return bool(fitting(self._options(self.at), text))

    def _cycle(self, by: int, letters: str = "") -> bool:
        """To the next option, among those that fit the letters typed into an open field."""
        open_ = self._kind(self.at) in OPEN
        self._letters = (letters or self._letters) if open_ else ""
        offered = self._options(self.at)
        if self._letters:
            offered = fitting(offered, self._letters) or offered
        ids = [option for option, _words in offered]
        now = self._value(self.at)
        if now in ids:
            to = (ids.index(now) + by) % len(ids)
        else:
            to = 0 if by > 0 else len(ids) - 1
        self._choose(ids[to])
        return True

    def _pick(self, key: str, char: str | None) -> bool:
        """Space goes on, letters find the option that begins with them, Ctrl-U forgets.

        Letters that begin none were meant for another field: what they picked on their way is
        picked no more, and all of them wait together, the spaces between them too.
        """
        if key == "ctrl+u":
            self.touched.pop(self.at, None)
            self._keep_stray("")
            return True
        if key == "backspace" and self.stray:
            self._keep_stray(self.stray[:-1])
            return True
        if key == "space" and not self._letters and not self.stray:
            return self._cycle(1)
        if char is None or not char.isprintable():
            return False
        if self.stray or not self._finds_by(char):
            self._keep_stray((self.stray + self._unpick() + char)[:MOST_STRAY])
        return True

    def _finds_by(self, char: str) -> bool:
        """Whether the letters so far and this one begin an option, which is picked then.

        A letter alone, again and again, goes through the options that begin with it.
        """
        letters = self._letters + char
        if not self._letters:
            self._unpicked = self.touched.get(self.at)
        again = len(set(letters)) == 1 and len(letters) > 1
        if self._begins(letters) or (again and self._begins(char, after=True)):
            self._letters = letters
            return True
        return False

    def _unpick(self) -> str:
        """Take back what the letters picked on their way; the letters."""
        letters, self._letters = self._letters, ""
        if letters:
            self.touched.pop(self.at, None)
            if self._unpicked is not None:
                self.touched[self.at] = self._unpicked
            self.typed = TypedLine(self._value(self.at), marked=True)
        return letters

    def _begins(self, text: str, *, after: bool = False) -> bool:
        """Choose the first option that begins so, or the next one after the present."""
        wanted = text.lstrip().casefold()
        options = self._options(self.at)
        ids = [option for option, _words in options]
        now = self._value(self.at)
        first = ids.index(now) + after if now in ids else 0
        for option, words in options[first:] + options[:first]:
            if wanted and _starts(wanted, option, words):
                self._choose(option)
                return True
        return False

    def _choose(self, option: str) -> None:
        self.touched[self.at] = option
        if not starts_weight(self.strays.get(self.at, "")[:1] or None):
            self.strays.pop(self.at, None)  # letters: the choice is what they were for
        self._fresh, self.stray = True, ""
        self.typed = TypedLine(option, marked=True)


class Form(OneOfAFew):
    """The values typed so far and where the caret is."""

    def __init__(
        self,
        kind: Callable[[str], str],
        options: Callable[[str], list[Option]],
        value: Callable[[str], str],
        touched: dict[str, str] | None = None,
        *,
        rare: Callable[[str], bool] = lambda _: False,
        ends: Callable[[str], bool] = lambda _: False,
        takes: Callable[[str, str], bool] = lambda _field, _text: False,
        late: Callable[[str], bool] = lambda _: False,
    ) -> None:
        self._kind, self._options, self._value = kind, options, value
        self._rare, self._ends = rare, ends  # passed by Enter; Enter here leaves the lines
        self._late = late  # Tab comes to it after all others
        self._takes = takes  # whether a field reads such a number, typed where it did not belong
        self.touched: dict[str, str] = dict(touched or {})
        self.rows: FieldRows = [["name"]]
        self.at = "name"
        self.typed = TypedLine()
        self._fresh = True
        self._letters = ""  # typed to find one of a few
        self._unpicked: str | None = None  # what was picked before these letters
        self.stray = ""  # typed at one of a few, and the beginning of none of them
        self.strays: dict[str, str] = {}  # what was typed so, until one comes back to its field
        self.brought = ""  # of that, what has just come to the field it fits
        self._from = ""  # the choice it was typed at
        self._in_column = False  # the focus came down a column: up goes up it again
        self._after_all = False  # Tab went through all fields but those that can wait

    # ── where ─────────────────────────────────────────────────────────────────────────────

    def lay_out(self, rows: FieldRows) -> None:
        """Take the fields there are now; the focus stays on its field, or goes to the first."""
        self.rows = rows
        if not any(self.at in row for row in rows):
            self.go(rows[0][0])

    def go(self, field_id: str) -> None:
        """Put the focus on a field, the caret at the end of its value."""
        self._complete()
        self.stray = self.brought = ""
        if field_id != self.at:
            self._letters, self._in_column, self._after_all = "", False, False
        self.at, self._fresh = field_id, True
        self.typed = TypedLine(self._value(field_id), marked=True)
        self._bring_stray()

    def _bring_stray(self) -> None:
        """A number typed at a choice goes to the first value gone to behind it, if that is empty.

        Where it does not fit, and at a field that has a value, it stays with its choice.
        """
        kind = self._kind(self.at)
        if kind in PICKED:
            self.stray = self.strays.get(self.at, "")
            return
        text = self.strays.get(self._from, "")
        if not text:
            return
        if not self._value(self.at).strip() and self._takes(self.at, text):
            self.brought = self.touched[self.at] = text
            del self.strays[self._from]
            self.typed = TypedLine(text, marked=True)
        self._from = ""

    @property
    def as_on_screen(self) -> bool:
        """Whether Tab goes on as on the screen: from a field that can wait, and that Enter or an
        arrow went to.
        """
        return self._late(self.at) and not self._after_all

    @property
    def order(self) -> list[str]:
        """The fields as Tab goes through them from here."""
        every = [each for row in self.rows for each in row]
        return every if self.as_on_screen else sorted(every, key=self._late)

    def step(self, by: int) -> bool:
        """To the next or the previous field of :attr:`order`; False at either end."""
        waits, every = self._late(self.at), self.order
        to = every.index(self.at) + by
        if not 0 <= to < len(every):
            return False
        after_all = self._late(every[to]) and (self._after_all or not waits)
        self.go(every[to])
        self._after_all = after_all
        return True

    def step_row(self, by: int) -> bool:
        """To the line below, in the same column while the lines are alike.

        Up goes up the column again after a way down it, else to the cell before, past rare ones.
        """
        row = self._row
        to = row + by
        column = self.rows[row].index(self.at)
        if by < 0 and not self._in_column and len(self.rows[row]) > 1:
            return self._before(row, column)
        if not 0 <= to < len(self.rows):
            return False
        alike = self._alike(row, to)
        if not any(self._value(each) for each in self.rows[to]):
            column = 0  # a line that is not begun begins at its first cell
        self.go(self.rows[to][min(column if alike else 0, len(self.rows[to]) - 1)])
        self._in_column = alike
        return True

    def _before(self, row: int, column: int) -> bool:
        """To the cell before on this line, else the last usual one of the line above."""
        ahead = [each for line in self.rows[max(0, row - 1) : row] for each in line]
        ahead += self.rows[row][:column]
        usual = [each for each in ahead if not self._rare(each)]
        if usual:
            self.go(usual[-1])
        return bool(usual)

    def enter(self) -> bool:
        """Along a line, skipping its rare fields, then to the line below."""
        to = self.enters
        if to is not None:
            self.go(to)
        return to is not None

    @property
    def enters(self) -> str | None:
        """Where Enter goes; None where it leaves the fields."""
        row = self._row
        line = self.rows[row]
        behind = line[line.index(self.at) + 1 :]
        to = self._usual_row(row + 1)
        if self._ends(self.at) and not self._alike(row, to):
            behind = []
        usual = next((each for each in behind if not self._rare(each)), None)
        if usual is None and to == len(self.rows):
            return None
        return usual or self.rows[to][0]

    def _usual_row(self, row: int) -> int:
        """This line, or the first one after it that Enter does not pass by."""
        while row < len(self.rows) and all(self._rare(each) for each in self.rows[row]):
            row += 1
        return row

    @property
    def _row(self) -> int:
        return next(n for n, row in enumerate(self.rows) if self.at in row)

    def _alike(self, row: int, other: int) -> bool:
        """Whether two lines hold the same fields, each of its own piece."""
        if not 0 <= other < len(self.rows):
            return False
        one, two = (self.rows[n][0].partition(":") for n in (row, other))
        return bool(one[1]) and one[0] == two[0]

    # ── typing ────────────────────────────────────────────────────────────────────────────

    def key(self, key: str, char: str | None) -> bool:
        """Take one key; False if it means nothing to this field."""
        kind = self._kind(self.at)
        if key in ("left", "right") and self._cycles(kind):
            return self._cycle(1 if key == "right" else -1)
        if key == "right" and self._finds(kind):
            return self._cycle(1, self.typed.text)
        return self._pick(key, char) if kind in PICKED else self._type(key, char)

    def paste(self, text: str) -> None:
        """Pasted text goes in at the caret; of a choice it is the beginning of its words."""
        if self._kind(self.at) in PICKED:
            if self.stray or not self._begins(text):
                self._keep_stray((self.stray + text).strip()[:MOST_STRAY])
            return
        self._fresh, self._letters = False, ""
        self.typed.put(text)
        self.touched[self.at] = self.typed.text

    def put(self, values: dict[str, str]) -> None:
        """Put values into fields, as if they had been typed."""
        self.touched |= values
        self._fresh = True
        self.typed = TypedLine(self.touched.get(self.at, self.typed.text), marked=True)

    def _type(self, key: str, char: str | None) -> bool:
        if not self.typed.key(key, char):
            return False
        self._fresh, self._letters = False, ""
        if key in ERASING or (char is not None and char.isprintable()):
            self.touched[self.at] = self.typed.text
        return True

    def _complete(self) -> None:
        """The beginning of an option, left behind in a field that is searched, becomes it."""
        wanted = self.typed.text.strip()
        if not self._fresh and self._kind(self.at) == "search" and len(wanted) >= 2:
            for option in self._begun():
                self.touched[self.at] = option

    def take_offered(self) -> None:
        """The one option that begins with what was typed becomes it, as Tab promises."""
        if not self._fresh and self._kind(self.at) in OPEN:
            for option in self._begun():
                self._choose(option)

    def _begun(self) -> list[str]:
        """The one option that what is typed begins; none if it is one, or begins several."""
        wanted = self.typed.text.strip().casefold()
        options = self._options(self.at)
        if any(wanted in (option.casefold(), words.casefold()) for option, words in options):
            return []
        fits = beginning(options, wanted)
        return [fits[0][0]] if len(fits) == 1 else []


def _starts(wanted: str, option: str, words: str) -> bool:
    return option.casefold().startswith(wanted) or words.casefold().startswith(wanted)
