"""The one tree of errors that the domain raises.

    CorewrightError
    ├── InvalidInput        a value that cannot be accepted; names the field and the mend
    │   ├── OutOfRange      a number outside the range in which a formula holds
    │   ├── UnknownUnit     a unit spelling that is not on the closed list
    │   ├── WrongDimension  a unit of another kind of quantity
    │   └── Ambiguous       text with two or more readings; carries them
    ├── NotFound            no such record (or another shop's: the same answer)
    ├── Conflict            the record's state or another record forbids it
    ├── StaleVersion        the record was changed since the caller read it
    ├── NotTheAuthor        another shop recorded it, which alone changes it
    └── Forbidden           the key may not do this

HTTP knows nothing of this module but one table, in ``api/errors.py``. "No, because ..." is a
result with reasons, never one of these.
"""

from collections.abc import Sequence


class CorewrightError(Exception):
    """Root of all errors that Corewright itself raises."""

    code = "internal"


class InvalidInput(CorewrightError):
    """A value that cannot be accepted.

    ``pointer`` is a JSON pointer into the input ("/price/amount"), ``detail`` names the value seen
    and the value wanted, ``fix`` says what to do.
    """

    code = "invalid"

    def __init__(self, pointer: str, detail: str, fix: str, code: str | None = None) -> None:
        super().__init__(f"{pointer}: {detail}")
        self.pointer = pointer
        self.detail = detail
        self.fix = fix
        if code is not None:
            self.code = code

    def below(self, prefix: str) -> "InvalidInput":
        """Return the same error as seen from one level further out."""
        self.pointer = prefix + self.pointer
        return self


class OutOfRange(InvalidInput):
    """A number outside the range in which a formula holds."""

    code = "out-of-range"

    def __init__(self, field: str, value: object, wanted: str) -> None:
        super().__init__(
            f"/{field}", f"{field} is {value}; wanted {wanted}.", f"Give {field} {wanted}."
        )


class UnknownUnit(InvalidInput):
    """A unit spelling that is not on the closed list."""

    code = "unit-unknown"


class WrongDimension(InvalidInput):
    """A unit of another kind of quantity than the field holds."""

    code = "unit-wrong-dimension"


class Ambiguous(InvalidInput):
    """Text that has two or more readings: offered, never guessed."""

    code = "ambiguous"

    def __init__(self, pointer: str, detail: str, fix: str, readings: Sequence[str]) -> None:
        super().__init__(pointer, detail, fix)
        self.readings = tuple(readings)


class NotFound(CorewrightError):
    """No such record, or another shop's record."""

    code = "not-found"

    def __init__(self, kind: str, record_id: str) -> None:
        super().__init__(f"{kind} {record_id}")
        self.kind = kind
        self.record_id = record_id


class Conflict(CorewrightError):
    """The record's state, or another record, forbids the change.

    ``code`` is one of "state-conflict", "duplicate", "in-use", "already-reserved",
    "idempotency-in-progress";
    ``facts`` are members of the answer.
    """

    def __init__(self, code: str, detail: str, fix: str, **facts: object) -> None:
        super().__init__(detail)
        self.code = code
        self.detail = detail
        self.fix = fix
        self.facts = facts


class StaleVersion(CorewrightError):
    """The record has another version than the one that the caller means to change."""

    code = "stale-version"

    def __init__(self, kind: str, record_id: str, current_version: int) -> None:
        super().__init__(f"{kind} {record_id} has version {current_version}")
        self.kind = kind
        self.record_id = record_id
        self.current_version = current_version


class NotTheAuthor(CorewrightError):
    """A record of the catalogue that another shop recorded: read by all, changed by that one."""

    code = "not-the-author"

    def __init__(self, kind: str, record_id: str) -> None:
        super().__init__(f"{kind} {record_id}")
        self.kind = kind
        self.record_id = record_id


class Forbidden(CorewrightError):
    """The key is good but may not do this."""

    code = "forbidden"

    def __init__(self, needed_role: str) -> None:
        super().__init__(needed_role)
        self.needed_role = needed_role
