"""How likely a part of the unit proves to conform once it is looked at closely."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from shared.beliefs import prior_belief
from shared.condition.judgement import PositionJudgement
from shared.condition.model import Verdict
from shared.decision.building.build import Built
from shared.decision.building.planned import PlannedPosition
from shared.decision.snapshot import Snapshot
from shared.life.model import InspectionExperience


@dataclass(frozen=True, slots=True)
class ProofChance:
    """``chance`` None: nothing on record tells."""

    chance: Decimal | None
    basis: str


def proof_chance(built: Built, planned: PlannedPosition) -> ProofChance:
    """Chance that a planned position of the unit proves conforming, and where it comes from."""
    part_kind = built.bench.part_kind(planned.position)
    return chance_of(built.bench.snapshot, built.bench.judgements[planned.id], part_kind)


def chance_of(
    snapshot: Snapshot, judgement: PositionJudgement, part_kind: str | None
) -> ProofChance:
    """Chance that what was judged proves conforming: its readings, experience, or both.

    Readings speak for what was measured, the shop's experience for what nobody has looked at. A
    look that settles nothing (a grade by another method than the one that settles) tells nothing.
    """
    if judgement.verdict is Verdict.CONFORMING:
        return ProofChance(Decimal(1), "conforming")
    if judgement.verdict is Verdict.NONCONFORMING:
        return ProofChance(Decimal(0), "nonconforming")
    unread = [
        one
        for one in judgement.findings
        if one.verdict is Verdict.INDETERMINATE and one.probability is None
    ]
    if unread:
        return ProofChance(None, f"nothing tells how likely: {unread[0].detail}")
    read = judgement.probability
    chance = 1.0 if read is None else read
    told = [] if read is None else ["the readings"]
    if judgement.not_inspected or not judgement.findings:
        experience = nearest_experience(snapshot, part_kind)
        if experience is None:
            return ProofChance(
                None, "no experience on record of how often what was not inspected conforms"
            )
        belief = prior_belief(float(experience.prior_mean), float(experience.prior_weight))
        chance *= belief.after(experience.conforming, experience.trials).mean
        told.append(experience.basis or "the shop's experience with what was not inspected")
    return ProofChance(Decimal(f"{chance:.6f}"), " and ".join(told))


def all_of(chances: Sequence[ProofChance]) -> ProofChance:
    """Chance that all prove conforming, each by itself; not known where one of them is not."""
    unknown = next((one for one in chances if one.chance is None), None)
    if unknown is not None:
        return unknown
    together = Decimal(1)
    for one in chances:
        together *= one.chance or Decimal(0)
    return ProofChance(
        together.quantize(Decimal("0.000001")),
        "; ".join(dict.fromkeys(one.basis for one in chances)),
    )


def nearest_experience(snapshot: Snapshot, part_kind: str | None) -> InspectionExperience | None:
    """The shop's experience with what was not inspected: this kind of part before any other."""
    for wanted in dict.fromkeys((part_kind, None)):
        for one in snapshot.settings.inspection_experience:
            if one.part_kind == wanted:
                return one
    return None
