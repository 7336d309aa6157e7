"""Words people put into a day, in the form that `dates` reads: ``9. 12.``, ``six weeks ago``."""

_NUMBERS = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")
_COUNTS = {
    "a": "1",
    "an": "1",
    **{word: str(count) for count, word in enumerate(_NUMBERS, 1)},
    "eleven": "11",
    "twelve": "12",
}
_COUNTED = ("hour", "day", "week", "fortnight", "month")
_LEADING = ("on", "since", "from", "until", "till", "by")
_AROUND = ("the", "of")


def usual_day_words(words: list[str]) -> list[str]:
    """Put the words of a day in their usual form: figures for counts, a day and month as one word.

    Example
    -------
    >>> usual_day_words("9. 12.".split()), usual_day_words("six weeks ago".split())
    (['9.12.'], ['6', 'weeks', 'ago'])
    >>> usual_day_words("on the 1st of December".split())
    ['1', 'december']
    """
    found = [word.casefold() for word in words]
    if len(found) > 1 and found[0] in _LEADING:
        found = found[1:]
    if len(found) > 1:
        found = [word for word in found if word not in _AROUND] or found
    if found[:3] == ["day", "before", "yesterday"]:
        found = ["2", "days", "ago", *found[3:]]
    if len(found) > 1 and found[0] == "this":
        found = found[1:]
    return _joined(_counts([_without_ordinal(word) for word in found]))


def _without_ordinal(word: str) -> str:
    figures = word.rstrip("stndrh")
    return figures if figures.isdecimal() and word[len(figures) :] in _ORDINALS else word


_ORDINALS = ("", "st", "nd", "rd", "th")


def _counts(words: list[str]) -> list[str]:
    """Numbers in words before what is counted, and fortnights as weeks."""
    found = list(words)
    for place, word in enumerate(words[:-1]):
        if words[place + 1].rstrip("s") in _COUNTED:
            found[place] = _COUNTS.get(word, word)
    for place, word in enumerate(found):
        before = found[place - 1] if place else ""
        if word.rstrip("s") == "fortnight" and before.isdecimal():
            found[place - 1 : place + 1] = [str(2 * int(before)), "weeks"]
    return found


def _joined(words: list[str]) -> list[str]:
    """``9. 12. 2026`` as one word: a figure with a point, and figures behind it."""
    if len(words) < 2 or not (words[0][-1:] == "." and words[0][:-1].isdecimal()):
        return words
    if not words[1].rstrip(".").isdecimal():
        return words
    take = 3 if len(words) > 2 and words[2].isdecimal() and words[1].endswith(".") else 2
    return ["".join(words[:take]), *words[take:]]
