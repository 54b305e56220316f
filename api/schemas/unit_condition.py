"""The condition of one unit: what its findings amount to, position by position."""

from collections.abc import Mapping
from typing import Self

from pydantic import Field

from api.schemas.base import (
    Answer,
    DecimalOut,
    UncertainQuantityOut,
    UtcDateTime,
    without_last_zeros,
)
from api.schemas.condition import SettlingOut
from api.schemas.derived_measure import BudgetLineOut
from api.schemas.figures import computed, computed_or_null
from shared.condition.judgement import FindingJudgement
from shared.condition.limits import ZONES_WORST_LAST
from shared.condition.measured import DerivedFinding
from shared.condition.model import ConformityRule, Verdict, Zone
from shared.condition.unit_condition import ConditionRecords, PositionCondition, UnitCondition
from shared.quantities.units import difference_unit

_DETAIL = "51.962 mm, at least 51.950 mm in service: conforming, probability 0.9987 (u = 0.004 mm)"


class FindingVerdictOut(Answer):
    """One finding, or one measure that follows from others, against its characteristic."""

    finding_id: str = Field(
        description="The finding; derived: and the characteristic's id where the measure follows"
        " from others.",
        examples=["fnd_4hd"],
        max_length=200,
    )
    characteristic_id: str = Field(
        description="What was inspected.", examples=["chr_4hd"], max_length=64
    )
    verdict: Verdict = Field(description="Its verdict.", examples=["conforming"])
    zone: Zone = Field(description="Where it lies, doubt left aside.", examples=["within-new"])
    probability: DecimalOut | None = Field(
        description="Probability that the limits are kept; null: it cannot be told.",
        examples=["0.998650102"],
    )
    detail: str = Field(description="The verdict in a line.", examples=[_DETAIL], max_length=100000)
    settle: SettlingOut | None = Field(
        description="What would settle it; null: it is settled, or its doubt is not what leaves it"
        " open.",
    )

    @classmethod
    def of(cls, judged: FindingJudgement) -> Self:
        """Carry a judgement over the border."""
        return cls(
            finding_id=judged.finding_id,
            characteristic_id=judged.characteristic_id,
            verdict=judged.verdict,
            zone=judged.zone,
            probability=computed_or_null(judged.probability),
            detail=judged.detail,
            settle=None if judged.settling is None else SettlingOut.of(judged.settling),
        )


class DerivedFindingOut(Answer):
    """A measure that follows from other findings."""

    finding_id: str = Field(
        description="Under which it is judged.", examples=["derived:chr_4hd"], max_length=200
    )
    characteristic_id: str = Field(
        description="What it is a measure of.", examples=["chr_4hd"], max_length=64
    )
    measured: UncertainQuantityOut = Field(
        description="The measure.",
        examples=[{"value": "0.06", "unit": "mm", "standard_uncertainty": "0.005"}],
    )
    piece: int | None = Field(description="Of which piece; null: of no single one.", examples=[1])
    found_at: UtcDateTime = Field(
        description="When the latest of its inputs was found.", examples=["2031-03-04T09:15:00Z"]
    )
    budget: tuple[BudgetLineOut, ...] = Field(description="A line for each input.")
    note: str | None = Field(
        description="How it was worked out, and what was taken for what is not known.",
        examples=["from bore 50.045 mm, less journal 49.985 mm"],
        max_length=100000,
    )

    @classmethod
    def of(cls, found: DerivedFinding) -> Self:
        """Carry a derived finding over the border."""
        measured = found.measured
        assert measured is not None
        unit = measured.unit
        u = measured.standard_uncertainty
        return cls(
            finding_id=found.id,
            characteristic_id=found.characteristic_id,
            measured=UncertainQuantityOut(
                value=without_last_zeros(measured.value),
                unit=unit,
                standard_uncertainty=None if u is None else computed(float(u)),
            ),
            piece=found.piece,
            found_at=found.found_at,
            budget=tuple(
                BudgetLineOut.of(line, unit, difference_unit(unit)) for line in found.budget
            ),
            note=found.note,
        )


class NotDerivedOut(Answer):
    """A measure that follows from others and cannot be told yet."""

    characteristic_id: str = Field(
        description="What it is a measure of.", examples=["chr_4hd"], max_length=64
    )
    why: str = Field(
        description="What is missing.", examples=["journal is not measured"], max_length=2000
    )


class MateOut(Answer):
    """A position whose part stays with this one's."""

    position_id: str = Field(description="The position.", examples=["pos_4hd"], max_length=64)
    name: str = Field(description="Its name.", examples=["Driven gear"], max_length=200)


class PositionConditionOut(Answer):
    """What the findings on one position amount to; what sits inside it is told by itself."""

    position_id: str = Field(description="The position.", examples=["pos_4hd"], max_length=64)
    name: str = Field(description="Its name.", examples=["Journal"], max_length=200)
    verdict: Verdict = Field(
        description="The worst of its findings; not-inspected while anything is missing and"
        " nothing is worse.",
        examples=["not-inspected"],
    )
    zone: Zone | None = Field(
        description="The worst zone of its findings; null: there is none.", examples=["within-new"]
    )
    probability: DecimalOut | None = Field(
        description="Product over the characteristics, and their numbered pieces, of the worst"
        " finding's probability, where known; null: none is.",
        examples=["0.998650102"],
    )
    findings: tuple[FindingVerdictOut, ...] = Field(description="Finding by finding.")
    not_inspected: tuple[str, ...] = Field(
        description="Characteristics, or their pieces, without a finding.",
        examples=[["Cracks"]],
    )
    derived: tuple[DerivedFindingOut, ...] = Field(
        description="Measures that follow from other findings, with their budgets."
    )
    not_derived: tuple[NotDerivedOut, ...] = Field(
        description="Measures that would follow from others, and what is missing."
    )
    settle: tuple[str, ...] = Field(
        description="What would settle what is indeterminate.",
        examples=[["a gauge of u at most 0.00303 mm would settle it"]],
    )
    renewed_with: tuple[MateOut, ...] = Field(
        description="Positions of its matched sets: if one is renewed, all are, from one unit."
    )

    @classmethod
    def of(cls, found: PositionCondition, names: Mapping[str, str]) -> Self:
        """Carry a position over the border; ``names`` of positions, by id."""
        judgement = found.judgement
        zones = [one.zone for one in judgement.findings]
        return cls(
            position_id=found.position.id,
            name=found.position.name,
            verdict=judgement.verdict,
            zone=max(zones, key=ZONES_WORST_LAST.index, default=None),
            probability=computed_or_null(judgement.probability),
            findings=tuple(FindingVerdictOut.of(one) for one in judgement.findings),
            not_inspected=judgement.not_inspected,
            derived=tuple(DerivedFindingOut.of(one) for one in found.derived),
            not_derived=tuple(
                NotDerivedOut(characteristic_id=one.characteristic_id, why=one.why)
                for one in found.not_derived
            ),
            settle=judgement.settlings,
            renewed_with=tuple(
                MateOut(position_id=one, name=names.get(one, one))
                for one in found.matched_position_ids
            ),
        )


class UnitConditionOut(Answer):
    """What is known of a unit's condition, and by which rule it is judged."""

    unit_id: str = Field(description="The unit.", examples=["unt_4hd"], max_length=64)
    rule: ConformityRule = Field(
        description="How a reading near a limit is judged: the shop's rule.",
        examples=["iso-14253-1"],
    )
    acceptance_probability: DecimalOut = Field(
        description="Probability at which conformity counts as shown.", examples=["0.950000000"]
    )
    positions: tuple[PositionConditionOut, ...] = Field(
        description="Positions that are inspected for something, or on which something was found."
    )
    history: tuple[str, ...] = Field(
        description="Findings of fewer hours than others of the same size: they tell how it wore,"
        " and are not judged.",
        examples=[["fnd_2aa"]],
    )

    @classmethod
    def of(cls, records: ConditionRecords, found: UnitCondition) -> Self:
        """Carry the condition over the border."""
        names = {position.id: position.name for position in records.positions}
        return cls(
            unit_id=records.unit.id,
            rule=records.rule,
            acceptance_probability=computed(records.acceptance_probability),
            positions=tuple(PositionConditionOut.of(one, names) for one in found.positions),
            history=found.history_ids,
        )
