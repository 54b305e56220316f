"""What judging gives: one finding's verdict, one position's verdict."""

from dataclasses import dataclass

from shared.condition.conformity import ConformityResult
from shared.condition.doubt import Doubt
from shared.condition.model import Verdict, Zone
from shared.condition.settling import Settling


@dataclass(frozen=True, slots=True)
class Figures:
    """The size that was judged and how, in the canonical unit of its kind."""

    value: float
    doubt: Doubt
    result: ConformityResult


@dataclass(frozen=True, slots=True)
class Judged:
    """A verdict on one reading or one look, with a line that a service writer can read.

    ``probability`` None: a grade, no limit on record, or nothing known of the doubt. ``settling``:
    how fine a gauge, or how many readings, would settle what its doubt alone leaves open.
    ``figures`` None: no single size was judged, or not by its doubt.
    """

    verdict: Verdict
    zone: Zone
    probability: float | None
    detail: str
    settling: Settling | None = None
    figures: Figures | None = None


@dataclass(frozen=True, slots=True)
class FindingJudgement:
    """One finding judged against its characteristic."""

    finding_id: str
    characteristic_id: str
    verdict: Verdict
    zone: Zone
    probability: float | None
    detail: str
    settling: Settling | None = None


@dataclass(frozen=True, slots=True)
class PositionJudgement:
    """A position's verdict; ``not_inspected`` names the characteristics without a finding.

    ``probability`` is the product over the characteristics, and the pieces that are numbered, of
    the worst finding's, where known.
    """

    position_id: str
    verdict: Verdict
    probability: float | None
    findings: tuple[FindingJudgement, ...]
    not_inspected: tuple[str, ...]

    @property
    def nonconforming(self) -> tuple[str, ...]:
        """What was found that does not conform, each in words."""
        return tuple(f.detail for f in self.findings if f.verdict is Verdict.NONCONFORMING)

    @property
    def settlings(self) -> tuple[str, ...]:
        """What would settle what is indeterminate, each in words."""
        return tuple(f.settling.text for f in self.findings if f.settling is not None)


VERDICTS_WORST_LAST = (
    Verdict.CONFORMING,
    Verdict.NOT_INSPECTED,
    Verdict.INDETERMINATE,
    Verdict.NONCONFORMING,
)
"""Of several verdicts the worst counts."""
