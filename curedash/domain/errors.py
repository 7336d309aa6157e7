"""What can go wrong, each as one sentence a person can act on."""

from curedash.domain.quantity_text import Quantity, phrase


class CuredashError(Exception):
    """Any refusal the program words itself; ``str()`` is the sentence shown to the user."""

    def __init__(self, sentence: object = "", *more: object, **parts: str | Quantity) -> None:
        """Named parts are filled into the sentence, which keeps their quantities."""
        super().__init__(phrase(str(sentence), **parts) if parts else sentence, *more)

    def __str__(self) -> str:
        """The sentence itself; it may know its quantities (``domain/quantity_text``)."""
        return self.args[0] if self.args and isinstance(self.args[0], str) else super().__str__()


class UsageError(CuredashError):
    """The words of a command do not fit (exit code 64)."""


class Refused(CuredashError):
    """Input that makes no sense or must not be done; the sentence names what would be accepted."""


class Doubtful(CuredashError):
    """Input that can be kept, but only after a plain question is answered with yes."""


class NoteWanted(Doubtful):
    """Input that is used against a rule; a note saying why answers it."""


class Changed(Doubtful):
    """What was shown has changed meanwhile; it is shown again, and asked.

    ``newest`` is the line of the log that is known now, where it came from the log.
    """

    @property
    def newest(self) -> int | None:
        """The newest line of the log when this was found."""
        return self.args[1] if len(self.args) > 1 else None


class Unclear(Doubtful):
    """What can be read in two ways, or wants an answer first; nobody can say yes to it.

    ``question`` names what is asked where a reason or "unknown" answers it.
    """

    @property
    def question(self) -> str:
        """The name of the question; empty where it is typed anew."""
        return str(self.args[1]) if len(self.args) > 1 else ""


class NotFound(CuredashError):
    """No such lot, place, batch or file (exit code 66)."""


class FileTrouble(CuredashError):
    """The database or a file cannot be read or written (exit code 74)."""


class Busy(FileTrouble):
    """Another process holds the file at this moment; trying again shortly works."""
