"""A line of text being typed, without a widget and without focus: the one input there is.

What stood in a field before is marked as a whole (in reverse): the first character typed or
pasted replaces it; an arrow, Backspace or Space keeps it and edits. Ctrl-U empties a field,
Ctrl-W drops its last word.
"""

MOST = 200  # longer pastes are cut, so that a line can always be shown
CLEARING = ("ctrl+u", "ctrl+w")


def starts_weight(char: str | None) -> bool:
    """True for a character a weight can begin with."""
    return char is not None and (char.isdecimal() or char in "½¼¾⅓⅔.,")


class TypedLine:
    """Text with a caret; keys change it."""

    def __init__(self, text: str = "", *, marked: bool = False) -> None:
        self.text = text[:MOST]
        self.at = len(self.text)
        self.marked = marked and bool(self.text)  # the next character replaces it all

    def key(self, key: str, char: str | None) -> bool:
        """Take one key; False if it means nothing to a line of text."""
        if not self._edit(key) and not self._put(char):
            return False
        self.marked = False
        return True

    def _edit(self, key: str) -> bool:
        if key == "ctrl+u":
            self.clear()
        elif key == "ctrl+w":
            kept = self.text[: self.at].rstrip().rpartition(" ")
            left = kept[0] + kept[1]
            self.text, self.at = left + self.text[self.at :], len(left)
        elif key == "backspace":
            self.text = self.text[: max(0, self.at - 1)] + self.text[self.at :]
            self.at = max(0, self.at - 1)
        elif key == "delete":
            self.text = self.text[: self.at] + self.text[self.at + 1 :]
        elif key in ("left", "right"):
            self.at = max(0, min(len(self.text), self.at + (1 if key == "right" else -1)))
        elif key in ("home", "end"):
            self.at = 0 if key == "home" else len(self.text)
        else:
            return False
        return True

    def _put(self, char: str | None) -> bool:
        if char is None or not char.isprintable():
            return False
        if char == " ":
            self.marked = False  # no value begins with a blank: it goes on behind it
        self.put(char)
        return True

    def put(self, text: str) -> None:
        """Insert text at the caret, as a paste does: one line, no control characters."""
        if self.marked:
            self.clear()
        clean = "".join(char if char.isprintable() else " " for char in text)
        clean = clean[: MOST - len(self.text)]
        self.text = self.text[: self.at] + clean + self.text[self.at :]
        self.at += len(clean)

    def clear(self) -> None:
        """Empty the line."""
        self.text, self.at, self.marked = "", 0, False

    @property
    def shown(self) -> str:
        """The text with its caret."""
        return f"{self.text[: self.at]}▏{self.text[self.at :]}"

    @property
    def tone(self) -> str:
        """How it is drawn: in reverse while the next character replaces it."""
        return "marked" if self.marked else "typed"
