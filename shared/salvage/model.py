"""Parts taken from donors, for whom they are held, and what the shop knows of such parts."""

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from enum import StrEnum

from shared.assemblies.model import Position
from shared.evidence import ReasonRetired
from shared.money import Money


@dataclass(frozen=True, slots=True)
class SalvageExperience:
    """How often a part taken from a donor proves good, by why the donor was retired."""

    prior_mean: Decimal
    prior_weight: Decimal
    good: int = 0
    trials: int = 0
    reason_retired: ReasonRetired | None = None
    part_kind: str | None = None
    basis: str | None = None


class SalvagedPartState(StrEnum):
    """Where a salvaged part stands."""

    UNINSPECTED = "uninspected"
    SHELVED = "shelved"
    FITTED = "fitted"
    DISCARDED = "discarded"


class ReservationState(StrEnum):
    """How a reservation stands."""

    HELD = "held"
    RELEASED = "released"
    TAKEN = "taken"
    EXPIRED = "expired"


@dataclass(frozen=True, slots=True)
class SalvagedPart:
    """One piece of one position, taken from one donor; hours are those it had run by then.

    ``worth`` is what it would fetch if it were sold. ``finding_ids`` are findings on the donor, at
    this position or inside it, that speak of this part.
    """

    id: str
    donor_unit_id: str
    position_id: str
    removed_on: date
    removed_by: str
    label: str
    piece: int = 1
    part_id: str | None = None
    lower_hours: Decimal | None = None
    upper_hours: Decimal | None = None
    variant: str | None = None
    state: SalvagedPartState = SalvagedPartState.UNINSPECTED
    inspected_by: str | None = None
    inspected_on: date | None = None
    finding_ids: tuple[str, ...] = ()
    shelf: str | None = None
    worth: Money | None = None
    note: str | None = None


@dataclass(frozen=True, slots=True)
class ShelvedPart:
    """A salvaged part that lies inspected on the shelf, free to be fitted, as a decision sees it.

    ``worth`` is what is given up by fitting it. ``piece`` is which of several pieces it was in the
    donor: its findings are told by it, where it may go is not.
    """

    id: str
    donor_unit_id: str
    position_id: str
    label: str
    inspected_by: str
    inspected_on: date
    piece: int = 1
    part_id: str | None = None
    lower_hours: Decimal | None = None
    upper_hours: Decimal | None = None
    variant: str | None = None
    finding_ids: tuple[str, ...] = ()
    worth: Money | None = None
    is_of_matched_set: bool = False
    """Whether its mates, with which it was paired, are another part or still in the donor."""

    @classmethod
    def of(cls, part: SalvagedPart, *, is_of_matched_set: bool = False) -> "ShelvedPart":
        """What a decision needs of a salvaged part; raises ValueError for one not on the shelf."""
        is_shelved = part.state is SalvagedPartState.SHELVED
        if not is_shelved or part.inspected_by is None or part.inspected_on is None:
            raise ValueError(f"salvaged part {part.id} is not on the shelf")
        return cls(
            id=part.id,
            donor_unit_id=part.donor_unit_id,
            position_id=part.position_id,
            label=part.label,
            inspected_by=part.inspected_by,
            inspected_on=part.inspected_on,
            piece=part.piece,
            part_id=part.part_id,
            lower_hours=part.lower_hours,
            upper_hours=part.upper_hours,
            variant=part.variant,
            finding_ids=part.finding_ids,
            worth=part.worth,
            is_of_matched_set=is_of_matched_set,
        )


@dataclass(frozen=True, slots=True)
class Reservation:
    """A salvaged part held for one job until a moment; what is held is promised to nobody else."""

    id: str
    salvaged_part_id: str
    job_id: str
    reserved_by: str
    expires_at: datetime
    state: ReservationState = ReservationState.HELD
    note: str | None = None


@dataclass(frozen=True, slots=True)
class DonorGift:
    """A position of another assembly's donor, whose part may take a place here.

    ``position`` is the donor's own; ``inner_position_ids`` lie inside it. ``is_of_matched_set``:
    it, or something inside it, was paired there with what lies elsewhere.
    """

    unit_id: str
    position: Position
    to_position_id: str
    inner_position_ids: tuple[str, ...] = ()
    is_of_matched_set: bool = False
