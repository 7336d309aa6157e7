"""The photos of a lot in lines and as documents."""

from datetime import tzinfo
from typing import Any

from curedash.domain.records import Event
from curedash.domain.times import moment
from curedash.domain.wording import facts
from curedash.present.words import day, plain
from curedash.services.household.event_words import event_text

STATES = {
    "there": "",
    "gone": "the file is missing",
    "changed": "another photo is there now",
    "not confirmed": "from elsewhere, not opened: 'curedash photo LOT --confirm'",
}


def photo_line(event: Event, path: str, state: str, zone: tzinfo) -> str:
    """``25 Nov: firm spot; photo tip.jpg: /home/mara/tip.jpg``."""
    on = day(moment(event.at).astimezone(zone).date())
    return facts(f"{on}: {plain(event_text(event))}: {plain(path)}", STATES[state])


def photo_document(event: Event, path: str, state: str) -> dict[str, Any]:
    """The same for a program."""
    return {"at": event.at, "kind": event.kind, "text": event.text, "path": path, "state": state}
