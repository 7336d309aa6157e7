"""Needs: everything that needs somebody, with its number and the usual next action."""

from collections.abc import Callable, Collection
from datetime import datetime, timedelta
from math import ceil
from typing import cast

from curedash.domain.errors import Refused
from curedash.domain.needs.lot_needs import Need
from curedash.domain.records import StoredNeed
from curedash.domain.times import moment, utc_text
from curedash.domain.wording import facts
from curedash.present.display_units import retold
from curedash.present.rack.around import need_words
from curedash.present.words import count, plain
from curedash.services.find import lot_with_id
from curedash.services.needs.check import snooze, snooze_anew
from curedash.services.places.places import all_of
from curedash.store.rack import open_lots
from curedash.tui.chassis.commands import key_of
from curedash.tui.chassis.foot_prompt import Hint
from curedash.tui.chassis.line_input import starts_weight
from curedash.tui.chassis.need_keys import action_words, together, ways_of
from curedash.tui.chassis.writer import Job
from curedash.tui.flows.lot_steps import turning
from curedash.tui.flows.need_answers import PLACE_ANSWERS, answer_lot
from curedash.tui.flows.weighing import weigh_here
from curedash.tui.prompts.as_shown import write_as_shown
from curedash.tui.prompts.converse import converse
from curedash.tui.prompts.prompt import Ask
from curedash.tui.screens.needs_lines import Key, NeedsLines

LONGEST_DAYS = 60
REASON_WANTED = "Say why in a few words; Esc leaves it as it is."
HOW_TO_SNOOZE = "The reason; begin with a number for more days: 3 waiting for the weekend"


class Needs(NeedsLines):
    """What needs somebody, what is snoozed, and what cleared itself lately."""

    NAME = "needs"

    def do_open(self) -> None:
        """Do what this need asks for: its question, here; one that is over shows its page."""
        need = self._chosen
        if need is None:
            self.do_lot()
        elif together(need):
            self._answer_together(need)
        else:
            self._answer(need)

    def _answer(self, need: Need) -> None:
        ways, house = ways_of(need), self.house
        if not ways:
            raise Refused(f"This is done outside curedash: {plain(retold(need.action))}.")
        if need.lot_id is not None:
            answer_lot(self, house.read(lot_with_id, need.lot_id), ways)
        else:
            here = next(p for p in house.read(all_of) if p.id == need.place_id)
            PLACE_ANSWERS[ways[0].id](self, here)

    @property
    def _chosen(self) -> Need | None:
        """The need under the cursor; None on one that is snoozed or over."""
        key = cast(Key | None, self.list.cursor_key)
        return None if key is None else self._needs.get(key)

    def _answer_together(self, need: Need) -> None:
        """Several lots of a place in one line: the round, or all of them turned."""
        if need.cause == "weigh-in-due":
            self.show("round", ended=self.show_message)
            return
        lying = self.house.read(
            lambda conn: [
                lot
                for lot in open_lots(conn)
                if lot.place_id == need.place_id and lot.stage == "in-cure"
            ]
        )
        if not lying:
            raise Refused("Nothing is in cure there any more.")
        converse(self, lambda: turning(self, lying[0]))

    def do_lot(self) -> None:
        """The page of its lot or place."""
        about = self._chosen or self._stored_at(cast(Key | None, self.list.cursor_key))
        if about is None:
            raise Refused("Nothing needs you now: there is nothing to open.")
        if about.lot_id is not None:
            self.show("lot", lot_id=about.lot_id)
        elif about.place_id is not None:
            self.show("places", at=about.place_id)
        else:
            raise Refused(f"There is no lot or place to open: {retold(about.action)}.")

    def typed_key(self, key: str, char: str | None) -> None:  # noqa: ARG002
        """A digit starts the weigh-in of the lot of this need."""
        need = self._chosen
        if need is not None and need.lot_id is not None and starts_weight(char):
            weigh_here(self, self.house.read(lot_with_id, need.lot_id), char or "")

    def hints(self) -> list[Hint]:
        """The usual keys; Enter says what it does here."""
        need, enter = self._chosen, key_of("needs.open")
        does = "open" if need is None else action_words(need)
        return [(key, does if key == enter else label) for key, label in super().hints()]

    def cannot(self) -> Collection[str]:
        """Where nothing is listed nothing can be done; some things are done elsewhere."""
        need = self._chosen
        if not self.list.keys:
            return ("needs.open", "needs.later", "needs.lot")
        return ("needs.open",) if need is not None and not action_words(need) else ()

    def do_later(self) -> None:
        """Keep this need quiet, with a reason; one that is quiet: otherwise, or no longer."""
        self._asked_at = self.house.seen
        kept = self._stored_at(cast(Key | None, self.list.cursor_key))
        if kept is not None and kept.cleared_at is None:
            self._ask_anew(kept)
            return
        need = self._here()

        def take(days: int, why: str) -> None:
            until = self._until(days)
            now = self.house.now()
            self._write(lambda conn, by: snooze(conn, by, need, until, why, now), days)

        whole = facts(need_words(need), "all of them" if together(need) else "")
        about = f"{whole}. {HOW_TO_SNOOZE}"
        self._ask(plain(need.lot or need.place or "this"), about, take)

    def _ask_anew(self, kept: StoredNeed) -> None:
        """Other days or another reason; 0 ends it."""
        where, now = self._where.get(kept.id, ""), self.house.now()

        def take(days: int, why: str) -> None:
            until = self._until(days) if days else None
            self._write(lambda conn, by: snooze_anew(conn, by, kept, where, until, why, now), days)

        left_s = (moment(kept.snoozed_until or utc_text(now)) - now).total_seconds()
        text = f"{max(1, ceil(left_s / 86_400))} {plain(kept.reason or '')}".strip()
        about = f"Snoozed: {retold(kept.message)}. Days and the reason; 0 ends it now."
        self._ask(plain(where or "this"), about, take, text=text, least=0)

    def _ask(
        self,
        where: str,
        about: str,
        take: Callable[[int, str], None],
        *,
        text: str = "",
        least: int = 1,
    ) -> None:
        """Days and a reason, which is asked for until it is there."""

        def read(typed: str) -> str | None:
            days, why = days_and_reason(typed)
            if not least <= days <= LONGEST_DAYS:
                return f"Between {least} and {LONGEST_DAYS} days."
            if days and not why and typed:
                self._ask_why(
                    f"{where}: snooze for {count(days, 'day')} because",
                    about,
                    lambda said: take(days, said),
                )
                return None
            if days and not why:
                return REASON_WANTED
            take(days, why)
            return None

        for_how_long = "snooze for" if text else "snooze for a day because"
        self.talk(Ask(self, f"{where}: {for_how_long}", read, text=text, help=about))

    def _ask_why(self, question: str, about: str, take: Callable[[str], None]) -> None:
        """The reason alone, where the days were typed before."""

        def read(why: str) -> str | None:
            if not why:
                return REASON_WANTED
            take(why)
            return None

        self.talk(Ask(self, question, read, help=about))

    def _until(self, days: int) -> datetime:
        return self.house.now() + timedelta(days=days)

    def _write(self, job: Job, days: int) -> None:
        """Save it on what was shown when it was asked for."""
        back = key_of("needs.undo")
        said = f"Snoozed for {count(days, 'day')}" if days else "No longer snoozed"
        write_as_shown(
            self,
            job,
            lambda _: self.show_message(f"{said}. {back} undoes it.", "good"),
            seen=self._asked_at,
        )


def days_and_reason(text: str) -> tuple[int, str]:
    """How many days and why, from one line; one day if no number leads.

    Example
    -------
    >>> days_and_reason("3 waiting for the weekend"), days_and_reason("new battery ordered")
    ((3, 'waiting for the weekend'), (1, 'new battery ordered'))
    """
    first, _, rest = text.strip().partition(" ")
    number = first.removesuffix("d")
    if number.isascii() and number.isdecimal() and len(number) < 4:
        return int(number), rest.strip().removeprefix("d ").strip()
    return 1, text.strip()
