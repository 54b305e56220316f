"""The whole snapshot as a body; choices, kept decisions and replays.

The members of the snapshot are the fields of ``shared/decision/snapshot.py``; those of an answer
are the fields of ``shared/decision/result.py``.
"""

import re
from decimal import Decimal
from enum import StrEnum
from typing import Annotated, Self

from pydantic import Field, model_validator

from api.schemas.assemblies import (
    AccessGroupInSnapshot,
    AssemblyInSnapshot,
    LabourOperationInSnapshot,
    PositionInSnapshot,
    PositionSetInSnapshot,
)
from api.schemas.base import (
    Answer,
    Body,
    Count,
    EffortText,
    Flag,
    IdText,
    LongText,
    ShortText,
    UpToTen,
    UtcDateTime,
    WholeNumber,
    matching,
    whole_between,
)
from api.schemas.characteristics import CharacteristicInSnapshot
from api.schemas.findings import FindingInSnapshot
from api.schemas.gauges import GaugeInSnapshot
from api.schemas.interchange import (
    FitmentCountFields,
    InterchangeClaimInSnapshot,
    SupersessionInSnapshot,
)
from api.schemas.jobs import JobInSnapshot
from api.schemas.parts import PartInSnapshot, refuse_kit_of_nothing
from api.schemas.records import RecordHead, SnapshotId
from api.schemas.salvage import ShelvedPartInSnapshot
from api.schemas.shim_places import ShimPlaceInSnapshot
from api.schemas.shop_settings import ShopSettingsInSnapshot
from api.schemas.sourcing_records import (
    ExchangeRateInSnapshot,
    OfferInSnapshot,
    SupplierInSnapshot,
)
from api.schemas.units import ShimPackInSnapshot, UnitInSnapshot
from shared.condition.shim_place_check import MOST_PLACES
from shared.decision.result import DecisionResult
from shared.decision.snapshot import Aim, Asked, Snapshot

_HASH = re.compile(r"[0-9a-f]{64}")
SnapshotHash = Annotated[
    str,
    matching(_HASH, "hash-format", "64 hexadecimal digits in lower case"),
    Field(min_length=64, max_length=64),
]
_AS_OF = "2031-03-04T09:15:00Z"


UpToFifty = Annotated[int, whole_between(0, 50), Field(ge=0, le=50)]


class AskedFields(Body):
    """How much of an answer is wanted; the recommended plan does not depend on it."""

    alternatives: UpToTen = Field(
        default=Asked().alternatives,
        description="How many plans that a person would call different.",
        examples=[3],
    )
    differ_in: UpToTen = Field(
        default=1,
        description="At how many positions any two of them differ in what a person would call"
        " another way.",
        examples=[1],
    )
    has_risk_axis: Flag = Field(
        default=False,
        description="Whether the trade-off is also told with the chance of a comeback as its third"
        " side, besides price and date (risk_frontier).",
        examples=[False],
    )
    break_evens: UpToFifty = Field(
        default=Asked().break_evens,
        description="How many inputs are looked at: how far each may move before the plan changes.",
        examples=[6],
    )
    settlings: UpToFifty = Field(
        default=Asked().settlings,
        description="How many open verdicts are looked at: what settling each is worth.",
        examples=[4],
    )
    has_extras: Flag = Field(
        default=Asked().has_extras,
        description="Whether it is worked out what each unchosen source would cost more.",
        examples=[True],
    )
    effort: EffortText = Field(
        default=Decimal(20),
        description="How long may be searched, all searches together: about so many seconds,"
        " counted in steps of the search, so that the same question has the same answer on every"
        " machine. What was left out for want of it is told.",
        examples=["20"],
    )


class PartDemandInSnapshot(Body):
    """Pieces of a part that other open jobs call for and have not been given yet."""

    part_id: IdText = Field(description="The part.", examples=["prt-bearing"])
    quantity: Count = Field(description="Pieces wanted.", examples=[2])
    jobs: Count = Field(description="By how many jobs.", examples=[1])


class HeldPartInSnapshot(SnapshotId):
    """A part on the shelf that would fit here and is held for another job."""

    position_id: IdText = Field(description="Where it sat.", examples=["pos-bearing"])
    part_id: IdText | None = Field(
        default=None, description="The part that it is, if known.", examples=["prt-bearing"]
    )
    held_until: UtcDateTime | None = Field(
        default=None, description="Until when it is held.", examples=[_AS_OF]
    )


class DonorGiftInSnapshot(Body):
    """A position of another assembly's donor, whose part may take a place here."""

    unit_id: IdText = Field(description="The donor.", examples=["unt-donor"])
    position: PositionInSnapshot = Field(description="The donor's own position.")
    to_position_id: IdText = Field(
        description="The position that its part may fill.", examples=["pos-bearing"]
    )
    inner_position_ids: tuple[IdText, ...] = Field(
        default=(),
        max_length=500,
        description="Positions of the donor that lie inside it.",
        examples=[["pos-donor-pin"]],
    )
    is_of_matched_set: Flag = Field(
        default=False,
        description="Whether it, or what is inside it, was paired there with what lies elsewhere.",
        examples=[False],
    )


class SnapshotBody(Body):
    """Everything one decision needs, sent whole; nothing is stored."""

    as_of: UtcDateTime = Field(
        description="The moment the decision is taken at.", examples=[_AS_OF]
    )
    job: JobInSnapshot = Field(description="The job.")
    settings: ShopSettingsInSnapshot = Field(description="The shop's settings.")
    assembly: AssemblyInSnapshot = Field(description="The design of the job's unit.")
    units: tuple[UnitInSnapshot, ...] = Field(
        min_length=1, max_length=500, description="The job's unit, donors and stock units."
    )
    positions: tuple[PositionInSnapshot, ...] = Field(
        default=(), max_length=500, description="The parts list."
    )
    access_groups: tuple[AccessGroupInSnapshot, ...] = Field(
        default=(), max_length=500, description="What is opened to reach what."
    )
    position_sets: tuple[PositionSetInSnapshot, ...] = Field(
        default=(), max_length=500, description="Matched and renewed-together sets."
    )
    operations: tuple[LabourOperationInSnapshot, ...] = Field(
        default=(), max_length=2000, description="Labour operations."
    )
    characteristics: tuple[CharacteristicInSnapshot, ...] = Field(
        default=(), max_length=2000, description="What is inspected."
    )
    parts: tuple[PartInSnapshot, ...] = Field(
        default=(), max_length=2000, description="Parts and kits."
    )
    claims: tuple[InterchangeClaimInSnapshot, ...] = Field(
        default=(), max_length=2000, description="Interchange claims."
    )
    findings: tuple[FindingInSnapshot, ...] = Field(
        default=(), max_length=5000, description="What was measured and seen."
    )
    suppliers: tuple[SupplierInSnapshot, ...] = Field(
        default=(), max_length=500, description="Suppliers."
    )
    offers: tuple[OfferInSnapshot, ...] = Field(default=(), max_length=2000, description="Offers.")
    salvaged_parts: tuple[ShelvedPartInSnapshot, ...] = Field(
        default=(),
        max_length=2000,
        description="Parts on the shelf that may fit here and are not held for another job.",
    )
    claims_left_out: WholeNumber = Field(
        default=0,
        description="How many records on what may stand in were left out: claims by other shops in"
        " another currency, records beyond measure, and claims, supersessions, numbers and donors"
        " of other assemblies beyond those that one plan takes in.",
        examples=[0],
    )
    aim: Aim = Field(
        default=Aim.PRICE,
        description="What is made least: the customer's expected price, or the shop's cost.",
        examples=["price"],
    )
    exchange_rates: tuple[ExchangeRateInSnapshot, ...] = Field(
        default=(), max_length=200, description="Rates into the shop's currency."
    )
    demands: tuple[PartDemandInSnapshot, ...] = Field(
        default=(), max_length=2000, description="What other open jobs call for."
    )
    held_parts: tuple[HeldPartInSnapshot, ...] = Field(
        default=(), max_length=2000, description="Parts on the shelf held for other jobs."
    )
    asked: AskedFields = Field(
        default_factory=AskedFields, description="How much of an answer is wanted."
    )
    supersessions: tuple[SupersessionInSnapshot, ...] = Field(
        default=(), max_length=2000, description="Makers' later numbers."
    )
    fitment_counts: tuple[FitmentCountFields, ...] = Field(
        default=(), max_length=2000, description="How fitments that tried a claim turned out."
    )
    gifts: tuple[DonorGiftInSnapshot, ...] = Field(
        default=(),
        max_length=2000,
        description="What donors of other assemblies may give; these are among the units, the"
        " characteristics of their positions among the characteristics.",
    )
    gauges: tuple[GaugeInSnapshot, ...] = Field(
        default=(), max_length=5000, description="Gauges that findings were made with."
    )
    shim_places: tuple[ShimPlaceInSnapshot, ...] = Field(
        default=(), max_length=MOST_PLACES, description="Places for shims in the assembly."
    )
    shim_packs: tuple[ShimPackInSnapshot, ...] = Field(
        default=(), max_length=5000, description="Shims recorded of the job's unit."
    )

    @model_validator(mode="after")
    def _kits_on_offer_hold_something(self) -> Self:
        offered = {offer.part_id for offer in self.offers}
        for index, part in enumerate(self.parts):
            if part.id in offered and part.is_kit_of_nothing:
                refuse_kit_of_nothing(f"/parts/{index}/kit_lines")
        return self


class DecisionCreate(Body):
    """A choice among the plans of a job's options, to be kept for good."""

    plan_id: ShortText = Field(
        description="The plan chosen, by its id in the options.", examples=["plan-3f9a"]
    )
    decided_by: ShortText = Field(description="Who decides.", examples=["service desk"])
    reason: LongText | None = Field(
        default=None,
        description="Why; needed when the plan is not the recommended one.",
        examples=["Customer wants the new bearing whatever it costs."],
    )
    as_of: UtcDateTime = Field(
        description="The moment of the options that the plan was chosen from.", examples=[_AS_OF]
    )
    aim: Aim = Field(default=Aim.PRICE, description="The aim of those options.", examples=["price"])
    asked: AskedFields = Field(
        default_factory=AskedFields,
        description="What was asked of those options: part of what the hash is of.",
    )
    snapshot_hash: SnapshotHash | None = Field(
        default=None,
        description="Hash of the snapshot of those options: refused if it has changed since.",
        examples=["0" * 64],
    )


class DecisionHead(RecordHead):
    """A kept decision: what was chosen, by whom, why."""

    job_id: IdText = Field(description="The job decided.", examples=["job_4hd"])
    as_of: UtcDateTime = Field(description="The moment it was taken at.", examples=[_AS_OF])
    plan_id: ShortText = Field(description="The plan chosen.", examples=["plan-3f9a"])
    recommended_plan_id: ShortText | None = Field(
        description="The plan recommended; null if none was.", examples=["plan-3f9a"]
    )
    is_override: Flag = Field(
        description="Whether another plan than the recommended one was chosen.", examples=[False]
    )
    decided_by: ShortText = Field(description="Who decided.", examples=["service desk"])
    reason: LongText | None = Field(
        description="Why; null if none was given.", examples=["Customer is in a hurry."]
    )
    engine_version: ShortText = Field(description="Version of the computation.", examples=["1"])
    snapshot_hash: SnapshotHash = Field(
        description="SHA-256 of the snapshot it stands on.", examples=["0" * 64]
    )


class DecisionRead(DecisionHead):
    """A kept decision with the inputs it stands on and the whole answer that it was chosen from."""

    snapshot: Snapshot = Field(
        description="The inputs, frozen; POST /v1/calculations/decision takes them as they are."
    )
    result: DecisionResult = Field(description="The answer as it was computed then.")


class Matter(StrEnum):
    """What a difference is about, in the order in which it matters."""

    RECOMMENDED_PLAN = "recommended-plan"
    TOTAL = "total"
    DATE = "date"
    OTHER = "other"


class ReplayCause(StrEnum):
    """Why a replay differs.

    ``none``: it does not. ``snapshot-damaged``: the inputs are not those that were stored.
    ``engine-changed``: another version of the computation or of its solver. ``same-engine``: none
    of these; the stored result was changed, or the computation does not repeat itself.
    """

    NONE = "none"
    SNAPSHOT_DAMAGED = "snapshot-damaged"
    ENGINE_CHANGED = "engine-changed"
    SAME_ENGINE = "same-engine"


class Difference(Answer):
    """One place where a replay differs."""

    matter: Matter = Field(description="What it is about.", examples=["total"])
    pointer: str = Field(
        description="JSON pointer into the result.", examples=["/plans/0/price"], max_length=1000
    )
    stored: str | None = Field(
        description="What was stored, as JSON; null if absent.", max_length=1000
    )
    replayed: str | None = Field(
        description="What was computed now, as JSON; null if absent.", max_length=1000
    )


class ReplayAnswer(Answer):
    """Whether a decision, computed again from its stored snapshot, comes out the same."""

    decision_id: IdText = Field(description="The decision.", examples=["dec_4hd"])
    agrees: Flag = Field(description="Whether every member agrees.", examples=[True])
    cause: ReplayCause = Field(description="Why it differs.", examples=["none"])
    explanation: str = Field(
        description="The same in words, with the versions.",
        examples=["Computed again by engine 1, it comes out the same."],
        max_length=2000,
    )
    differences: tuple[Difference, ...] = Field(
        description="Where they differ: the recommended plan, then totals, then dates, then the"
        " rest; the first hundred.",
        max_length=100,
    )
    engine_version: ShortText = Field(description="Version computing now.", examples=["1"])
    stored_engine_version: ShortText = Field(
        description="Version that computed then.", examples=["1"]
    )
    solver: str | None = Field(
        description="Solver computing now; null if nothing was computed.",
        examples=["CP-SAT 9.14"],
        max_length=200,
    )
    stored_solver: str | None = Field(
        description="Solver that computed then; null if it was not kept.",
        examples=["CP-SAT 9.14"],
        max_length=200,
    )
    snapshot_hash: SnapshotHash = Field(
        description="Hash of the stored snapshot, computed now.", examples=["0" * 64]
    )
    snapshot_is_intact: Flag = Field(
        description="Whether the stored snapshot still has the hash it was stored with.",
        examples=[True],
    )
