"""Calling somebody from the dashboard: bell, title, desktop notification; only what was chosen.

``CUREDASH_TELL`` names what this terminal may do: ``bell``, ``title``, ``desktop``, with commas.
What stood already when the program was opened rings nothing.
"""

import os
from collections.abc import Mapping, Sequence

from curedash.domain.needs.lot_needs import Need
from curedash.present.terminal_signals import signs
from curedash.services.needs.check import key_of

VARIABLE = "CUREDASH_TELL"


class Notifier:
    """Knows what was seen, so that only news rings."""

    def __init__(self, environ: Mapping[str, str] = os.environ) -> None:
        self._environ = environ
        self._may = {word.strip().lower() for word in environ.get(VARIABLE, "").split(",")}
        self._known: set[tuple[str, int, int]] | None = None
        self._sent = ""

    def signs(self, needs: Sequence[Need]) -> str:
        """What to send to the terminal now that this needs somebody; often nothing."""
        keys = {key_of(need) for need in needs}
        known = keys if self._known is None else self._known
        self._known = keys
        new = [need for need in needs if key_of(need) not in known]
        text = signs(
            new,
            needs,
            self._environ,
            ring="bell" in self._may,
            show_title="title" in self._may,
            notify="desktop" in self._may,
        )
        if text == self._sent and not new:
            return ""
        self._sent = text
        return text
