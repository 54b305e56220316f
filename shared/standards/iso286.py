"""Limits and fits: what a tolerance class means at a nominal size. Sizes in mm, deviations in µm.

Source: ISO 286-1:2010, ISO 286-2:2010 (from memory), and open table sets for what is marked so in
``data/iso286_grades.csv`` and ``data/iso286_deviations.csv``. Steps are "over ... up to and
including": 3 mm belongs to the first, 30 mm to "over 18 up to 30". Nominal sizes up to 500 mm.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from math import isfinite
from types import MappingProxyType
from typing import Final

from shared.errors import InvalidInput, OutOfRange
from shared.standards.catalogue_model import TableInfo
from shared.standards.reader import Sourced, rows

LARGEST: Final = 500.0
"""Nominal sizes above this, mm, have other steps: not in the tables."""


@dataclass(frozen=True, slots=True, kw_only=True)
class GradeRow(Sourced):
    """A standard tolerance: grade ("7" for IT7, "01"), step of nominal sizes in mm, µm."""

    grade: str
    over: float
    up_to: float
    tolerance: float


@dataclass(frozen=True, slots=True, kw_only=True)
class DeviationRow(Sourced):
    """A fundamental deviation, µm: upper for shafts a to h and holes J, lower for shafts j to zc.

    ``letter`` holds the grade too where the value is the grade's own ("j6", "J7").
    """

    letter: str
    over: float
    up_to: float
    deviation: float


class FitKind(StrEnum):
    """What two limits of size make together (ISO 286-1, 3.3)."""

    CLEARANCE = "clearance"
    TRANSITION = "transition"
    INTERFERENCE = "interference"


@dataclass(frozen=True, slots=True)
class ToleranceClass:
    """A letter and a grade: "H7" is a hole's, "h7" a shaft's."""

    letter: str
    grade: str

    @property
    def is_hole(self) -> bool:
        """Whether it is for an internal feature (capital letters)."""
        return self.letter.isupper()

    def __str__(self) -> str:
        return self.letter + self.grade


@dataclass(frozen=True, slots=True)
class Limits:
    """Deviations in µm and limits of size in mm of one class at one nominal size."""

    tolerance_class: ToleranceClass
    nominal: float
    lower_um: float
    upper_um: float

    @property
    def least(self) -> float:
        """Lower limit of size, mm."""
        return self.nominal + self.lower_um / 1000

    @property
    def most(self) -> float:
        """Upper limit of size, mm."""
        return self.nominal + self.upper_um / 1000


@dataclass(frozen=True, slots=True)
class Fit:
    """A hole and a shaft of one nominal size. Clearances in mm; below 0: interference."""

    hole: Limits
    shaft: Limits

    @property
    def least_clearance(self) -> float:
        """The tightest: least hole, largest shaft."""
        return (self.hole.lower_um - self.shaft.upper_um) / 1000

    @property
    def most_clearance(self) -> float:
        """The loosest: largest hole, least shaft."""
        return (self.hole.upper_um - self.shaft.lower_um) / 1000

    @property
    def kind(self) -> FitKind:
        """Clearance if it never binds (0 included), interference if it never has play."""
        if self.least_clearance >= 0:
            return FitKind.CLEARANCE
        return FitKind.INTERFERENCE if self.most_clearance <= 0 else FitKind.TRANSITION


def grade_rows() -> tuple[GradeRow, ...]:
    """Return the standard tolerances IT01 to IT18 up to 500 mm."""
    return rows("iso286_grades", GradeRow, "grade", "over")


def deviation_rows() -> tuple[DeviationRow, ...]:
    """Return the fundamental deviations of shafts, and of the holes J, up to 500 mm."""
    return rows("iso286_deviations", DeviationRow, "letter", "over")


def tolerance_grade(nominal: float, grade: str) -> float:
    """Standard tolerance IT of a grade ("7", "01"), µm. Raises OutOfRange, InvalidInput.

    >>> tolerance_grade(25, "7"), tolerance_grade(3, "7")
    (21.0, 10.0)
    """
    _check_nominal(nominal)
    if grade not in _grades():
        raise InvalidInput(
            "/classes",
            f"There is no grade IT{grade[:10]}.",
            "Give a grade from 01, 0, 1 to 18.",
            "not-listed",
        )
    return _step_value(_grades()[grade], nominal)


def read_class(text: str) -> ToleranceClass:
    """Read a tolerance class as written, "H7", "js6". Raises InvalidInput (pointer "/classes")."""
    found = _CLASS.fullmatch(text.strip()) if len(text) < 20 else None
    if found is None or not _is_letter(found[1]) or found[2] not in _grades():
        raise InvalidInput(
            "/classes",
            f"'{text.strip()[:20]}' is no tolerance class of the tables.",
            "Write a letter and a grade: H7 for a hole, g6 for a shaft. Capitals are holes.",
            "not-listed",
        )
    return ToleranceClass(found[1], found[2])


def deviations(nominal: float, tolerance_class: str) -> tuple[float, float]:
    """Lower and upper deviation in µm of a class ("H7", "g6") at a nominal size in mm.

    Raises OutOfRange for a nominal size not above 0 up to 500 mm; InvalidInput for text that is no
    class, or a class that the standard does not have at this size.

    >>> deviations(25, "H7"), deviations(25, "g6"), deviations(52, "N7")
    ((0.0, 21.0), (-20.0, -7.0), (-39.0, -9.0))
    """
    _check_nominal(nominal)
    wanted = read_class(tolerance_class)
    if wanted.grade in _COARSE_GRADES and nominal <= 1:
        raise _no_such_class(wanted, nominal)
    tolerance = tolerance_grade(nominal, wanted.grade)
    if wanted.letter in {"js", "JS"}:
        return -tolerance / 2, tolerance / 2
    if wanted.is_hole:
        return _hole(nominal, wanted, tolerance)
    return _shaft(nominal, wanted, tolerance)


def limits(nominal: float, tolerance_class: str) -> Limits:
    """Return limits of size; raises as ``deviations`` does."""
    lower, upper = deviations(nominal, tolerance_class)
    return Limits(read_class(tolerance_class), nominal, lower, upper)


def fit(nominal: float, hole: str, shaft: str) -> Fit:
    """Return the fit of a hole and a shaft, "H7" and "g6"; raises as ``deviations`` does.

    >>> fit(25, "H7", "g6").kind.value, round(fit(25, "H7", "g6").most_clearance, 3)
    ('clearance', 0.041)
    """
    return Fit(limits(nominal, hole), limits(nominal, shaft))


_CLASS = re.compile(r"([A-Za-z]{1,2})(01|[0-9]|1[0-8])", re.ASCII)
_SHAFTS_BELOW: Final = frozenset("a b c cd d e ef f fg g h".split())
_NOT_UP_TO_ONE: Final = frozenset("a b A B".split())
_COARSE_GRADES: Final = frozenset({"14", "15", "16", "17", "18"})
"""Not used up to 1 mm (ISO 286-1 table 1, from memory): a shaft h18 would be less than nothing."""
_GRADES_OF_K: Final = frozenset({"4", "5", "6", "7"})
_DELTA_GRADES: Final = MappingProxyType({"K": 8, "M": 8, "N": 8})
"""Coarsest grade with delta; 7 for P to ZC."""
_FINEST_WITH_DELTA: Final = 3


def _check_nominal(nominal: float) -> None:
    if not (isfinite(nominal) and 0 < nominal <= LARGEST):
        raise OutOfRange("nominal", f"{nominal:g}", f"a size above 0 up to {LARGEST:g} mm")


_Steps = tuple[tuple[float, float, float], ...]


@cache
def _grades() -> MappingProxyType[str, _Steps]:
    return _by_name([(row.grade, row.over, row.up_to, row.tolerance) for row in grade_rows()])


@cache
def _deviations() -> MappingProxyType[str, _Steps]:
    return _by_name([(row.letter, row.over, row.up_to, row.deviation) for row in deviation_rows()])


def _by_name(
    found: Sequence[tuple[str, float, float, float]],
) -> MappingProxyType[str, _Steps]:
    gathered: dict[str, list[tuple[float, float, float]]] = {}
    for name, *step in found:
        gathered.setdefault(name, []).append((step[0], step[1], step[2]))
    return MappingProxyType({name: tuple(steps) for name, steps in gathered.items()})


def _step_value(steps: _Steps, nominal: float) -> float:
    return next(value for over, up_to, value in steps if over < nominal <= up_to)


def _is_letter(letter: str) -> bool:
    if letter != letter.lower() and letter != letter.upper():
        return False
    return letter.lower() in {"j", "js"} or letter.lower() in _deviations()


def _fundamental(letter: str, nominal: float, wanted: ToleranceClass) -> float:
    steps = _deviations().get(letter, ())
    value = next((value for over, up_to, value in steps if over < nominal <= up_to), None)
    if value is None or (wanted.letter in _NOT_UP_TO_ONE and nominal <= 1):
        raise _no_such_class(wanted, nominal)
    return value


def _no_such_class(wanted: ToleranceClass, nominal: float) -> InvalidInput:
    return InvalidInput(
        "/classes",
        f"The tables have no {wanted} at {nominal:g} mm.",
        "Give another class, or another size.",
        "not-listed",
    )


def _shaft(nominal: float, wanted: ToleranceClass, tolerance: float) -> tuple[float, float]:
    if wanted.letter in _SHAFTS_BELOW:
        upper = _fundamental(wanted.letter, nominal, wanted)
        return upper - tolerance, upper
    if wanted.letter == "j":
        lower = _fundamental(str(wanted), nominal, wanted)
    elif wanted.letter == "k" and wanted.grade not in _GRADES_OF_K:
        lower = 0.0
    else:
        lower = _fundamental(wanted.letter, nominal, wanted)
    return lower, lower + tolerance


def _hole(nominal: float, wanted: ToleranceClass, tolerance: float) -> tuple[float, float]:
    letter = wanted.letter.lower()
    if letter in _SHAFTS_BELOW:
        lower = 0.0 - _fundamental(letter, nominal, wanted)
        return lower, lower + tolerance
    if letter == "j":
        upper = _fundamental(str(wanted), nominal, wanted)
    else:
        upper = _upper_of_tight_hole(nominal, wanted)
    return upper - tolerance, upper


def _upper_of_tight_hole(nominal: float, wanted: ToleranceClass) -> float:
    """Upper deviation of holes K to ZC: the shaft's mirrored, and drawn in by delta when fine.

    Delta = IT(n) - IT(n - 1), for sizes over 3 mm, K to N up to IT8, P to ZC up to IT7: so that
    H7/p6 and P7/h6 are equal fits. Source: ISO 286-1:2010, 4.3.2.5 and tables 3 (from memory).
    """
    mirrored = -_fundamental(wanted.letter.lower(), nominal, wanted)
    grade = _whole(wanted.grade)
    coarsest = _DELTA_GRADES.get(wanted.letter, 7)
    if wanted.letter == "K" and grade > coarsest:
        if nominal > 3:
            raise _no_such_class(wanted, nominal)
        return 0.0
    if wanted.letter == "N" and grade > coarsest:
        if nominal <= 1:
            raise _no_such_class(wanted, nominal)
        return mirrored if nominal <= 3 else 0.0
    if nominal <= 3 or grade > coarsest:
        return mirrored
    if grade < _FINEST_WITH_DELTA:
        raise _no_such_class(wanted, nominal)
    if str(wanted) == "M6" and 250 < nominal <= 315:
        return -9.0  # the standard's own exception: the rule gives -11
    delta = tolerance_grade(nominal, wanted.grade) - tolerance_grade(nominal, str(grade - 1))
    return mirrored + delta


def _whole(grade: str) -> int:
    """Return the grade as a number to compare by; 01 comes before 0."""
    return -1 if grade == "01" else int(grade)


TABLES: Final[tuple[TableInfo, ...]] = (
    TableInfo(
        "iso286_grades",
        "Standard tolerances IT01 to IT18, nominal sizes up to 500 mm",
        grade_rows,
        "Sizes above 500 mm are left out. What the formula of the standard gives agrees within"
        " its rounding.",
    ),
    TableInfo(
        "iso286_deviations",
        "Fundamental deviations of shafts a to zc and of holes J, nominal sizes up to 500 mm",
        deviation_rows,
        "Holes A to ZC are computed from the shafts by the rules of ISO 286-1; cd, ef, fg up to"
        " 10 mm only.",
    ),
)
