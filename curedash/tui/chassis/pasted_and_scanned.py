"""What a page does with text that was pasted, and when the tag of a lot was scanned."""

from typing import Any, ClassVar

from textual import events

from curedash.domain.records import LotState
from curedash.present.words import Line
from curedash.services.find import require_lot
from curedash.tui.chassis.foot_prompt import FootPrompt
from curedash.tui.chassis.state import DashboardState

PASTED = "pasted"  # stands for a key where what was pasted waits among the keys
SCANNED = "scanned"  # the same for the code of a tag
MOST_PASTED = 10_000  # characters; no field or line takes more


class PastedAndScanned:
    """Part of every page: what reaches it at once, not key by key."""

    NAME: ClassVar[str]
    house: DashboardState
    talking: FootPrompt | None
    key_taken: str
    _said: list[Line]
    show_message: Any
    draw_foot: Any
    typed_key: Any
    typed_meanwhile: Any

    def on_paste(self, event: events.Paste) -> None:
        """Pasted text waits its turn among the keys."""
        event.stop()
        text = event.text[:MOST_PASTED].strip()
        if text:
            self.typed_meanwhile(PASTED, text)

    def pasted(self, text: str) -> None:
        """Pasted text belongs to the conversation, or starts one as typing would."""
        self._said = []
        if self.talking is None:
            self.typed_key(text[0], text[0])
            text = text[1:]
        if self.talking is not None:
            self.talking.paste(text)
        self.draw_foot()

    def scanned(self, code: str) -> None:
        """A tag was read: to the weigh-in of its lot, unless somebody is in the middle of words."""
        self._said, self.key_taken = [], SCANNED
        talk = self.talking
        if talk is not None and (not talk.gives_way or talk.aside()):
            words = "Finish this or leave it (Esc), then scan again."
            self.show_message(f"{code} was scanned. {words}", "today")
            return
        self.weigh_scanned(self.house.read(require_lot, code))

    def weigh_scanned(self, lot: LotState) -> None:
        """Open the weigh-in of this lot on its page; one page of a lot gives way to another."""
        to = self.house.navigator
        (to.open_instead if self.NAME == "lot" else to.open_page)(
            "lot", lot_id=lot.id, begins="do_weigh"
        )
