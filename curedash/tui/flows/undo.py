"""Undo and redo: the household's last change; on the page of a lot or a batch its own."""

from collections.abc import Collection

from curedash.domain.errors import CuredashError, Doubtful
from curedash.services.household.undo import redo_last, redo_last_of, undo_last, undo_last_of
from curedash.tui.chassis.commands import key_of
from curedash.tui.chassis.list_page import ListPage
from curedash.tui.chassis.page import Page
from curedash.tui.prompts.converse import converse
from curedash.tui.prompts.questions import Choice, Steps


class UndoesLast(ListPage):
    """A list on which undo and redo are about the last change made here, whatever it was."""

    def do_undo(self) -> None:
        """Undo the last change made here."""
        again = key_of(f"{self.NAME}.redo")
        self.write(
            undo_last, lambda what: self.show_message(f"Undone: {what}. {again} redoes it.", "good")
        )

    def do_redo(self) -> None:
        """Redo what was undone last."""
        back = key_of(f"{self.NAME}.undo")
        self.write(
            redo_last, lambda what: self.show_message(f"Redone: {what}. {back} undoes it.", "good")
        )


def take_back(
    page: Page, lot_ids: Collection[int], *, batch_id: int | None = None, whole: bool = False
) -> None:
    """Take the last change of these lots back; one that other lots share is asked about."""
    again = key_of(f"{page.NAME}.redo")

    def stopped(refusal: CuredashError) -> None:
        if isinstance(refusal, Doubtful):
            converse(page, lambda: _whole(page, lot_ids, batch_id, str(refusal)))
        else:
            page.show_message(f"{refusal}{way_out(page)}", "act")

    page.write(
        lambda conn, by: undo_last_of(conn, by, lot_ids, batch_id=batch_id, whole=whole),
        lambda what: page.show_message(f"Undone: {what}. {again} redoes it.", "good"),
        stopped,
    )


def way_out(page: Page) -> str:
    """Where a person may take back any change, if this page leads there."""
    if page.NAME != "lot":
        key = key_of("rack.history")
        return f" The history ({key} on the Rack) has every change; each can be undone there."
    return f" {key_of('lot.history')} shows every change; each can be undone there."


def _whole(page: Page, lot_ids: Collection[int], batch_id: int | None, question: str) -> Steps:
    yield Choice(question, ((True, "undo it all"),))
    take_back(page, lot_ids, batch_id=batch_id, whole=True)


def do_again(page: Page, lot_ids: Collection[int], *, batch_id: int | None = None) -> None:
    """Do again what was taken back last of these lots."""
    back = key_of(f"{page.NAME}.undo")
    page.write(
        lambda conn, by: redo_last_of(conn, by, lot_ids, batch_id=batch_id),
        lambda what: page.show_message(f"Redone: {what}. {back} undoes it.", "good"),
    )
