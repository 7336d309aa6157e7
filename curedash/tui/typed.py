"""A line of text being typed, without a widget and without focus."""

MOST = 200  # longer pastes are cut, so that a line can always be shown


class TypedLine:
    """Text with a caret; keys change it."""

    def __init__(self, text: str = "") -> None:
        self.text = text[:MOST]
        self.at = len(self.text)

    def key(self, key: str, char: str | None) -> bool:
        """Take one key; False if it means nothing to a line of text."""
        if key == "backspace":
            self.text = self.text[: max(0, self.at - 1)] + self.text[self.at :]
            self.at = max(0, self.at - 1)
        elif key == "delete":
            self.text = self.text[: self.at] + self.text[self.at + 1 :]
        elif key in ("left", "right"):
            self.at = max(0, min(len(self.text), self.at + (1 if key == "right" else -1)))
        elif key in ("home", "end"):
            self.at = 0 if key == "home" else len(self.text)
        elif char is not None and char.isprintable():
            self.put(char)
        else:
            return False
        return True

    def put(self, text: str) -> None:
        """Insert text at the caret, as a paste does: one line, no control characters."""
        clean = "".join(char if char.isprintable() else " " for char in text)
        clean = clean[: MOST - len(self.text)]
        self.text = self.text[: self.at] + clean + self.text[self.at :]
        self.at += len(clean)

    def clear(self) -> None:
        """Empty the line."""
        self.text, self.at = "", 0

    @property
    def shown(self) -> str:
        """The text with its caret."""
        return f"{self.text[: self.at]}▏{self.text[self.at :]}"
