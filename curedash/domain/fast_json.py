"""JSON of numbers and plain words, without loading the library for it.

The library's import (it brings regular expressions and enumerations along) costs a shell command
as much as a weigh-in; whatever is not plain is still handed to it, so the text is always its text.
"""

from __future__ import annotations

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import Any

_PLAIN = {None: "null", True: "true", False: "false"}
_WORDS: dict[str, Any] = {word: value for value, word in _PLAIN.items()}


def dumps(value: Any) -> str:
    """The text that ``json.dumps`` gives.

    Example
    -------
    >>> dumps(["weigh_in", 7, {"net_g": 1043.0, "note": None, "curve": True}])
    '["weigh_in", 7, {"net_g": 1043.0, "note": null, "curve": true}]'
    >>> dumps("Gläschen \\"3\\"")
    '"Gl\\\\u00e4schen \\\\"3\\\\""'
    """
    kind = type(value)
    if (kind is float and value - value == 0.0) or kind is int:
        return repr(value)
    if kind is str and value.isascii() and value.isprintable():
        if '"' not in value and "\\" not in value:
            return f'"{value}"'
    elif value is None or kind is bool:
        return _PLAIN[value]
    elif kind is list or kind is tuple:
        return f"[{', '.join(map(dumps, value))}]"
    elif kind is dict and all(type(name) is str for name in value):
        return "{" + ", ".join([f"{dumps(n)}: {dumps(v)}" for n, v in value.items()]) + "}"
    import json

    return json.dumps(value)


def pretty(value: Any, margin: str = "\n") -> str:
    """The text that ``json.dumps`` gives with an indent of two and letters as they are.

    Example
    -------
    >>> print(pretty([{"lot": "Gläschen", "needs": []}]))
    [
      {
        "lot": "Gläschen",
        "needs": []
      }
    ]
    """
    deeper = margin + "  "
    if type(value) is list and value:
        inner = [pretty(item, deeper) for item in value]
    elif type(value) is dict and value and all(type(name) is str for name in value):
        inner = [f"{_word(name)}: {pretty(item, deeper)}" for name, item in value.items()]
    else:
        if type(value) is float and value - value != 0.0:
            raise ValueError(f"{value} is not a JSON number")
        return _word(value) if type(value) is str else dumps(value)
    opening, closing = "[]" if type(value) is list else "{}"
    return opening + deeper + f",{deeper}".join(inner) + margin + closing


def _word(text: str) -> str:
    if text.isprintable() and '"' not in text and "\\" not in text:
        return f'"{text}"'
    import json

    return json.dumps(text, ensure_ascii=False)


def loads(text: str) -> Any:
    """What ``json.loads`` gives; a flat object of numbers and plain words is read without it.

    Example
    -------
    >>> loads('{"ph": 5.2, "by": "strip"}'), loads('[1, {"a": "b, c"}]')
    ({'ph': 5.2, 'by': 'strip'}, [1, {'a': 'b, c'}])
    """
    try:
        return _flat(text)
    except ValueError:
        import json

        return json.loads(text)


def _flat(text: str) -> dict[str, Any]:
    if text[:1] != "{" or text[-1:] != "}":
        raise ValueError("no object")
    found = {}
    for part in text[1:-1].split(",") if text != "{}" else ():
        name, _, value = part.partition(":")
        key = _atom(name.strip())
        if type(key) is not str:
            raise ValueError("no name")
        found[key] = _atom(value.strip())
    return found


def loads_numbers(text: str) -> Any:
    """Nested lists of numbers, null, true, false and words without commas, brackets or quotes.

    Raises
    ------
    ValueError: anything else

    Example
    -------
    >>> loads_numbers('["body-1", [0.25, -3], [], null]')
    ['body-1', [0.25, -3], [], None]
    """
    deep: list[list[Any]] = [[]]
    for part in text.replace("[", ",[,").replace("]", ",],").split(","):
        token = part.strip()
        if token == "[":
            deep.append([])
        elif token == "]" and len(deep) > 1:
            inner = deep.pop()
            deep[-1].append(inner)
        elif token:
            deep[-1].append(_atom(token))
    if len(deep) != 1 or len(deep[0]) != 1:
        raise ValueError("not one whole list")
    return deep[0][0]


def _atom(token: str) -> Any:
    if token in _WORDS:
        return _WORDS[token]
    if token[:1] == '"':
        word = token[1:-1]
        if len(token) < 2 or token[-1] != '"' or '"' in word or "\\" in word:
            raise ValueError("not a plain word")
        return word
    return int(token) if token.lstrip("-").isdecimal() else float(token)
