"""What judging gives: one finding's verdict, one position's verdict."""

from dataclasses import dataclass

from shared.condition.model import Verdict, Zone


@dataclass(frozen=True, slots=True)
class Judged:
    """A verdict on one reading or one look, with a line that a service writer can read.

    ``probability`` None: a grade, no limit on record, or nothing known of the doubt.
    """

    verdict: Verdict
    zone: Zone
    probability: float | None
    detail: str


@dataclass(frozen=True, slots=True)
class FindingJudgement:
    """One finding judged against its characteristic."""

    finding_id: str
    characteristic_id: str
    verdict: Verdict
    zone: Zone
    probability: float | None
    detail: str


@dataclass(frozen=True, slots=True)
class PositionJudgement:
    """A position's verdict; ``not_inspected`` names the characteristics without a finding.

    ``probability`` is the product over the characteristics of the worst finding's, where known.
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
