"""Words a person typed, as they are kept: nothing in them that could move a screen."""


def on_one_line(text: str) -> str:
    """The text on one line: no line breaks, control characters or doubled spaces.

    Example
    -------
    >>> on_one_line(" thick\\t end\\n")
    'thick end'
    """
    return " ".join("".join(ch if ch.isprintable() else " " for ch in text).split())
