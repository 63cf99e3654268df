"""The family of refusals: every way loosewell says no, in full sentences.

Refusal
├── UnitRefusal           a unit is missing, unknown or of the wrong kind
├── BoundRefusal          a value lies outside what a bench can give
├── ContradictionRefusal  two values cannot both be true
├── MissingRefusal        something that must be said was not said
├── NotFoundRefusal       no record of that name
├── FileRefusal           a file cannot be used: foreign, corrupt, newer, busy, full disk
├── ImportRefusal         rows of a table cannot be taken; every bad row is named
└── EngineRefusal         the engine was asked for something outside its range

A refusal says what was given, what is accepted, and what to do. Faces print
its message as it stands and end with exit code 2.
"""

from __future__ import annotations


class Refusal(Exception):
    """A clear no: what was given, what is accepted, what to do.

    Parameters
    ----------
    message : str
        One or more full sentences, ready to be read by the person at the bench.
    code : str
        Stable name for tests and machines.
    """

    code = "refused"

    def __init__(self, message: str, *, code: str | None = None) -> None:
        super().__init__(message)
        if code is not None:
            self.code = code

    @property
    def message(self) -> str:
        """The sentences, as they are printed."""
        return str(self)


class UnitRefusal(Refusal):
    """A unit is missing, unknown or of the wrong kind."""

    code = "unit"


class BoundRefusal(Refusal):
    """A value lies outside what the bench can give."""

    code = "bound"


class ContradictionRefusal(Refusal):
    """Two values that cannot both be true."""

    code = "contradiction"


class MissingRefusal(Refusal):
    """Something that must be said was not said."""

    code = "missing"


class NotFoundRefusal(Refusal):
    """No record of that name."""

    code = "not-found"


class FileRefusal(Refusal):
    """A file that cannot be used; it is left as it was found."""

    code = "file"


class ImportRefusal(Refusal):
    """Rows of a table that cannot be taken; nothing of the table was kept.

    Parameters
    ----------
    message : str
        What happened to the file as a whole.
    rows : list of (int, str)
        Line number in the file, as an editor counts it, and the sentence
        about that line.
    """

    code = "import"

    def __init__(self, message: str, rows: list[tuple[int, str]]) -> None:
        super().__init__(message)
        self.rows = rows


class EngineRefusal(Refusal):
    """The engine was asked for something outside its range."""

    code = "engine"
