"""Salvaged parts, reservations, fitments; the members are those of the domain's dataclasses."""

from typing import Self

from pydantic import Field, model_validator

from api.schemas.base import (
    Answer,
    Body,
    CalendarDate,
    Count,
    Flag,
    HoursText,
    IdText,
    LongText,
    MoneyIn,
    ShortText,
    UtcDateTime,
    plain,
    refuse,
)
from api.schemas.findings import FindingCreate
from api.schemas.records import RecordHead, SnapshotId, check_day_order, check_distinct
from shared.evidence import ReasonRetired
from shared.interchange.model import FitmentResult
from shared.salvage.model import ReservationState, SalvagedPartState


class SalvagedPartCreate(Body):
    """One piece of one position, taken from one donor."""

    donor_unit_id: IdText = Field(
        description="The donor or stock unit that it was taken from.", examples=["unt_2f8"]
    )
    position_id: IdText = Field(description="Where it sat.", examples=["pos_4hd"])
    removed_on: CalendarDate = Field(description="When it was taken.", examples=["2031-02-18"])
    removed_by: ShortText = Field(description="Who took it.", examples=["bench two"])
    label: ShortText = Field(
        description="What is written on it; no two parts of the shop carry the same.",
        examples=["S-0418"],
    )
    piece: Count = Field(
        default=1, description="Which of several pieces of the position, from 1.", examples=[1]
    )
    part_id: IdText | None = Field(
        default=None, description="Which part it is, by its number.", examples=["prt_7kq"]
    )
    lower_hours: HoursText | None = Field(
        default=None, description="Least running hours it had when taken.", examples=["800"]
    )
    upper_hours: HoursText | None = Field(
        default=None, description="Most running hours it had when taken.", examples=["1400"]
    )
    variant: ShortText | None = Field(
        default=None,
        description="The maker's word for what else tells its unit from others of its design.",
        examples=["with brake"],
    )
    state: SalvagedPartState = Field(
        default=SalvagedPartState.UNINSPECTED,
        description="Where it stands; fitted comes about by a fitment alone.",
        examples=["shelved"],
    )
    inspected_by: ShortText | None = Field(
        default=None, description="Who inspected it; needed on the shelf.", examples=["bench one"]
    )
    inspected_on: CalendarDate | None = Field(
        default=None,
        description="When it was inspected; an uninspected part says nothing here.",
        examples=["2031-02-19"],
    )
    finding_ids: tuple[IdText, ...] = Field(
        default=(),
        max_length=200,
        description="Findings on the donor, at this position or inside it, that speak of it.",
        examples=[["fnd_9a2"]],
    )
    shelf: ShortText | None = Field(
        default=None, description="Where it lies.", examples=["rack 3, bin 7"]
    )
    worth: MoneyIn | None = Field(
        default=None,
        description="What it would fetch.",
        examples=[{"amount": "35.00", "currency": "EUR"}],
    )
    note: LongText | None = Field(
        default=None, description="Anything else.", examples=["Faint blueing on one side."]
    )

    @model_validator(mode="after")
    def _inspected_and_in_order(self) -> Self:
        self._check_hours()
        check_distinct(self.finding_ids, "/finding_ids", "finding")
        if (self.inspected_by is None) != (self.inspected_on is None):
            refuse(
                "inspection-incomplete",
                "Of inspected_by and inspected_on one is there and the other is not.",
                "Give both, or neither.",
                "/inspected_by" if self.inspected_by is None else "/inspected_on",
            )
        self._check_inspection()
        return self

    def _check_hours(self) -> None:
        low, high = self.lower_hours, self.upper_hours
        if low is not None and high is not None and high < low:
            refuse(
                "range-reversed",
                f"upper_hours {plain(high)} is below lower_hours {plain(low)}.",
                "Swap the two, or give one only.",
                "/upper_hours",
            )

    def _check_inspection(self) -> None:
        is_good = self.state in (SalvagedPartState.SHELVED, SalvagedPartState.FITTED)
        if is_good and self.inspected_on is None:
            refuse(
                "not-inspected",
                f"A part that is {self.state} was not inspected.",
                "Give inspected_by and inspected_on, or state uninspected.",
                "/inspected_on",
            )
        if self.state is SalvagedPartState.UNINSPECTED and self.inspected_on is not None:
            refuse(
                "inspection-misplaced",
                "The part is uninspected and says when it was inspected.",
                "Take inspected_by and inspected_on away, or shelve it.",
                "/inspected_on",
            )
        if self.inspected_on is not None:
            check_day_order(self.removed_on, self.inspected_on, "removed_on", "inspected_on")


class SalvagedPartRead(RecordHead, SalvagedPartCreate):
    """A salvaged part as stored."""


class ShelvedPartInSnapshot(SnapshotId):
    """A salvaged part on the shelf, free to be fitted, inside a snapshot."""

    donor_unit_id: IdText = Field(
        description="The donor or stock unit that it was taken from.", examples=["unt_2f8"]
    )
    position_id: IdText = Field(description="Where it sat in the donor.", examples=["pos_4hd"])
    label: ShortText = Field(description="What is written on it.", examples=["S-0418"])
    inspected_by: ShortText = Field(description="Who inspected it.", examples=["bench one"])
    inspected_on: CalendarDate = Field(
        description="When it was inspected.", examples=["2031-02-19"]
    )
    piece: Count = Field(
        default=1, description="Which of several pieces of the position it was.", examples=[1]
    )
    part_id: IdText | None = Field(
        default=None, description="Which part it is, by its number.", examples=["prt_7kq"]
    )
    lower_hours: HoursText | None = Field(
        default=None, description="Least running hours it had when taken.", examples=["800"]
    )
    upper_hours: HoursText | None = Field(
        default=None, description="Most running hours it had when taken.", examples=["1400"]
    )
    variant: ShortText | None = Field(
        default=None,
        description="The maker's word for what else tells its unit from others of its design; not"
        " given: that of its donor.",
        examples=["with brake"],
    )
    is_of_matched_set: Flag = Field(
        default=False,
        description="Whether it was paired with what is not inside it.",
        examples=[False],
    )
    finding_ids: tuple[IdText, ...] = Field(
        default=(),
        max_length=200,
        description="Findings on the donor, at this position or inside it, that speak of it.",
        examples=[["fnd_9a2"]],
    )
    worth: MoneyIn | None = Field(
        default=None,
        description="What it would fetch: given up by fitting it.",
        examples=[{"amount": "35.00", "currency": "EUR"}],
    )


class ReservationCreate(Body):
    """A salvaged part held for one job; one that is held is promised to nobody else."""

    salvaged_part_id: IdText = Field(description="The part; it is shelved.", examples=["slv_2f8"])
    job_id: IdText = Field(description="The job it is held for.", examples=["job_4hd"])
    reserved_by: ShortText = Field(description="Who reserves it.", examples=["service desk"])
    expires_at: UtcDateTime = Field(
        description="When it lapses by itself; ahead, at most 366 days from now.",
        examples=["2031-03-18T17:00:00Z"],
    )
    state: ReservationState = Field(
        default=ReservationState.HELD,
        description="It begins held; a change releases it, a fitment takes it, time expires it.",
        examples=["held"],
    )
    note: LongText | None = Field(
        default=None, description="Anything else.", examples=["Until the customer calls back."]
    )


class ReservationRead(RecordHead, ReservationCreate):
    """A reservation as stored, expired once its time is up."""


class FitmentCreate(Body):
    """A part put into one piece of a position in one job, and how it turned out."""

    job_id: IdText = Field(description="The job it was fitted in.", examples=["job_4hd"])
    position_id: IdText = Field(
        description="Where, in the assembly of the job's unit.", examples=["pos_4hd"]
    )
    fitted_on: CalendarDate = Field(description="When it was fitted.", examples=["2031-03-06"])
    fitted_by: ShortText = Field(description="Who fitted it.", examples=["bench two"])
    piece: Count = Field(
        default=1, description="Which of several pieces of the position, from 1.", examples=[1]
    )
    part_id: IdText | None = Field(
        default=None, description="The part, if it is not a salvaged one.", examples=["prt_7kq"]
    )
    salvaged_part_id: IdText | None = Field(
        default=None, description="The salvaged part; it is shelved.", examples=["slv_2f8"]
    )
    claim_id: IdText | None = Field(
        default=None, description="The interchange claim that it tries.", examples=["clm_1c3"]
    )
    result: FitmentResult = Field(
        default=FitmentResult.RUNNING, description="How it turned out.", examples=["running"]
    )
    result_on: CalendarDate | None = Field(
        default=None, description="When that was known.", examples=["2031-09-01"]
    )
    hours_run: HoursText | None = Field(
        default=None, description="Running hours since it was fitted.", examples=["420"]
    )
    note: LongText | None = Field(
        default=None, description="Anything else.", examples=["Pressed in warm."]
    )

    @model_validator(mode="after")
    def _one_thing_and_its_result(self) -> Self:
        if (self.part_id is None) == (self.salvaged_part_id is None):
            both = self.part_id is not None
            refuse(
                "one-of-two",
                f"Got {'both' if both else 'neither'} of part_id and salvaged_part_id.",
                "Give part_id for a part that was bought, salvaged_part_id for one from a donor.",
                "/salvaged_part_id" if both else "/part_id",
            )
        if self.result is FitmentResult.RUNNING and self.result_on is not None:
            refuse(
                "result-misplaced",
                "The part is still running and has a day on which it turned out.",
                "Leave result_on out until the result is known.",
                "/result_on",
            )
        if self.result_on is not None:
            check_day_order(self.fitted_on, self.result_on, "fitted_on", "result_on")
        if self.result is FitmentResult.DID_NOT_FIT and self.hours_run is not None:
            refuse(
                "hours-misplaced",
                f"A part that did not fit has run {plain(self.hours_run)} hours.",
                "Leave hours_run out.",
                "/hours_run",
            )
        return self


class FitmentRead(RecordHead, FitmentCreate):
    """A fitment as stored."""


# --- the trace -------------------------------------------------------------------------------


class WithId(Answer):
    """A record named by its id, without its version."""

    id: IdText = Field(description="Identity of the record.", examples=["slv_2f8"])


class TracedPart(WithId, SalvagedPartCreate):
    """The part itself."""


class TracedFinding(WithId, FindingCreate):
    """What was found on the donor."""


class TracedReservation(WithId, ReservationCreate):
    """A job that the part was held for."""


class FitmentOfTrace(WithId, FitmentCreate):
    """Where the part was fitted."""


class TracedDonor(Answer):
    """The unit that the part came from, and why it was there to give it."""

    unit_id: IdText = Field(description="The donor.", examples=["unt_2f8"])
    serial_number: ShortText | None = Field(
        description="Its serial number; null: not on record.", examples=["11402"]
    )
    provenance: LongText | None = Field(
        description="Where it comes from; null: not on record.", examples=["Yard lot."]
    )
    reason_retired: ReasonRetired | None = Field(
        description="Why it went out of service; null: not on record.", examples=["wear"]
    )
    released_on: CalendarDate | None = Field(
        description="When it was bought or released in writing.", examples=["2031-02-11"]
    )


class TracedFitment(Answer):
    """A fitment of the part, and the unit of its job."""

    fitment: FitmentOfTrace = Field(description="The fitment.")
    unit_id: IdText = Field(description="The unit that it went into.", examples=["unt_7kq"])
    serial_number: ShortText | None = Field(
        description="That unit's serial number; null: not on record.", examples=["12873"]
    )
    position_name: ShortText = Field(
        description="What sits there in the unit.", examples=["Input bearing"]
    )


class SalvagedPartTrace(Answer):
    """A salvaged part from donor to job."""

    salvaged_part: TracedPart = Field(description="The part.")
    donor: TracedDonor = Field(description="Where it came from.")
    position_name: ShortText = Field(
        description="What sat there in the donor.", examples=["Input bearing"]
    )
    findings: tuple[TracedFinding, ...] = Field(
        max_length=200, description="What was found of it on the donor."
    )
    reservations: tuple[TracedReservation, ...] = Field(
        max_length=10000, description="For whom it was held, in the order of their making."
    )
    fitments: tuple[TracedFitment, ...] = Field(
        max_length=10000, description="Where it was fitted, in the order of their making."
    )
