"""Short codes: letters for the batch (no I or O), a number for the lot, a letter for a part."""

from collections.abc import Iterable

from curedash.domain.errors import Refused

LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ"  # I and O look like 1 and 0 on a wet tag
_PARTS = LETTERS.lower()
_LONGEST = 12


def batch_code(number: int) -> str:
    """Name the n-th batch.

    Parameters
    ----------
    number : 0 for the first; below raises ``Refused``

    Returns
    -------
    A … Z without I and O, then AA, AB …

    Source
    ------
    definition

    Example
    -------
    >>> batch_code(0), batch_code(8), batch_code(23), batch_code(24), batch_code(48)
    ('A', 'J', 'Z', 'AA', 'BA')
    """
    if number < 0:
        raise Refused("Batches are counted from 0.")
    code = ""
    left = number + 1
    while left:
        left, place = divmod(left - 1, len(LETTERS))
        code = LETTERS[place] + code
    return code


def batch_number(code: str) -> int:
    """Count which batch a code names; the reverse of ``batch_code``.

    Parameters
    ----------
    code : letters without I and O, upper case; else raises ``Refused``

    Returns
    -------
    0 for A

    Source
    ------
    definition

    Example
    -------
    >>> batch_number("AA")
    24
    """
    if not code or any(letter not in LETTERS for letter in code):
        raise Refused("A batch is named by letters, without I and O.")
    number = 0
    for letter in code:
        number = number * len(LETTERS) + LETTERS.index(letter) + 1
    return number - 1


def next_batch_code(taken: Iterable[str]) -> str:
    """Name the batch after the last one; a gap is never filled, so a tag stays unique.

    Parameters
    ----------
    taken : codes in use or used before

    Returns
    -------
    the next code

    Source
    ------
    definition

    Example
    -------
    >>> next_batch_code(["A", "C"]), next_batch_code([])
    ('D', 'A')
    """
    return batch_code(max((batch_number(code) for code in taken), default=-1) + 1)


def lot_code(batch: str, number: int) -> str:
    """Name the n-th lot of a batch.

    Parameters
    ----------
    batch : code of the batch
    number : 1 for the first; below raises ``Refused``

    Returns
    -------
    the code

    Source
    ------
    definition

    Example
    -------
    >>> lot_code("C", 2)
    'C2'
    """
    batch_number(batch)
    if number < 1:
        raise Refused("Lots are counted from 1.")
    return f"{batch}{number}"


def part_code(lot: str, taken: Iterable[str]) -> str:
    """Name a piece cut from a lot later.

    Parameters
    ----------
    lot : code of the lot it is cut from
    taken : codes in use or used before; other lots' are ignored

    Returns
    -------
    the lot's code and the next letter; after 24 parts raises ``Refused``

    Source
    ------
    definition

    Example
    -------
    >>> part_code("C2", ["C2", "C2a", "C3a"]), part_code("C2a", [])
    ('C2b', 'C2aa')
    """
    own = {code for code in taken if code.startswith(lot) and len(code) == len(lot) + 1}
    used = [_PARTS.index(code[-1]) for code in own if code[-1] in _PARTS]
    following = max(used, default=-1) + 1
    if following >= len(_PARTS):
        raise Refused(f"{lot} was cut into {len(_PARTS)} parts already: cut one of its parts.")
    return lot + _PARTS[following]


def parse_lot_code(text: str) -> str:
    """Read a lot's code as typed.

    Parameters
    ----------
    text : ``c2``, ``C 2``, ``C2A``

    Returns
    -------
    the code as it is printed; what cannot be one raises ``Refused``

    Source
    ------
    definition

    Example
    -------
    >>> parse_lot_code(" c2A ")
    'C2a'
    """
    typed = "".join(text.split()) if len(text) <= 4 * _LONGEST else text
    letters = len(typed) - len(typed.lstrip(_ANY_CASE))
    batch, rest = typed[:letters].upper(), typed[letters:]
    digits = len(rest) - len(rest.lstrip("0123456789"))
    number, part = rest[:digits], rest[digits:].lower()
    fits = batch and number and number[0] != "0" and all(letter in _PARTS for letter in part)
    if not fits or len(typed) > _LONGEST:
        raise Refused(
            "That is not a lot: a code is letters without I and O and a number, as in C2."
        )
    return batch + number + part


_ANY_CASE = LETTERS + _PARTS
