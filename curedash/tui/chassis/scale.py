"""Weights from a scale on a port or pipe.

Named by the command line or the environment of this machine, never by the household's file.
"""

import os
from collections.abc import Callable

from curedash.domain.errors import CuredashError
from curedash.feeds.scale import ScaleFeed


def start(weighed: Callable[[float], object], tell: Callable[[str], None]) -> ScaleFeed | None:
    """Read the scale that CUREDASH_SCALE names, lines by CUREDASH_SCALE_LINE.

    Parameters
    ----------
    weighed : called in the feed's thread with each weight that settled [g]
    tell : called with a sentence when the scale cannot be read
    """
    form = os.environ.get("CUREDASH_SCALE_LINE") or None
    try:
        feed = ScaleFeed(os.environ["CUREDASH_SCALE"], weighed, tell, form)
    except CuredashError as refusal:
        tell(str(refusal))
        return None
    feed.start()
    return feed
