"""How far evidence goes; the members are the fields of ``shared/interchange/rules.py``."""

from typing import Self

from pydantic import Field, model_validator

from api.schemas.base import Body, PositiveDecimalText, ProbabilityText, UpToTen, refuse
from api.schemas.records import check_distinct
from shared.beliefs import prior_belief
from shared.errors import OutOfRange
from shared.evidence import EvidenceKind
from shared.interchange.rules import InterchangeRules


class EvidenceBeliefFields(Body):
    """How far one kind of evidence goes before anything was fitted on it."""

    evidence_kind: EvidenceKind = Field(
        description="The kind of evidence.", examples=["measured-match"]
    )
    mean: ProbabilityText = Field(
        description="Chance that such a claim holds, above 0 and below 1.", examples=["0.85"]
    )
    weight: PositiveDecimalText = Field(
        description="How many fitments this is worth, at most 1000000.", examples=["8"]
    )

    @model_validator(mode="after")
    def _is_a_belief(self) -> Self:
        try:
            prior_belief(float(self.mean), float(self.weight))
        except OutOfRange as error:
            at = {"/prior_mean": "mean", "/prior_weight": "weight"}[error.pointer]
            detail, fix = (
                text.replace(error.pointer[1:], at) for text in (error.detail, error.fix)
            )
            refuse(error.code, detail, fix, f"/{at}")
        return self


class InterchangeRulesFields(Body):
    """How sure a path must be for the planner to use it, and how trust decays along it."""

    least_confidence: ProbabilityText = Field(
        default=InterchangeRules().least_confidence,
        description="How sure it must be that a part fits for it to be planned with.",
        examples=["0.8"],
    )
    hop_discount: ProbabilityText = Field(
        default=InterchangeRules().hop_discount,
        description="By what the confidence is multiplied for each step after the first, above 0.",
        examples=["0.95"],
    )
    most_steps: UpToTen = Field(
        default=InterchangeRules().most_steps,
        description="How many steps a path has at most; supersessions in a row are one.",
        examples=[4],
    )
    beliefs: tuple[EvidenceBeliefFields, ...] = Field(
        default=(),
        max_length=20,
        description="How far evidence goes, by its kind; a kind that is not named goes as far as"
        " the house has it.",
    )

    @model_validator(mode="after")
    def _each_kind_once(self) -> Self:
        check_distinct(tuple(one.evidence_kind for one in self.beliefs), "/beliefs", "kind")
        if self.hop_discount == 0:
            refuse(
                "out-of-range",
                "Got 0; wanted more than 0 and at most 1.",
                "Give 1 if further steps are trusted like the first; most_steps 1 allows one only.",
                "/hop_discount",
            )
        return self
