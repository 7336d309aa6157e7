"""What happened happened before now: a later time is asked about before anything is kept."""

from datetime import datetime

from curedash.domain.errors import Doubtful
from curedash.domain.times import moment
from curedash.domain.weighing.doubts import Doubt, ahead_doubts, asked_of
from curedash.store.work import By


def ahead(by: By, at: datetime) -> tuple[Doubt, ...]:
    """The question about a time that has not come yet; none up to 10 minutes ahead."""
    return ahead_doubts(at.timestamp(), moment(by.now).timestamp())


def require_past(by: By, at: datetime, subject: str, *, keep_doubtful: bool) -> None:
    """Refuse to keep what is said to happen later, unless it was asked about.

    Raises
    ------
    Doubtful: the question, with the subject before it
    """
    doubts = ahead(by, at)
    if doubts and not keep_doubtful:
        raise Doubtful(asked_of(subject, doubts))
