"""A change that rests on what the page shows: changed meanwhile by somebody else, it is asked."""

from collections.abc import Callable
from typing import Any

from curedash.domain.errors import Changed, CuredashError
from curedash.domain.record import replace
from curedash.present.words import plain
from curedash.tui.chassis.page import Page
from curedash.tui.chassis.writer import Job
from curedash.tui.prompts.prompt import Doubted

LEFT = "It stays as it is now."


def write_as_shown(
    page: Page,
    job: Job,
    then: Callable[[Any], None],
    failed: Callable[[CuredashError], None] | None = None,
    *,
    seen: int | None = None,
) -> None:
    """Run a changing service on what was shown; ``k`` does it on what it is now, ``n`` leaves it.

    ``seen`` is the newest line of the log when it was shown; None: what the page shows now. It is
    compared inside the transaction that saves.
    """
    shown = page.house.seen if seen is None else seen

    def stopped(trouble: CuredashError) -> None:
        if isinstance(trouble, Changed) and trouble.newest is not None:
            ask_anew(page, trouble, trouble.newest, again)
        elif failed is not None:
            failed(trouble)
        else:
            page.show_message(str(trouble), "act")

    def again(newest: int) -> None:
        write_as_shown(page, job, then, failed, seen=newest)

    page.write(lambda conn, by: job(conn, replace(by, seen=shown)), then, stopped)


def ask_anew(page: Page, changed: Changed, newest: int, again: Callable[[int], None]) -> None:
    """Say what somebody else changed; ``k`` does it all the same, ``n`` leaves it."""

    def keep() -> None:
        page.hush()
        again(newest)

    def leave() -> None:
        page.hush()
        page.show_message(LEFT, "quiet")

    page.talk(Doubted(page, plain(str(changed)), keep, leave, "nothing"))
