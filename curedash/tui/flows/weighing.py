"""The weigh-in line: digits, an echo of what they mean, one plain question if they are odd.

Letters are commands only while the line is empty, so that ``lb``, ``oz`` and ``kg`` can be typed.
"""

from collections.abc import Callable, Collection, Sequence
from typing import Any

from curedash.domain.errors import Busy, Changed, CuredashError, FileTrouble, Refused
from curedash.domain.quantity_text import grams, say
from curedash.domain.record import replace
from curedash.domain.records import LotState
from curedash.domain.times import utc_text
from curedash.domain.typed.units import Ambiguous
from curedash.domain.weighing.doubts import Doubt
from curedash.domain.weighing.neighbours import SIBLINGS, SWAPPED
from curedash.present.display_units import in_pounds, mass, retold, typed_weight
from curedash.present.weighing.weigh_line import doubt_answers, echo_words, hint_parts, prompt_words
from curedash.present.words import Line, Span, fitting, plain, wrapped
from curedash.services.file.drafts import set_aside
from curedash.services.find import lot_with_id
from curedash.services.weighing.neighbours import beside_others
from curedash.services.weighing.swap import weigh_swapped
from curedash.services.weighing.weigh import (
    JUST_WEIGHED,
    Preview,
    Weighed,
    finest_division_g,
    hint,
    preview_at,
    weigh,
)
from curedash.tui.chassis.foot_prompt import Hint
from curedash.tui.chassis.line_input import TypedLine, starts_weight
from curedash.tui.chassis.page import Page
from curedash.tui.prompts.prompt import MOST_LINES, Talk

TARE_LABELS = ("without tare", "with tare")  # of the key that turns it
MOST_FIGURES = 5  # of a weight without a unit that may still be going on
WEIGH = "weigh"  # name of the draft of a half-typed weight


def may_grow(text: str) -> bool:
    """Whether what was typed is a number yet without a unit, which the next digit may make clear.

    Example
    -------
    >>> may_grow("2 "), may_grow("2 4.6 oz"), may_grow("9999999")
    (True, False, False)
    """
    figures = sum(char.isdecimal() for char in text)
    return 0 < figures <= MOST_FIGURES and not any(char.isalpha() for char in text)


class WeighIn(Talk):
    """One weigh-in of one lot on the foot lines."""

    gives_way = True

    def __init__(
        self,
        page: Page,
        lot: LotState,
        saved: Callable[[Weighed], None],
        *,
        text: str = "",
        others: Sequence[LotState] = (),
        note: str | None = None,
        together: Collection[int] = (),
    ) -> None:
        super().__init__(page)
        self.lot, self.note = lot, note
        self._together = together  # ids of lots weighed in the same round
        self.without_tare = False
        self.typed = TypedLine(text)
        self._saved, self._others = saved, others
        self._questions: list[Doubt] = []
        self._readings: tuple[float, ...] = ()
        self._seen: Preview | None = None
        self._trouble = ""
        self._scaled = ""  # what a scale on a port filled in last
        self._aside: tuple[str, str] | None = None  # what was written to a text file, and where
        self._own = lot  # the lot it began with; a weight may turn out to be another's
        self._expect()

    # ── what it shows ─────────────────────────────────────────────────────────────────────

    def lines(self, width: int) -> tuple[Line, ...]:
        """The line being typed, and under it the question, the trouble, the echo or the hint."""
        shown = plain(self.typed.shown)
        room = max(10, width // 2)
        shown = shown if len(shown) <= room else "…" + shown[-(room - 1) :]
        spans: list[Span] = [(f"{prompt_words(self.lot)} › ", "strong"), (shown, self.typed.tone)]
        spans.append((" " + self._on_what(), "quiet"))
        if self.note:
            spans.append((f" · note: {plain(self.note)}", "quiet"))
        words, tone = self._under(width)
        return tuple(spans), *(((line, tone),) for line in wrapped(words, width, MOST_LINES))

    def _under(self, width: int) -> Span:
        if self._questions:
            return retold(self._questions[0].question), "today"
        if self._trouble:
            return self._trouble, "act"
        if not self.typed.text:
            return self._hint_words(width), "quiet"
        try:
            return echo_words(self._read(), width), ""
        except CuredashError as unclear:
            if may_grow(self.typed.text):
                return self._hint_words(width), "quiet"
            return retold(str(unclear)), "quiet"

    def _hint_words(self, width: int) -> str:
        """What to expect on the scale with what lies on it this once."""
        return fitting(hint_parts(self._hint, alone=self.without_tare), width)

    def _on_what(self) -> str:
        text = self.typed.text
        unit = "" if in_pounds() or any(char.isalpha() for char in text) else "g"
        if in_pounds() and not text:
            unit = "e.g. 2 4.8 (lb oz);"
        what = ", the meat alone" if self.without_tare else " on the scale"
        return (unit + what).lstrip(" ,")

    def hints(self) -> list[Hint]:
        """The keys that mean something at this moment."""
        if self._readings:
            first, second = self._readings[:2]
            return [("y", f"{mass(first)}"), ("k", f"{mass(second)}"), ("n Esc", "change it")]
        if self._questions:
            typed_g = self._seen.gross_g if self._seen is not None else 0.0
            worn = self._seen is not None and self._seen.tare_g
            what = plain(self.lot.tare_what or "tare") if worn else ""
            return doubt_answers(self._questions[0], typed_g, what)
        if self.typed.text:
            again = self._trouble and self._aside is not None
            return [("Enter", "try again" if again else "save"), ("Esc", "leave")]
        return self.empty_hints()

    def empty_hints(self) -> list[Hint]:
        """While nothing is typed letters are commands."""
        return [("Enter", "save"), ("Esc", "leave"), ("t", self.tare_label)]

    @property
    def tare_label(self) -> str:
        """What the key for the tare does now."""
        return TARE_LABELS[self.without_tare]

    def turn_tare(self) -> None:
        """The scale shows the meat alone, or no longer."""
        self.without_tare = not self.without_tare
        self._expect()

    def _expect(self) -> None:
        """What is to be expected of this lot with what lies on the scale."""
        house = self.page.house
        on_it = replace(self.lot, tare_g=0.0, tare_what=None) if self.without_tare else self.lot
        self._hint = hint(on_it, house.now(), house.zone)

    # ── keys ──────────────────────────────────────────────────────────────────────────────

    def key(self, key: str, char: str | None) -> bool:
        """Digits and units, Enter, Esc; letters only once something is typed."""
        if self._questions:
            self._take_answer(key)
            return True
        if key == "enter":
            self._enter()
        elif key == "escape":
            self.leave()
        elif not self.typed.text and not starts_weight(char):
            return self.empty_key(key)
        elif self.typed.key(key, char):
            self._trouble = ""
        return True

    def empty_key(self, key: str) -> bool:
        """A letter on the empty line; other keys leave it and do what they always do."""
        if key == "t":
            self.turn_tare()
        else:
            self.leave()
        return key in ("t", "q")

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

    # ── saving ────────────────────────────────────────────────────────────────────────────

    def _read(self) -> Preview:
        house = self.page.house
        last = self.lot.last_gross_g or self.lot.green_g
        now, text = house.now(), typed_weight(self.typed.text, last)
        return house.read(
            lambda conn: preview_at(
                conn,
                self.lot,
                text,
                now,
                house.zone,
                now,
                without_tare=self.without_tare,
                division_g=finest_division_g(conn, last or 0.0),
                others=lambda: self._others,
            )
        )

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
        house = self.page.house
        return house.read(
            lambda conn: beside_others(conn, self.lot, seen, house.now(), self._together)
        )

    def _take_answer(self, key: str) -> None:
        """``y`` the likely fix, ``k`` as typed, ``n`` and Esc back to typing."""
        doubt = self._questions[0]
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
        self.typed = TypedLine(self.typed.text, marked=True)
        if self.lot.id != self._own.id:
            self.lot = self._own
            self._expect()

    def _is_of(self, code: str) -> None:
        """The same number for the lot it fits, with that lot's own questions."""
        self._questions, self._readings = [], ()
        lot_id = next(lot.id for lot in self._others if lot.code == code)
        self.lot = self.page.house.read(lambda conn: lot_with_id(conn, lot_id))
        self.without_tare = False
        self._expect()
        self._enter()

    def _retype(self, grams: float) -> None:
        self._questions, self._readings = [], ()
        self.typed = TypedLine(f"{grams:.10g} g")
        self._enter()

    def _keep(self, seen: Preview, *, doubtful: bool) -> None:
        lot_id, note = self.lot.id, self.note
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
            self.page.say(
                f"Saved and swapped: {kept.lot.code} {mass(kept.preview.gross_g)},"
                f" {other_code} {mass(seen.gross_g)}. {self.page.undo_key} takes both back.",
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
            self.lot = self.page.house.read(lambda conn: lot_with_id(conn, self.lot.id))
            self._expect()
            seen = self._seen = self._read()
        except CuredashError as trouble:
            self._trouble = str(trouble)
            return
        asked = say("{question} It is {net} net.", question=str(changed), net=grams(seen.net_g))
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
        why = str(refusal).replace("; nothing was stored", "")
        return f"Not stored; {self.typed.text.strip()} is saved in {self._aside[1]}. {why}"

    def _as_command(self) -> list[str]:
        at = utc_text(self._seen.at if self._seen is not None else self.page.house.now())
        words = ["weigh", self.lot.code, self.typed.text.strip(), "--at", at]
        words += ["--without-tare"] if self.without_tare else []
        return [*words, "--note", self.note] if self.note else words
