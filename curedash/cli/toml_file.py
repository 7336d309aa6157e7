"""Reading a TOML file that a person wrote."""

from typing import Any

from curedash.domain.errors import UsageError


def read_toml(path: str) -> dict[str, Any]:
    """What a TOML file holds.

    Raises
    ------
    NotFound: no such file; FileTrouble: it cannot be read; Refused: it is too large, or does not
    end; UsageError: it is not TOML
    """
    import tomllib

    from curedash.store.outside import SMALL_BYTES, read_text

    try:
        return tomllib.loads(read_text(path, SMALL_BYTES))
    except tomllib.TOMLDecodeError as trouble:
        raise UsageError(f"{path} is not TOML ({trouble}).") from None
    except RecursionError:
        raise UsageError(f"{path} is nested too deeply.") from None
