"""What may take a place: the question in the address, and the answer."""

from typing import Any, Self

from pydantic import Field

from api.schemas.base import (
    LARGEST_INTEGER,
    Answer,
    DecimalOut,
    IdText,
    MoneyOut,
    WholeNumber,
    from_domain,
)
from api.schemas.figures import rounded_down
from api.schemas.interchange import DutyDifferenceFields
from api.schemas.places import PartCount, PartNamed, Parts, UnitQuery
from api.schemas.queries import Limit
from shared.evidence import CautionKind, EvidenceKind
from shared.interchange.found import (
    Candidate,
    Holds,
    Loop,
    Path,
    Refused,
    Standing,
    Step,
    StepKind,
)
from shared.interchange.model import Sameness

LISTED = 50
_LONG = 4_000
_MOST_STEPS = 5_000
_MOST_LINES = 10_000


class CandidatesQuery(UnitQuery):
    """For which unit a place is to be filled."""

    limit: Limit = Field(
        default=LISTED,
        description="How many candidates are told at most, and how many refused.",
        examples=[20],
    )


class PartCandidatesQuery(CandidatesQuery):
    """For which unit and where a part is called for."""

    assembly_id: IdText | None = Field(
        default=None,
        description="In which assembly. Left out: what holds in some only cannot be told; a unit"
        " on record has its own.",
        examples=["asm_7kq"],
    )
    position_id: IdText | None = Field(
        default=None,
        description="At which position; it has its assembly with it.",
        examples=["pos_4hd"],
    )


class CautionOut(Answer):
    """A warning that bears on the answer."""

    kind: CautionKind = Field(
        description="What it protects: people, the parts, or the shop's standing in law.",
        examples=["hazard"],
    )
    text: str = Field(
        description="The warning.",
        examples=["Relieve the spring pack before the cover comes off."],
        max_length=_LONG,
    )


class StepOut(Answer):
    """One step: what may go in where another part is called for, and on what that stands."""

    kind: StepKind = Field(description="What it stands on.", examples=["claim"])
    from_part_id: IdText = Field(description="The part called for.", examples=["prt_7kq"])
    to_part_id: IdText = Field(description="What may go in.", examples=["prt_1c3"])
    holds: Holds = Field(description="Whether that holds here.", examples=["yes"])
    confidence: DecimalOut = Field(
        description="Chance that it fits, by its evidence and by how fitments turned out.",
        examples=["0.930000"],
    )
    confidence_lower: DecimalOut = Field(
        description="The same, as low as it is in one of twenty cases.", examples=["0.820000"]
    )
    record_id: IdText | None = Field(
        description="The claim or supersession; null for equals by a standard.",
        examples=["clm_1c3"],
    )
    evidence_kind: EvidenceKind | None = Field(
        description="Where it is known from.", examples=["fitted-and-run"]
    )
    evidence: str | None = Field(
        description="The same in words.", examples=["Fitted in job 118."], max_length=_LONG
    )
    reason: str | None = Field(
        description="Why it does not hold, or what would have to be known.",
        examples=["serial number not given: it is claimed for 100 to 200"],
        max_length=_LONG,
    )

    @classmethod
    def of(cls, step: Step) -> Self:
        """Carry a step over the border."""
        return cls(
            kind=step.kind,
            from_part_id=step.from_part_id,
            to_part_id=step.to_part_id,
            holds=step.holds,
            confidence=rounded_down(step.confidence),
            confidence_lower=rounded_down(step.confidence_lower),
            record_id=step.record_id,
            evidence_kind=step.evidence_kind,
            evidence=step.evidence,
            reason=step.reason,
        )


class ReworkOut(Answer):
    """What it takes to fit, for one piece called for, the whole path together."""

    p50_hours: DecimalOut = Field(description="Hours, five in ten.", examples=["0.5"])
    p90_hours: DecimalOut = Field(description="Hours, nine in ten.", examples=["0.8"])
    costs: tuple[MoneyOut, ...] = Field(
        description="What it costs besides labour; one amount for each currency.", max_length=200
    )
    notes: tuple[str, ...] = Field(
        description="What is done.", examples=[["Relieve the bore by 1 mm."]], max_length=200
    )


class AtHandOut(Answer):
    """What this shop has of a part, and is offered."""

    shelved: WholeNumber = Field(description="Taken from donors, on the shelf.", examples=[1])
    stock: WholeNumber = Field(description="Pieces in stock.", examples=[0])
    offers: WholeNumber = Field(description="Offers that hold on the day.", examples=[2])


class CandidateTold(Answer):
    """A part that may take a place, by its surest path."""

    part: PartNamed = Field(description="The part.")
    standing: Standing = Field(
        description="usable; below-threshold: not sure enough; cannot-be-told: something would have"
        " to be known first. Only a usable one is planned with.",
        examples=["usable"],
    )
    path: Path = Field(
        description="How it comes to be one, by the weakest kind of step.", examples=["interchange"]
    )
    steps: tuple[StepOut, ...] = Field(
        description="The path; none for the part itself.", max_length=_MOST_STEPS
    )
    confidence: DecimalOut = Field(
        description="How sure the path is, as rule has it.", examples=["0.930000"]
    )
    confidence_lower: DecimalOut = Field(
        description="The same, each step as low as it is in one of twenty cases.",
        examples=["0.820000"],
    )
    pieces: int = Field(
        description="So many of it take the place of for_pieces called for.",
        examples=[1],
        ge=1,
        le=LARGEST_INTEGER,
    )
    for_pieces: int = Field(
        description="How many called for that is.", examples=[1], ge=1, le=LARGEST_INTEGER
    )
    companions: tuple[PartCount, ...] = Field(
        description="What goes in along with one piece called for.", max_length=_MOST_LINES
    )
    rework: ReworkOut = Field(description="What it takes to fit.")
    form: Sameness = Field(description="Whether its form is the same.", examples=["same"])
    fit: Sameness = Field(description="Whether its fit is the same.", examples=["same"])
    function: Sameness = Field(
        description="Whether its function is the same.", examples=["not-told"]
    )
    differences: tuple[DutyDifferenceFields, ...] = Field(
        description="In what its duty differs, and what comes of it.", max_length=_MOST_LINES
    )
    to_check: tuple[str, ...] = Field(
        description="What is looked at before it is fitted.",
        examples=[["Length of the keyway."]],
        max_length=_MOST_LINES,
    )
    notes: tuple[str, ...] = Field(
        description="What else it has or lacks.", examples=[[]], max_length=_MOST_LINES
    )
    cautions: tuple[str, ...] = Field(
        description="Warnings about this way.", examples=[[]], max_length=_MOST_LINES
    )
    questions: tuple[str, ...] = Field(
        description="What would have to be known.",
        examples=[["serial number not given: it is claimed for 100 to 200"]],
        max_length=_MOST_LINES,
    )
    other_paths: WholeNumber = Field(
        description="Further paths to it; they do not make it surer.", examples=[0]
    )

    @classmethod
    def told(cls, one: Candidate, parts: Parts) -> Self:
        """Carry a candidate over the border."""
        return cls(**_members(one, parts))


class CandidateOut(CandidateTold):
    """A part that may take the place, by its surest path, and what the shop has of it."""

    part_cautions: tuple[CautionOut, ...] = Field(
        description="Warnings on record about the part.", max_length=1_000
    )
    at_hand: AtHandOut = Field(description="What the shop has of it.")

    @classmethod
    def of(
        cls, one: Candidate, parts: Parts, at_hand: AtHandOut, cautions: tuple[CautionOut, ...]
    ) -> Self:
        """Carry a candidate over the border."""
        return cls(**_members(one, parts), part_cautions=cautions, at_hand=at_hand)


def _members(one: Candidate, parts: Parts) -> dict[str, Any]:
    return {
        "part": PartNamed.of(one.part.id, one.part),
        "standing": one.standing,
        "path": one.path,
        "steps": tuple(StepOut.of(step) for step in one.steps),
        "confidence": rounded_down(one.confidence),
        "confidence_lower": rounded_down(one.confidence_lower),
        "pieces": one.ratio.numerator,
        "for_pieces": one.ratio.denominator,
        "companions": tuple(PartCount.of(line, parts) for line in one.companions),
        "rework": ReworkOut(
            p50_hours=one.rework_p50_hours,
            p90_hours=one.rework_p90_hours,
            costs=tuple(from_domain(cost, MoneyOut) for cost in one.rework_costs),
            notes=one.rework_notes,
        ),
        "form": one.form,
        "fit": one.fit,
        "function": one.function,
        "differences": tuple(from_domain(each, DutyDifferenceFields) for each in one.differences),
        "to_check": one.to_check,
        "notes": one.notes,
        "cautions": one.cautions,
        "questions": one.questions,
        "other_paths": one.other_paths,
    }


class RefusedOut(Answer):
    """A part that does not take the place, and why."""

    part: PartNamed = Field(description="The part.")
    reason: str = Field(
        description="Why not.",
        examples=["claimed not to fit (fitted-and-run: the shaft is 2 mm longer)"],
        max_length=_LONG,
    )
    record_id: IdText | None = Field(
        description="The record that says so; null where designations differ.",
        examples=["clm_1c3"],
    )

    @classmethod
    def of(cls, refused: Refused, parts: Parts) -> Self:
        """Carry a refusal over the border."""
        return cls(
            part=PartNamed.of(refused.part_id, parts.get(refused.part_id)),
            reason=refused.reason,
            record_id=refused.record_id,
        )


class LoopOut(Answer):
    """Parts that supersede each other in a circle."""

    part_ids: tuple[IdText, ...] = Field(
        description="The parts.", examples=[["prt_1c3", "prt_7kq"]], max_length=_MOST_STEPS
    )
    supersession_ids: tuple[IdText, ...] = Field(
        description="The records that make the circle.",
        examples=[["sps_1c3", "sps_7kq"]],
        max_length=_MOST_STEPS,
    )

    @classmethod
    def of(cls, loop: Loop) -> Self:
        """Carry a circle over the border."""
        return cls(part_ids=loop.part_ids, supersession_ids=loop.supersession_ids)
