"""Weights from a scale on a port or pipe, into the weigh-in that is open.

Named by the command line or the environment of this machine, never by the household's file.
"""

import os
from typing import TYPE_CHECKING

from curedash.domain.errors import CuredashError
from curedash.feeds.scale import ScaleFeed
from curedash.tui.chassis.page import Page
from curedash.tui.flows.weighing import WeighIn

if TYPE_CHECKING:
    from curedash.tui.chassis.app import Dashboard


def start(app: "Dashboard") -> None:
    """Read the scale that CUREDASH_SCALE names, lines by CUREDASH_SCALE_LINE."""
    form = os.environ.get("CUREDASH_SCALE_LINE") or None
    try:
        feed = ScaleFeed(
            os.environ["CUREDASH_SCALE"],
            lambda grams: app.call_later(settled, app, grams),
            app.tell,
            form,
        )
    except CuredashError as refusal:
        app.tell(str(refusal))
        return
    app.scale = feed
    feed.start()


def settled(app: "Dashboard", grams: float) -> None:
    """Fill the open weigh-in; where none is open nothing happens."""
    page = app.screen_stack[-1] if app.screen_stack else None
    if isinstance(page, Page) and isinstance(page.talking, WeighIn):
        page.talking.from_scale(grams)
        page.draw_foot()
