"""What ``watch`` keeps fresh after each look: the page for the phone, the state on the broker.

Only words of the command line of this machine switch it on, never a setting of the file.
"""

from __future__ import annotations

from collections.abc import Callable

from curedash.cli.command import Chosen, Word
from curedash.cli.context import Context
from curedash.domain.errors import CuredashError

TYPE_CHECKING = False
if TYPE_CHECKING:
    Follower = Callable[[], object]


#: The options --page and --publish.
FOLLOWERS = (
    Word("--page FILE", "keep a web page for the phone up to date at this path"),
    Word(
        "--publish TOPIC",
        "publish lots and places below this topic (default: curedash), to the broker saved "
        "with 'curedash air listen --save'",
        nargs="?",
        const="curedash",
    ),
    Word(
        "--announce PREFIX",
        "with --publish: announce them, so that a home dashboard lists them (default: "
        "homeassistant)",
        nargs="?",
        const="homeassistant",
    ),
)


class Followers:
    """The followers of one run; what fails is said once and tried again at the next look.

    Raises
    ------
    UsageError, Refused: one of them cannot begin
    """

    def __init__(self, chosen: Chosen, context: Context) -> None:
        self._context = context
        self._followers = list(_made(chosen, context))
        self._said: dict[int, str] = {}

    def follow(self, *, once: bool) -> None:
        """Let each do its work.

        Raises
        ------
        CuredashError: one failed, where there is only this look
        """
        for number, follower in enumerate(self._followers):
            try:
                follower()
            except CuredashError as trouble:
                if once:
                    raise
                if self._said.get(number) != str(trouble):
                    self._context.err(f"{trouble} It is tried again at the next check.")
                    self._said[number] = str(trouble)
            else:
                if (trouble_before := self._said.pop(number, None)) is not None:
                    self._context.err(f"It works again. Before: {trouble_before}")


def _made(chosen: Chosen, context: Context) -> list[Follower]:
    found: list[Follower] = []
    if chosen.page:
        from curedash.papers.page_file import PageFile

        kept = PageFile(chosen.page, never=context.db_path)
        found.append(lambda: kept.refresh(context.open(), context.now))
    if chosen.announce and not chosen.publish:
        from curedash.domain.errors import UsageError

        raise UsageError("--announce needs --publish.")
    if chosen.publish:
        from curedash.feeds.state_topics import StatePublisher

        publisher = StatePublisher(
            context.open(),
            context.db_path,
            base=chosen.publish,
            announce=chosen.announce,
            every_s=chosen.every,
        )
        found.append(lambda: publisher.publish(context.open(), context.now))
    return found
