"""Reading a TOML file that a person wrote."""

from typing import Any

from curedash.domain.errors import FileTrouble, NotFound, UsageError


def read_toml(path: str) -> dict[str, Any]:
    """What a TOML file holds.

    Raises
    ------
    NotFound: no such file; FileTrouble: it cannot be read; UsageError: it is no TOML
    """
    import tomllib

    try:
        with open(path, "rb") as file:
            return tomllib.load(file)
    except FileNotFoundError:
        raise NotFound(f"There is no file {path}.") from None
    except (OSError, UnicodeDecodeError, ValueError) as trouble:
        if isinstance(trouble, tomllib.TOMLDecodeError):
            raise UsageError(f"{path} is no TOML ({trouble}).") from None
        raise FileTrouble(f"Cannot read {path} ({trouble}).") from None
