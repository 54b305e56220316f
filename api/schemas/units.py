"""Units and shim packs. The members are the fields of ``shared/condition/model.py``."""

from decimal import Decimal
from typing import Self

from pydantic import Field, model_validator

from api.schemas.base import (
    Body,
    CalendarDate,
    Count,
    DaysText,
    Flag,
    HoursText,
    IdText,
    LongText,
    MoneyIn,
    PositiveDecimalText,
    QuantityIn,
    ShortText,
    plain,
    refuse,
)
from api.schemas.records import RecordHead, SnapshotId, check_distinct, check_p90_not_below_p50
from shared.assemblies.traits import Hand
from shared.condition.model import ShimEffect, ShimStage, UnitKind
from shared.evidence import ReasonRetired

_EXAMPLE_MONEY = {"amount": "120.00", "currency": "EUR"}


class PartWorthFields(Body):
    """What one position's part counts for in the worth of a donor's complete rest."""

    position_id: IdText = Field(description="Where the part sits.", examples=["pos_4hd"])
    worth: MoneyIn = Field(
        description="What it counts for.", examples=[{"amount": "15.00", "currency": "EUR"}]
    )


class DonorTermsFields(Body):
    """What it takes to use a donor."""

    is_owned: Flag = Field(description="Whether the shop owns it already.", examples=[True])
    price: MoneyIn | None = Field(
        default=None,
        description="What it costs, if it has to be bought.",
        examples=[_EXAMPLE_MONEY],
    )
    undisturbed_worth: MoneyIn | None = Field(
        default=None,
        description="What an owned donor is worth left as it is.",
        examples=[_EXAMPLE_MONEY],
    )
    remainder_worth: MoneyIn | None = Field(
        default=None,
        description="What the rest of it still fetches while nothing is missing.",
        examples=[{"amount": "40.00", "currency": "EUR"}],
    )
    strip_p50_hours: HoursText = Field(
        default=Decimal(0), description="Hours of stripping, five in ten.", examples=["1.5"]
    )
    strip_p90_hours: HoursText = Field(
        default=Decimal(0), description="Hours of stripping, nine in ten.", examples=["2.5"]
    )
    p50_days: DaysText = Field(
        default=Decimal(0),
        description="Working days until it is there, five in ten; 0: in the yard.",
        examples=["0"],
    )
    p90_days: DaysText = Field(
        default=Decimal(0),
        description="Working days until it is there, nine in ten.",
        examples=["0"],
    )
    freight: MoneyIn | None = Field(
        default=None,
        description="Freight, if it has to be bought.",
        examples=[{"amount": "48.00", "currency": "EUR"}],
    )
    part_worths: tuple[PartWorthFields, ...] = Field(
        default=(),
        max_length=500,
        description="By how much each part that is taken lessens remainder_worth.",
        examples=[[{"position_id": "pos_4hd", "worth": {"amount": "15.00", "currency": "EUR"}}]],
    )

    @model_validator(mode="after")
    def _price_and_order(self) -> Self:
        if not self.is_owned and self.price is None:
            refuse(
                "price-missing",
                "The donor is not the shop's and has no price.",
                "Give price, or set is_owned to true.",
                "/price",
            )
        check_p90_not_below_p50(
            self.strip_p50_hours, self.strip_p90_hours, "strip_p50_hours", "strip_p90_hours"
        )
        check_p90_not_below_p50(self.p50_days, self.p90_days, "p50_days", "p90_days")
        self._check_part_worths()
        return self

    def _check_part_worths(self) -> None:
        if not self.part_worths:
            return
        ids = tuple(one.position_id for one in self.part_worths)
        check_distinct(ids, "/part_worths", "position")
        total = sum((one.worth.amount for one in self.part_worths), Decimal(0))
        rest = self.remainder_worth
        if rest is None or total > rest.amount:
            refuse(
                "worth-above-remainder",
                f"The parts count for {plain(total)}, the rest of the donor fetches"
                f" {plain(rest.amount) if rest else 'nothing'}.",
                f"Give remainder_worth of at least {plain(total)}.",
                "/part_worths",
            )


class UnitCreate(Body):
    """One physical assembly: the customer's, a donor, or a stock unit."""

    assembly_id: IdText = Field(description="The design it is of.", examples=["asm_7kq"])
    kind: UnitKind = Field(description="Whose unit it is, and what for.", examples=["donor"])
    serial_number: ShortText | None = Field(
        default=None, description="Its serial number.", examples=["12873"]
    )
    lower_hours: HoursText | None = Field(
        default=None, description="Least running hours it may have.", examples=["800"]
    )
    upper_hours: HoursText | None = Field(
        default=None, description="Most running hours it may have.", examples=["1400"]
    )
    variant: ShortText | None = Field(
        default=None,
        description="The maker's word for what else tells it from others of its design.",
        examples=["with brake"],
    )
    provenance: LongText | None = Field(
        default=None, description="Where it comes from.", examples=["Yard lot, stood in the wet."]
    )
    reason_retired: ReasonRetired | None = Field(
        default=None, description="Why it went out of service.", examples=["wear"]
    )
    released_on: CalendarDate | None = Field(
        default=None,
        description="When it was bought, or released in writing, as a donor; needed for donors.",
        examples=["2031-02-11"],
    )
    donor: DonorTermsFields | None = Field(
        default=None, description="What it takes to use it; needed for donors and stock units."
    )
    built_on: CalendarDate | None = Field(
        default=None, description="The day on which it was built.", examples=["2028-06-14"]
    )
    hand: Hand | None = Field(
        default=None,
        description="Left or right: the side it sits on, or the way it turns, as the maker says.",
        examples=["left"],
    )
    ratio: PositiveDecimalText | None = Field(
        default=None, description="Input turns to one output turn.", examples=["3.73"]
    )
    generation: ShortText | None = Field(
        default=None, description="Its generation, in the maker's words.", examples=["second"]
    )

    @model_validator(mode="after")
    def _donor_is_released_and_priced(self) -> Self:
        if (
            self.lower_hours is not None
            and self.upper_hours is not None
            and self.upper_hours < self.lower_hours
        ):
            refuse(
                "range-reversed",
                f"upper_hours {plain(self.upper_hours)} is below lower_hours "
                f"{plain(self.lower_hours)}.",
                "Swap the two, or give one only.",
                "/upper_hours",
            )
        if self.kind is UnitKind.CUSTOMER:
            self._check_customer()
        elif self.donor is None:
            refuse(
                "donor-terms-missing",
                f"A {self.kind} unit has no donor terms.",
                "Give donor: is_owned, its price or worth, stripping hours.",
                "/donor",
            )
        if self.kind is UnitKind.DONOR and self.released_on is None:
            refuse(
                "donor-not-released",
                "A donor has no released_on.",
                "Give the day on which it was bought or released in writing.",
                "/released_on",
            )
        return self

    def _check_customer(self) -> None:
        if self.donor is not None:
            refuse(
                "donor-terms-misplaced",
                "A customer's unit has donor terms.",
                "Make it a donor once it is bought or released in writing; until then leave"
                " donor out.",
                "/donor",
            )


class _TakenFields(Body):
    """What parts being taken from a unit has made of it."""

    taken_position_ids: tuple[IdText, ...] = Field(
        default=(),
        max_length=500,
        description="Positions of which a piece has left it as a salvaged part.",
        examples=[["pos_4hd"]],
    )


class UnitRead(RecordHead, UnitCreate, _TakenFields):
    """A unit as stored."""


class UnitInSnapshot(SnapshotId, UnitCreate, _TakenFields):
    """A unit inside a snapshot."""


class ShimFields(Body):
    """Shims of one thickness in a pack."""

    thickness: QuantityIn = Field(
        description="The thickness of one.", examples=[{"value": "0.15", "unit": "mm"}]
    )
    quantity: Count = Field(default=1, description="How many of this thickness.", examples=[2])
    is_broken: Flag = Field(
        default=False,
        description="Whether they are broken: measured, not fitted again.",
        examples=[False],
    )


class ShimPackCreate(Body):
    """The shims at one place of one unit, as found or as fitted."""

    unit_id: IdText = Field(description="The unit they belong to.", examples=["unt_7kq"])
    place: ShortText = Field(description="Where they sit.", examples=["pinion depth"])
    sets: ShortText = Field(description="What they set.", examples=["end float of the pinion"])
    effect: ShimEffect = Field(
        description="What more shims do to what they set.", examples=["more-shims-increase"]
    )
    stage: ShimStage = Field(
        description="Found on opening, or fitted in the job.", examples=["as-found"]
    )
    recorded_by: ShortText = Field(description="Who recorded it.", examples=["bench two"])
    recorded_on: CalendarDate = Field(description="When; no day to come.", examples=["2026-03-04"])
    shims: tuple[ShimFields, ...] = Field(
        max_length=100,
        description="The shims; an empty list says that none sat there.",
        examples=[[{"thickness": {"value": "0.15", "unit": "mm"}, "quantity": 2}]],
    )
    position_id: IdText | None = Field(
        default=None, description="The position of the pack.", examples=["pos_4hd"]
    )
    job_id: IdText | None = Field(
        default=None,
        description="The job on that unit; needed for a pack as fitted.",
        examples=["job_2f8"],
    )
    note: LongText | None = Field(
        default=None, description="Anything worth knowing.", examples=["One shim torn at the edge."]
    )
    shim_place_id: IdText | None = Field(
        default=None,
        description="The place for shims in the assembly, where it is on record; its effect is"
        " the pack's.",
        examples=["spl_3fk"],
    )


class ShimPackRead(RecordHead, ShimPackCreate):
    """A shim pack as stored."""


class ShimPackInSnapshot(SnapshotId, ShimPackCreate):
    """A shim pack inside a snapshot."""
