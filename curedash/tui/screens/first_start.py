"""The first start on an empty file: what this is, where to begin, and a few questions, once."""

import asyncio
from collections.abc import Iterable

from textual.widget import Widget

from curedash.present.household.settings import first_rows
from curedash.present.household.settings_row import Row
from curedash.present.words import Line, count, cut
from curedash.services.file import backup, demo_file
from curedash.services.household import household_settings
from curedash.services.household.first_start import first_start_seen
from curedash.tui.chassis.commands import key_of
from curedash.tui.chassis.page import Page
from curedash.tui.chassis.state import DashboardState
from curedash.tui.flows.setting_page import SettingPage
from curedash.tui.flows.under_way import NOT_TAKEN, questions
from curedash.tui.prompts.converse import converse
from curedash.tui.prompts.questions import Steps
from curedash.tui.widgets.lines import FixedLines

#: the questions in their order, and the label each has while nobody answered it
ORDER = ("units", "scale", "place")
FIRST = {"scale": "scales", "place": "places"}
NARROW = 60  # columns below which the shorter words are taken
WHAT_IN_SHORT = ("Follows each piece, salt to slice:", "doses, cure time, loss, when to pull.")
DEMO = ("try made-up pieces; this file stays empty", "try an invented household")
UNDER_WAY = ("add pieces that are already curing or hanging", "add pieces that cure or hang")
WHAT_IT_IS = (
    "Follows each piece you dry-cure from salt to slice:",
    "doses, cure time, loss, and when to pull it.",
)


class FirstStart(SettingPage):
    """Two lines of what it is, three ways to begin, and questions that can all wait."""

    NAME = "first_start"

    def __init__(self, house: DashboardState) -> None:
        super().__init__(house)
        self.intro = FixedLines(house.styles, id="intro", lines=10)
        self._asked_row = "units"  # the question that was asked last
        self._tenths = -1  # of the demo, while it is built
        self._kept_elsewhere = copies_with_lots(house.db_path)

    def body(self) -> Iterable[Widget]:
        """What it is, then the questions."""
        yield self.intro
        yield self.list

    def rows_now(self, found: household_settings.HouseholdSettings) -> list[Row]:
        """The few that are asked once."""
        return first_rows(self.view, found)

    def title_line(self, width: int) -> Line:  # noqa: ARG002
        """Where it begins."""
        return (("CUREDASH   ", "title"), ("no batches yet", "quiet"))

    def draw(self) -> None:
        """The lines above the questions too."""
        width = self.app.size.width
        lines = intro(self._kept_elsewhere, narrow=width < NARROW)
        self.intro.show(*(tuple((cut(t, width), tone) for t, tone in line) for line in lines))
        super().draw()

    def _begin(self) -> None:
        """It is not shown a second time."""
        super()._begin()
        self.write(first_start_seen, lambda _: None)

    def do_edit(self) -> None:
        """Answer the marked question."""
        self._asked_row = self.row_here().kind.removeprefix("new-")
        super().do_edit()

    def answered(self) -> None:
        """The next of the questions that nobody answered yet, opened at once."""
        below = ORDER[ORDER.index(self._asked_row) + 1 :]
        kinds = {f"new-{kind}": FIRST[kind] for kind in below}
        open_ones = [row for row in self.rows.values() if kinds.get(row.kind) == row.label]
        if not open_ones:
            return
        self.list.move_to(open_ones[0].key)
        self.do_edit()

    def do_new(self) -> None:
        """Salt the first batch."""
        self.house.navigator.open_instead("new_batch")

    def do_under_way(self) -> None:
        """Take in pieces that are in the cure, or hang, already; then to the Rack."""
        converse(self, self._taking_in, NOT_TAKEN)

    def _taking_in(self) -> Steps:
        words = yield from questions(self)
        rack = self.app.screen_stack[-2]
        self.leave()
        if isinstance(rack, Page):
            rack.show_message(f"{words} {rack.undo_key} undoes it.", "good")

    def do_demo(self) -> None:
        """Build the demo and go there; this file stays as it is."""
        now, loop = self.house.now(), asyncio.get_running_loop()

        def tell(done: int, of: int) -> None:  # in the thread that writes
            loop.call_soon_threadsafe(self._built, done, of)

        self.write(lambda _conn, _by: demo_file.ready(now, tell), self._open)
        self._built(0, 1)

    def _built(self, done: int, of: int) -> None:
        """How far the demo is: its share in tenths, so that a slow line gets ten lines at most."""
        tenths = 10 * done // of
        if tenths != self._tenths:
            self._tenths = tenths
            self.busy(
                f"building the demo {'█' * tenths}{'░' * (10 - tenths)}"
                " (invented; your own file is not touched)"
            )

    def _open(self, path: str) -> None:
        self.house.navigator.open_file(path)


def copies_with_lots(path: str) -> int:
    """How many copies beside the file hold a lot: then it is not the first start of a household."""
    held = (backup.held(copy).contents for copy in backup.copies(path))
    return sum(found is not None and found.lots > 0 for found in held)


def intro(copies: int = 0, *, narrow: bool = False) -> list[Line]:
    """What it is and how to begin; first, where copies hold lots, how to bring them back."""
    copied = count(copies, "copy", "copies")
    words = f"  {copied} with lots beside this file: 'curedash restore' lists them"
    return [
        ((words, "today"),) if copies else (),
        *(((f"  {line}", "strong"),) for line in (WHAT_IN_SHORT if narrow else WHAT_IT_IS)),
        (),
        _way("new", "salt the first batch"),
        _way("under-way", UNDER_WAY[narrow]),
        _way("demo", DEMO[narrow]),
        _way("leave", "leave this for later"),
        (
            ("  Optional for now: ", "quiet"),
            (key_of("first_start.edit"), "key"),
            (" asks these", "quiet"),
            *(() if narrow else _later()),
            (":", "quiet"),
        ),
        (),
    ]


def _later() -> Line:
    """Where the same is changed later."""
    return ("; ", "quiet"), (key_of("rack.settings"), "key"), (" on the Rack later", "quiet")


def _way(verb: str, words: str) -> Line:
    """A key and where it leads, the words one below the other."""
    return (f"  {key_of(f'first_start.{verb}'):<2} ", "key"), (words, "")
