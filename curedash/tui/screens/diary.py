"""The diary: two weeks day by day, a month at a glance, days away, the stand-in page, planning."""

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any

from curedash.domain.errors import Refused
from curedash.domain.needs.days_away import Away
from curedash.domain.needs.diary import parse_away
from curedash.present.display_units import thickness_example
from curedash.present.needs.diary import block_words, plan_lines, ready_lines
from curedash.present.words import count, plain, wrapped
from curedash.services.household.household import choose
from curedash.services.needs import away
from curedash.services.needs.diary import lots_ready, plan_ready, read_stand_in
from curedash.store.watching import Connection
from curedash.tui.chassis.commands import key_of
from curedash.tui.flows.export_flow import NOTHING, to_file
from curedash.tui.prompts.converse import converse
from curedash.tui.prompts.lot_typed import words_or_none
from curedash.tui.prompts.prompt import Ask
from curedash.tui.prompts.questions import Choice, Steps, Text, save

if TYPE_CHECKING:
    from curedash.papers.blocks import Block
from curedash.papers.files import suggested
from curedash.services.dosing.dosing_means import dosing_defaults, find_style
from curedash.tui.screens.diary_lines import MONTH, MOST_DAYS, REPORT, STAND_IN, TEXT, DiaryLines

MOST_BLOCKS = 9
PLAN_GREEN_G, PLAN_THICKNESS_MM = 1200.0, 70.0


class DiaryPage(DiaryLines):
    """What comes, and what days away mean."""

    NAME = "diary"

    def do_open(self) -> None:
        """Open the lot of this line."""
        key, item = self.list.cursor_key, self._here()
        lot_id = None if item is None or item.lot is None else item.lot.id
        if self.view == MONTH and isinstance(key, tuple):
            lot_id = key[1]
        elif self.view == REPORT and isinstance(key, tuple):
            lot_id = key[0]
        if lot_id is None:
            raise Refused("Put the cursor on a lot first.")
        self.show("lot", lot_id=lot_id)

    # ── days away ─────────────────────────────────────────────────────────────────────────

    def do_new(self) -> None:
        """Ask for days away and look what they mean."""
        self.talk(
            Ask(
                self,
                "away",
                self._look_away,
                help="for example 12-19 Dec, 22 Feb to 4 Mar, or 24 Dec",
            )
        )

    def _look_away(self, text: str) -> None:
        self.block = parse_away(text, self.house.day)
        self._turn_to(REPORT)

    def do_save(self) -> None:
        """Save what is shown: the days a report is about, or the page for your stand-in."""
        if self.view == TEXT and self._about == STAND_IN:
            self._write_page()
            return
        block = self.block
        if self.view != REPORT or block is None:
            raise Refused(f"Ask for days away first, with {key_of('diary.new')}.")
        now, key = self.house.now(), key_of("diary.remove")
        self.write(
            lambda conn, by: away.add_away(conn, by, block, now, remove_by=key),
            lambda kept: self.show_message(
                f"Saved: {block_words(kept)}. Weigh-ins move to other days.", "good"
            ),
        )

    def do_remove(self) -> None:
        """Delete days away."""
        known = self.house.read(away.blocks, self.house.today())
        if not known:
            raise Refused("No days away are saved.")
        converse(self, lambda: self._coming_home(known))

    def _coming_home(self, known: Sequence[away.Block]) -> Steps:
        """Which of the days away; of a single one it is only asked whether."""
        options = tuple((block.id, block_words(block)) for block in known[:MOST_BLOCKS])
        if len(options) == 1:
            number = options[0][0]
            yield Choice(f"away {options[0][1]}", ((True, "delete them"),))
        else:
            number = yield Choice("which days", options)
        gone = yield save(away.remove_away, number)
        self.show_message(f"Undone: {block_words(gone)}.", "good")

    # ── the page for your stand-in, and planning back ─────────────────────────────────────

    def do_record(self) -> None:
        """Show the page for the person who stands in, for the days away or the next eight."""
        self._weighs_too = False
        waiting = self.house.read(read_stand_in, **self._stood_in()).waiting
        words = count(len(waiting), "task")
        converse(self, lambda: self._standing_in(words, bool(waiting)))

    def _standing_in(self, how_many: str, waits: bool) -> Steps:
        """Days away moved something: it waits, or the person does it on its own day."""
        from curedash.papers.blocks import as_text
        from curedash.papers.handover import ASK, whom_to_ask

        if waits:
            self._weighs_too = yield Choice(
                f"{how_many} could wait until you are back",
                ((False, "they wait for me"), (True, "the stand-in does them")),
                usual=0,
            )
        known = self.house.read(whom_to_ask)
        help = "a name and a phone number; Enter leaves a line to write on"
        asked = yield Text("for questions", words_or_none, help, text=known)
        if (asked or "") != known:
            yield save(choose, ASK, asked or "")
        page = self._page()
        self._show_text(STAND_IN, lambda width: as_text(page, width).split("\n"))

    def _stood_in(self) -> dict[str, Any]:
        """The days of the page: those away, looked at or kept, else the next eight."""
        block = self._away_block()
        first = None if block is None else max(block.first, self.house.today())
        length = 8 if block is None or first is None else (block.last - first).days + 1
        return {
            "now": self.house.now(),
            "days": min(length, MOST_DAYS),
            "first": first,
            "looked_at": self.block,
            "weighs_too": self._weighs_too,
        }

    def _page(self) -> "list[Block]":
        from curedash.papers.handover import handover

        return self.house.read(handover, **self._stood_in())

    def _away_block(self) -> Away | None:
        """The days looked at, else the next ones kept."""
        if self.block is not None:
            return self.block
        kept = [block for block in self._diary.stretch.away if block.last >= self.house.today()]
        return kept[0] if kept else None

    def _show_text(self, about: str, text: Callable[[int], Sequence[str]]) -> None:
        """A text from its first line on, broken once, for the width there is."""
        self._about, self._text_for = about, text
        self._turn_to(TEXT)

    def _write_page(self) -> None:
        """Save the page for your stand-in to a file."""
        from curedash.papers.paper_files import write_paper

        blocks, now = self._page(), self.house.now()

        def write(_conn: Connection, path: str) -> None:
            write_paper(path, blocks, now, never=self.house.db_path)

        usual = suggested("standing-in")
        converse(self, lambda: to_file(self, "the page", usual, write), NOTHING)

    def do_what_if(self) -> None:
        """Ask for a style and a day, and plan back."""
        thick = thickness_example()
        self.talk(
            Ask(
                self,
                "style, ready by",
                self._plan,
                help=f"e.g. bresaola 24 Dec; or with a thickness: … {thick}",
            )
        )

    def _plan(self, text: str) -> None:
        from curedash.domain.typed.plan import typed_plan

        now, today = self.house.now(), self.house.today()
        wanted = typed_plan(text, now, self.house.zone)
        lines = ["Type a style before the day to see when to salt, e.g. bresaola 24 Dec."]
        if wanted.style:
            style, new = find_style(wanted.style, self.house.read(dosing_defaults))
            if new:
                raise Refused(f"There is no style “{wanted.style}”; type one, then the day.")
            planned = self.house.read(
                plan_ready,
                style,
                wanted.day,
                today,
                green_g=PLAN_GREEN_G,
                thickness_mm=wanted.thickness_mm or PLAN_THICKNESS_MM,
            )
            lines = plan_lines(planned)
        hanging = ready_lines(self.house.read(lots_ready, now), wanted.day, today)
        lines = [*lines, *hanging] if wanted.style else [*(hanging or [_NOTHING_BY_THEN]), *lines]
        self._show_text(
            f"ready by {plain(wanted.day_typed)}",
            lambda width: [part for line in lines for part in _paragraph(line, width)],
        )


def _paragraph(line: str, width: int) -> list[str]:
    """A sentence that begins a little to the left of its further lines."""
    first, *more = wrapped(plain(line), width - 6, 9)
    return [f"  {first}", *(f"    {text}" for text in more)]


_NOTHING_BY_THEN = "There is no open lot that could be ready by then."
