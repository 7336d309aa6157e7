"""What was probably meant by a word that is not known."""

from collections.abc import Iterable


def or_else(word: str, known: Iterable[str], otherwise: str, before: str = "") -> str:
    """End a sentence about an unknown word: with the known one that is closest, or otherwise.

    ``before`` is what stands before the known word.

    Example
    -------
    >>> or_else("wiegh", ["lots", "weigh"], "see the list."), or_else("brew", ["lots"], "see it.")
    ('did you mean “weigh”?', 'see it.')
    """
    import difflib

    close = difflib.get_close_matches(word, list(known), n=1)
    return f"did you mean “{before}{close[0]}”?" if close else otherwise
