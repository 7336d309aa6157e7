"""Frozen records that cost almost nothing to define.

A frozen, slotted ``dataclass`` generates source text for each class: about a millisecond apiece,
and a second import of ``inspect``. Forty of them are most of the start of a shell command, so
what every command loads is made here from closures instead; type checkers see a dataclass.
"""

from __future__ import annotations

from operator import itemgetter

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import Any, TypeVar, dataclass_transform

    T = TypeVar("T")
else:

    def dataclass_transform(**_: object):
        """Type checkers read the real one."""
        return lambda function: function


def _parts(cls: type) -> tuple[tuple[str, ...], dict[str, Any], dict[str, Any]]:
    """The fields of a class, their defaults, and what else it has."""
    names = tuple(getattr(cls, "__annotations__", ()))
    defaults = {name: cls.__dict__[name] for name in names if name in cls.__dict__}
    body = {
        name: value
        for name, value in cls.__dict__.items()
        if name not in defaults and name not in ("__dict__", "__weakref__")
    }
    return names, defaults, body


@dataclass_transform(frozen_default=True)
def record(cls: type[T]) -> type[T]:
    """Turn a class of annotated fields into a frozen record with slots, equality and a repr.

    Fields with a default come last, as in a dataclass; inheritance is not supported.

    Example
    -------
    >>> @record
    ... class Weight:
    ...     net_g: float
    ...     tare_g: float = 0.0
    >>> Weight(1015.0, tare_g=28.0)
    Weight(net_g=1015.0, tare_g=28.0)
    >>> Weight(1015.0) == Weight(1015.0, 0.0)
    True
    """
    names, defaults, body = _parts(cls)
    body["__slots__"] = names
    body["__match_args__"] = names
    setters: list[Any] = []
    body.update(_methods(cls.__name__, names, defaults, setters))
    made = type(cls.__name__, cls.__bases__, body)
    setters += [made.__dict__[name].__set__ for name in names]
    return made


@dataclass_transform(frozen_default=True)
def row_record(cls: type[T]) -> type[T]:
    """Turn a class of annotated fields into a frozen record that stands on one row.

    The row itself is the record, a tuple read by name: :func:`from_row` makes one in a single
    step, where thousands of rows of sixty columns would cost more than reading them.

    Example
    -------
    >>> @row_record
    ... class Weight:
    ...     net_g: float
    ...     tare_g: float = 0.0
    >>> from_row(Weight, (1015.0, 28.0))
    Weight(net_g=1015.0, tare_g=28.0)
    >>> from_row(Weight, (1015.0, 0.0)) == Weight(1015.0)
    True
    """
    names, defaults, body = _parts(cls)

    def __new__(kind: Any, *values: Any, **given: Any) -> Any:
        placed = dict(zip(names, values))  # noqa: B905 (shorter is allowed)
        known = defaults | placed | given
        twice = placed.keys() & given.keys()
        if len(values) > len(names) or twice or known.keys() != set(names):
            raise TypeError(f"{cls.__name__} takes each of {names} once")
        return tuple.__new__(kind, [known[name] for name in names])

    def __eq__(self: Any, other: object) -> bool:
        return other.__class__ is self.__class__ and tuple.__eq__(self, other)  # type: ignore

    def __ne__(self: Any, other: object) -> bool:
        return not __eq__(self, other)

    def __repr__(self: Any) -> str:
        shown = ", ".join(f"{field}={value!r}" for field, value in zip(names, self, strict=True))
        return f"{cls.__name__}({shown})"

    body |= {name: property(itemgetter(at)) for at, name in enumerate(names)}
    body |= {
        "__slots__": (),
        "__match_args__": names,
        "__new__": __new__,
        "__eq__": __eq__,
        "__ne__": __ne__,
        "__hash__": tuple.__hash__,
        "__repr__": __repr__,
        "__reduce__": lambda self: (self.__class__, tuple(self)),
    }
    return type(cls.__name__, (tuple,), body)


def from_row(kind: type[T], row: tuple[Any, ...]) -> T:
    """A :func:`row_record` that stands on this row, which has its fields in their order."""
    return tuple.__new__(kind, row)  # type: ignore[type-var]


def replace(old: T, /, **changes: Any) -> T:
    """The record with some fields changed.

    Example
    -------
    >>> @record
    ... class Weight:
    ...     net_g: float
    ...     tare_g: float = 0.0
    >>> replace(Weight(1015.0), tare_g=28.0)
    Weight(net_g=1015.0, tare_g=28.0)
    """
    names = field_names(type(old))
    values = {name: getattr(old, name) for name in names}
    unknown = changes.keys() - values.keys()
    if unknown:
        raise TypeError(f"{type(old).__name__} has no field {sorted(unknown)}")
    return type(old)(**(values | changes))


def _fill(made: Any, names: tuple[str, ...], given: dict[str, Any], defaults: Any) -> None:
    """Give the fields ``names`` what was given by name, or their default."""
    put, kind = object.__setattr__, type(made).__name__
    for field in names:
        if field in given:
            put(made, field, given.pop(field))
        elif field in defaults:
            put(made, field, defaults[field])
        else:
            raise TypeError(f"{kind} wants {field}")
    if given:
        raise TypeError(f"{kind} has no field {sorted(given)}, or was given it twice")


def _methods(
    name: str, names: tuple[str, ...], defaults: dict[str, Any], setters: list[Any]
) -> dict[str, Any]:
    """The methods of a record, as closures over its fields; ``setters`` write them directly."""
    count = len(names)

    def __init__(self: Any, *values: Any, **given: Any) -> None:
        if len(values) > count:
            raise TypeError(f"{name} has {count} fields, not {len(values)}")
        for put_next, value in zip(setters, values):  # noqa: B905 (shorter is allowed)
            put_next(self, value)
        if given or len(values) < count:
            _fill(self, names[len(values) :], given, defaults)

    def values_of(self: Any) -> tuple[Any, ...]:
        return tuple([getattr(self, field) for field in names])

    def __eq__(self: Any, other: object) -> Any:
        if other.__class__ is not self.__class__:
            return NotImplemented
        return values_of(self) == values_of(other)

    def __repr__(self: Any) -> str:
        shown = ", ".join(f"{field}={getattr(self, field)!r}" for field in names)
        return f"{name}({shown})"

    def frozen(_self: Any, field: str, _value: Any = None) -> None:
        raise AttributeError(f"{name} is frozen: {field} cannot be changed")

    return {
        "__init__": __init__,
        "__eq__": __eq__,
        "__hash__": lambda self: hash(values_of(self)),
        "__repr__": __repr__,
        "__setattr__": frozen,
        "__delattr__": frozen,
        "__reduce__": lambda self: (self.__class__, values_of(self)),
    }


def field_names(kind: type) -> tuple[str, ...]:
    """The fields of a record in their order.

    Example
    -------
    >>> field_names(record(type("Pair", (), {"__annotations__": {"a": int, "b": int}})))
    ('a', 'b')
    """
    names: tuple[str, ...] = kind.__match_args__  # type: ignore[attr-defined]
    return names


def as_dict(kept: object) -> dict[str, Any]:
    """The fields of a record by name, records inside left as they are.

    Example
    -------
    >>> as_dict(record(type("Pair", (), {"__annotations__": {"a": int, "b": int}}))(1, 2))
    {'a': 1, 'b': 2}
    """
    return {name: getattr(kept, name) for name in field_names(type(kept))}
