"""The weigh-in line: digits, an echo of what they mean, one plain question if they are odd.

Letters are commands only while the line is empty, so that ``lb``, ``oz`` and ``kg`` can be typed.
"""

from collections.abc import Sequence
from typing import Any

from curedash.domain.errors import Busy, Changed, CuredashError, FileTrouble, Refused
from curedash.domain.quantity_text import grams, phrase
from curedash.domain.records import LotState
from curedash.domain.times import utc_text
from curedash.domain.typed.unit_sizes import Ambiguous
from curedash.domain.weighing.doubts import Doubt
from curedash.domain.weighing.neighbours import SIBLINGS, SWAPPED
from curedash.present.display_units import mass
from curedash.present.weighing.weigh_line import saved_words
from curedash.services.file.drafts import set_aside
from curedash.services.find import lot_with_id
from curedash.services.household.first_start import scale_asked, scale_unknown
from curedash.services.weighing.neighbours import beside_others
from curedash.services.weighing.swap import weigh_swapped
from curedash.services.weighing.weigh import JUST_WEIGHED, Preview, Weighed, weigh
from curedash.store.file_trouble import without_denial
from curedash.store.rack import open_lots
from curedash.tui.chassis.commands import key_of
from curedash.tui.chassis.line_input import TypedLine, starts_weight
from curedash.tui.chassis.page import Page
from curedash.tui.flows.weigh_in_line import WeighInLine
from curedash.tui.prompts.prompt import TypedOn

WEIGH = "weigh"  # name of the draft of a half-typed weight


def weigh_here(
    page: Page, lot: LotState, text: str = "", others: Sequence[LotState] | None = None
) -> None:
    """Open the weigh-in line of this lot on the page that is shown; then say what was saved.

    Parameters
    ----------
    text : what was typed already
    others : the open lots, where the page knows them
    """

    def saved(kept: Weighed) -> None:
        page.hush()
        words = saved_words(kept.lot, kept.preview, page.app.size.width, page.undo_key)
        page.show_message(line.said_when + words + _scale_words(page), "good")

    known = page.house.read(open_lots) if others is None else others
    line = WeighIn(page, lot, saved, text=text, others=known)
    page.talk(line)


def _scale_words(page: Page) -> str:
    """After the first weigh-in of all: that no scale is known, and the key that says its steps."""
    if not page.house.read(scale_unknown):
        return ""
    page.remember(scale_asked)
    key = key_of("rack.settings")
    return f" Steps of 1 g are assumed; name your scale in Settings ({key} on the Rack)."


class WeighIn(WeighInLine):
    """One weigh-in of one lot on the foot lines."""

    said_when = ""  # the day it was read on, where that is not now

    # ── keys ──────────────────────────────────────────────────────────────────────────────

    def key(self, key: str, char: str | None) -> bool:
        """Digits and units, Enter, Esc; letters only once something is typed."""
        if self._questions:
            self._take_answer(key, char)
            return True
        if key == "enter":
            self._enter()
        elif key == "escape":
            self.leave()
        elif self.is_tare(key):
            self.turn_tare()
        elif not self.typed.text and not starts_weight(char):
            return self.empty_key(key)
        elif self.typed.key(key, char):
            self._trouble = ""
        return True

    def empty_key(self, key: str) -> bool:
        """A letter on the empty line; other keys leave it and do what they always do."""
        self.leave()
        return key == "q"

    def leave(self) -> None:
        """Nothing is kept."""
        self.page.hush()

    def paste(self, text: str) -> None:
        """Pasted text goes into the line."""
        self.typed.put(text)
        self._trouble = ""

    def weighed(self, grams_on_it: float) -> None:
        """A settled weight fills the line unless something else was typed; Enter saves it."""
        if self._questions or self.typed.text not in ("", self._scaled):
            return
        self._scaled = f"{grams_on_it:.10g} g"
        self.typed, self._trouble = TypedLine(self._scaled, marked=True), ""

    def draft(self) -> tuple[str, dict[str, Any]] | None:
        """The weight as far as it was typed."""
        if not self.typed.text.strip():
            return None
        return WEIGH, {"lot_id": self.lot.id, "text": self.typed.text}

    def aside(self) -> list[str]:
        """The command that enters it."""
        return self._as_command() if self.typed.text.strip() else []

    def _enter(self) -> None:
        """Save, unless it cannot be read or makes no sense."""
        self._readings = ()
        try:
            if not self.typed.text.strip():
                raise Refused("Type what the scale shows, then Enter; Esc leaves.")
            self._seen = self._beside_others(self._read())
        except Ambiguous as unclear:
            self._readings = unclear.readings
            self._questions = [Doubt("ambiguous", str(unclear), unclear.readings[0])]
            return
        except CuredashError as unclear:
            self._refuse(str(unclear))
            return
        self._questions = list(self._seen.doubts)
        if not self._questions:
            self._keep(self._seen, doubtful=False)

    def _refuse(self, why: str) -> None:
        """What was typed stays with the reason; the next character replaces it."""
        self._trouble = why
        self.typed = TypedLine(self.typed.text, marked=True)

    def _beside_others(self, seen: Preview) -> Preview:
        """With the question that the other weights of this hour raise, if they raise one."""
        if self.parts()[1] is not None:
            return seen
        house = self.page.house
        return house.read(beside_others, self.lot, seen, house.now(), self._together)

    def _take_answer(self, key: str, char: str | None) -> None:
        """``y`` the likely fix, ``k`` as typed, ``n`` and Esc back to typing."""
        doubt = self._questions[0]
        if key not in ("e", "q") and self._typed_on.takes(key, char):
            return
        if self._readings and key in ("y", "k"):
            self._retype(self._readings[0 if key == "y" else 1])
        elif key == "y" and doubt.kind == SWAPPED and doubt.lot_code is not None:
            self._keep_swapped(doubt.lot_code, doubt.likely_fix_g or 0.0)
        elif key == "y" and doubt.likely_fix_g is not None:
            self._retype(doubt.likely_fix_g)
        elif key == "y" and doubt.kind == SIBLINGS and self._seen is not None and self._seen.tare_g:
            self._questions = []
            self.turn_tare()
            self._enter()
        elif key == "y" and doubt.kind != SIBLINGS and doubt.lot_code is not None:
            self._is_of(doubt.lot_code)
        elif key == "k" and self._seen is not None:
            self._questions.pop(0)
            if not self._questions:
                self._keep(self._seen, doubtful=True)
        elif key in ("n", "escape", "e", "q"):
            self._change()
        elif key == "backspace":
            self._change()
            self.typed.key(key, None)

    def _change(self) -> None:
        """Back to typing, on the lot it began with; the next character replaces what was typed."""
        self._questions, self._readings = [], ()
        self.typed = TypedLine(self._typed_on.number or self.typed.text, marked=True)
        self._typed_on = TypedOn()
        if self.lot.id != self._own.id:
            self.lot = self._own
            self._expect()

    def _is_of(self, code: str) -> None:
        """The same number for the lot it fits, with that lot's own questions."""
        self._questions, self._readings = [], ()
        lot_id = next(lot.id for lot in self._others if lot.code == code)
        self.lot = self.page.house.read(lot_with_id, lot_id)
        self.without_tare = False
        self._expect()
        self._enter()

    def _retype(self, grams: float) -> None:
        self._questions, self._readings = [], ()
        self.typed = TypedLine(f"{grams:.10g} g")
        self._enter()

    def _keep(self, seen: Preview, *, doubtful: bool) -> None:
        lot_id, note = self.lot.id, self.note
        self.said_when = self.when_words(seen)
        self.page.write(
            lambda conn, by: weigh(conn, by, lot_id, seen, note=note, keep_doubtful=doubtful),
            self._saved,
            self._not_kept,
        )

    def _keep_swapped(self, other_code: str, own_g: float) -> None:
        """This weight for the lot it fits, and that lot's for this one, in one change."""
        lot_id, note, seen = self.lot.id, self.note, self._seen
        assert seen is not None  # it raised the question
        self._questions = []

        def saved(kept: Weighed) -> None:
            self._saved(kept)
            self.page.show_message(
                f"Saved and swapped: {kept.lot.code} {mass(kept.preview.gross_g)},"
                f" {other_code} {mass(seen.gross_g)}. {self.page.undo_key} undoes both.",
                "good",
            )

        self.page.write(
            lambda conn, by: weigh_swapped(conn, by, lot_id, seen, (other_code, own_g), note=note),
            saved,
            self._not_kept,
        )

    def _not_kept(self, refusal: CuredashError) -> None:
        """What was typed stays, with the reason; a file that takes nothing gets a second one."""
        if isinstance(refusal, Changed):
            self._show_again(refusal)
        elif isinstance(refusal, FileTrouble) and not isinstance(refusal, Busy):
            self._trouble = self._beside(refusal)
        else:
            self._trouble = str(refusal)

    def _show_again(self, changed: Changed) -> None:
        """What it rested on has changed meanwhile: what it means now, and whether to save it."""
        try:
            self.lot = self.page.house.read(lot_with_id, self.lot.id)
            self._expect()
            seen = self._seen = self._read()
        except CuredashError as trouble:
            self._trouble = str(trouble)
            return
        asked = phrase("{question} It is {net} net.", question=str(changed), net=grams(seen.net_g))
        others = [doubt for doubt in seen.doubts if doubt.kind != JUST_WEIGHED]
        self._questions = [Doubt("changed", asked), *others]

    def _beside(self, refusal: FileTrouble) -> str:
        """Write the weight as a command to a text file, once, and say where it is."""
        house = self.page.house
        try:
            if self._aside is None or self._aside[0] != self.typed.text:
                path = set_aside(self._as_command(), house.db_path, house.now())
                self._aside = (self.typed.text, path)
        except FileTrouble:
            return str(refusal)
        typed, why = self.typed.text.strip(), without_denial(refusal)
        return f"Not saved in the file; {typed} is in {self._aside[1]}. {why}"

    def _weight_typed(self) -> str:
        """The weight without the day behind it."""
        try:
            return self.parts()[0].strip()
        except CuredashError:
            return self.typed.text.strip()

    def _as_command(self) -> list[str]:
        at = utc_text(self._seen.at if self._seen is not None else self.page.house.now())
        words = ["weigh", self.lot.code, self._weight_typed(), "--at", at]
        words += ["--without-tare"] if self.without_tare else []
        return [*words, "--note", self.note] if self.note else words
