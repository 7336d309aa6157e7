"""Where the details of a bug go: a log file, never the user's screen."""

import os
import traceback
from datetime import UTC, datetime

from curedash.store import paths

MOST_BYTES = 1_000_000  # of the log; then it begins anew and the last one stays beside it
MOST_OF_ONE = 100_000  # characters of one trace, its end


def keep_trace(bug: BaseException) -> str:
    """Append the trace of a bug to the log; the file's path, or a word if it cannot be kept."""
    path = os.path.join(paths.state_folder(), "trace.log")
    try:
        os.makedirs(os.path.dirname(path), mode=0o700, exist_ok=True)
        if os.path.exists(path) and os.path.getsize(path) > MOST_BYTES:
            os.replace(path, f"{path}.1")
        number = os.open(path, os.O_CREAT | os.O_WRONLY | os.O_APPEND, 0o600)
        with os.fdopen(number, "a", encoding="utf-8", errors="backslashreplace") as log:
            log.write(f"--- {datetime.now(UTC).isoformat()}\n")
            log.write("".join(traceback.format_exception(bug))[-MOST_OF_ONE:])
    except OSError:
        return "nowhere (the log folder cannot be written)"
    return path
