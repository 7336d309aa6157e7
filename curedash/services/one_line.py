"""Words a person typed, as they are kept: on one line, nothing that could move a screen."""

from curedash.domain.errors import Refused
from curedash.domain.typed.words import on_one_line

MAX_WORDS = 2000


def one_line(text: str | None, most: int = MAX_WORDS) -> str | None:
    """The text on one line without control characters; None when nothing is left.

    Raises
    ------
    Refused: more than ``most`` characters
    """
    if text is None:
        return None
    clean = on_one_line(text)
    if len(clean) > most:
        raise Refused(f"That is at most {most} characters long; this one has {len(clean)}.")
    return clean or None
