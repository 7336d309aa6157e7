"""The photos of a lot on the page for the phone: linked, never loaded with it.

A picture on the page would widen its content policy and weigh megabytes. A link costs nothing
until somebody taps it, and leads to the file itself, by its way from the page.
"""

import os
from datetime import tzinfo
from html import escape
from urllib.parse import quote

from curedash.domain.times import moment
from curedash.present.words import day, plain
from curedash.services.household import photos
from curedash.services.household.event_words import event_text
from curedash.store.open import Connection


def photo_list(conn: Connection, lot_id: int, folder: str, zone: tzinfo) -> str:
    """A list of links; of a photo that is not there, or not confirmed here, the words alone."""
    items = []
    for event, photo in photos.photos_of(conn, lot_id):
        on = day(moment(event.at).astimezone(zone).date())
        words = f"<bdi>{escape(f'{on}: {plain(event_text(event))}')}</bdi>"
        state = photos.state(conn, photo)
        if state == photos.THERE:
            way = os.path.relpath(photos.where(conn, photo), folder)
            words = f'<a class="row" href="./{escape(quote(way))}">{words}</a>'
        else:
            words = f'<div class="row">{words} ({escape(state)})</div>'
        items.append(f"<li>{words}</li>")
    return f'<h3>Photos</h3><ul class="rows">{"".join(items)}</ul>' if items else ""
