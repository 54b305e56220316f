"""What may take a place, by which path, how sure: what is asked, and the answer."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction
from math import prod

from shared.assemblies.traits import Traits
from shared.evidence import EvidenceKind
from shared.interchange.model import (
    DutyDifference,
    FitmentCount,
    InterchangeClaim,
    Part,
    PartLine,
    Sameness,
    Supersession,
)
from shared.interchange.rules import InterchangeRules
from shared.money import Money


@dataclass(frozen=True, slots=True)
class Place:
    """Where a part is called for; None: not given, so a condition on it cannot be told.

    ``assembly_id`` and ``position_id`` None: asked of the part alone, wherever it is called for.
    """

    part_id: str
    as_of: date
    assembly_id: str | None = None
    position_id: str | None = None
    traits: Traits = Traits()


@dataclass(frozen=True, slots=True)
class Catalogue:
    """The slice of the catalogue that a walk may use; records by rising id.

    ``fitments``: by claim, this shop's own. ``accepted``: kinds of evidence that the shop's policy
    takes. ``left_out``: records that were not read, for their number.
    """

    parts: tuple[Part, ...]
    claims: tuple[InterchangeClaim, ...] = ()
    supersessions: tuple[Supersession, ...] = ()
    fitments: tuple[FitmentCount, ...] = ()
    rules: InterchangeRules = InterchangeRules()
    accepted: tuple[EvidenceKind, ...] = tuple(EvidenceKind)
    left_out: int = 0


class Path(StrEnum):
    """How a candidate comes to be one, told by its weakest kind of step."""

    ITSELF = "itself"
    SUPERSESSION = "supersession"
    GENERIC = "generic"
    INTERCHANGE = "interchange"


class StepKind(StrEnum):
    """What one step of a path stands on."""

    SUPERSESSION = "supersession"
    SUPERSESSION_BACK = "supersession-back"
    GENERIC = "generic"
    CLAIM = "claim"


class Holds(StrEnum):
    """Whether what is recorded holds here."""

    YES = "yes"
    CANNOT_BE_TOLD = "cannot-be-told"
    NO = "no"


@dataclass(frozen=True, slots=True)
class Step:
    """One step of a path: ``to_part_id`` where ``from_part_id`` is called for.

    ``confidence`` is the mean of its belief, ``confidence_lower`` its 5 % point (both by evidence
    and fitments). ``record_id``: of the claim or supersession; None for a generic equal.
    """

    kind: StepKind
    from_part_id: str
    to_part_id: str
    holds: Holds
    confidence: float
    confidence_lower: float
    record_id: str | None = None
    evidence_kind: EvidenceKind | None = None
    evidence: str | None = None
    reason: str | None = None
    """Why it does not hold, or what would have to be known."""


class Standing(StrEnum):
    """What a part found is good for at the place."""

    USABLE = "usable"
    BELOW_THRESHOLD = "below-threshold"
    CANNOT_BE_TOLD = "cannot-be-told"


@dataclass(frozen=True, slots=True)
class Candidate:
    """A part that may take the place, by its surest path.

    ``ratio``: pieces of it for one piece called for. ``companions``: parts that go in along with
    one piece called for, quantities already multiplied along the path. Rework is summed over the
    path, for one piece called for. ``notes`` say what a generic equal has besides or lacks.
    ``questions``: what would have to be known, where ``standing`` is cannot-be-told.
    ``other_paths``: further paths that lead to it; they are not counted as further evidence.
    """

    part: Part
    path: Path
    steps: tuple[Step, ...] = ()
    standing: Standing = Standing.USABLE
    confidence: float = 1.0
    ratio: Fraction = Fraction(1)
    companions: tuple[PartLine, ...] = ()
    rework_p50_hours: Decimal = Decimal(0)
    rework_p90_hours: Decimal = Decimal(0)
    rework_costs: tuple[Money, ...] = ()
    """One for each currency."""
    rework_notes: tuple[str, ...] = ()
    form: Sameness = Sameness.SAME
    fit: Sameness = Sameness.SAME
    function: Sameness = Sameness.SAME
    differences: tuple[DutyDifference, ...] = ()
    to_check: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    questions: tuple[str, ...] = ()
    other_paths: int = 0

    @property
    def confidence_lower(self) -> float:
        """Product of the steps' 5 % points, discounted alike: below the 5 % point of the path."""
        return self.confidence * prod(
            step.confidence_lower / step.confidence for step in self.steps if step.confidence
        )


@dataclass(frozen=True, slots=True)
class Refused:
    """A part that does not take the place, and why: a claim that it does not fit, a record that
    does not hold here, or a designation of the same size that differs in what matters.
    """

    part_id: str
    reason: str
    record_id: str | None = None


@dataclass(frozen=True, slots=True)
class Loop:
    """Parts that supersede each other in a circle, by rising id, and the records that make it."""

    part_ids: tuple[str, ...]
    supersession_ids: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Found:
    """Candidates, the surest first; what was refused; every step looked at, for drawing.

    ``loops`` among supersessions are told once each. ``stopped``: why the walk ended before it had
    seen everything, None if it saw everything.
    """

    candidates: tuple[Candidate, ...]
    refused: tuple[Refused, ...] = ()
    steps: tuple[Step, ...] = ()
    loops: tuple[Loop, ...] = ()
    stopped: str | None = None
