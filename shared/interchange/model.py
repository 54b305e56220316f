"""Parts, kits, claims that one part may take another's place, and what was fitted."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum

from shared.evidence import EvidenceKind
from shared.money import Money


@dataclass(frozen=True, slots=True)
class KitLine:
    """One line of what a kit holds."""

    part_id: str
    quantity: int = 1


@dataclass(frozen=True, slots=True)
class Part:
    """An item with its maker's number; a kit is a part that holds others.

    ``kind`` is the shop's word for pricing and experience ("ball-bearing"); two parts of equal
    ``generic_designation`` are the same by their standard.
    """

    id: str
    maker: str
    number: str
    name: str
    kind: str
    generic_designation: str | None = None
    kit_lines: tuple[KitLine, ...] = ()


@dataclass(frozen=True, slots=True)
class InterchangeClaim:
    """``stand_in_part_id`` may be fitted where ``part_id`` is called for: one direction only.

    Every condition given must hold; an empty one does not restrict. Rework is what it takes to fit.
    """

    id: str
    part_id: str
    stand_in_part_id: str
    evidence_kind: EvidenceKind
    evidence: str
    assembly_id: str | None = None
    position_id: str | None = None
    serial_from: str | None = None
    serial_to: str | None = None
    rework_note: str | None = None
    rework_p50_hours: Decimal = Decimal(0)
    rework_p90_hours: Decimal = Decimal(0)
    rework_cost: Money | None = None


@dataclass(frozen=True, slots=True)
class PartLine:
    """A part, and how many of it, for one of the part that is spoken of."""

    part_id: str
    quantity: int = 1


@dataclass(frozen=True, slots=True)
class Supersession:
    """The maker's later numbers for an earlier one; without later lines it ends there.

    Every condition given must hold; an empty one does not restrict. ``companion_lines`` must be
    changed with it. ``may_go_back``: where the later is called for, the earlier may serve. Loops
    are kept as they were entered; whoever resolves a chain reports them.
    """

    id: str
    earlier_part_id: str
    evidence_kind: EvidenceKind
    evidence: str
    later_lines: tuple[PartLine, ...] = ()
    companion_lines: tuple[PartLine, ...] = ()
    assembly_id: str | None = None
    serial_from: str | None = None
    serial_to: str | None = None
    effective_on: date | None = None
    may_go_back: bool = False
    note: str | None = None


class FitmentResult(StrEnum):
    """How a fitted part turned out."""

    RUNNING = "running"
    RAN_OUT_THE_WARRANTY = "ran-out-the-warranty"
    FAILED = "failed"
    DID_NOT_FIT = "did-not-fit"


@dataclass(frozen=True, slots=True)
class Fitment:
    """A part put into one piece of a position in one job, and how it turned out.

    Either ``part_id`` or ``salvaged_part_id`` is there. ``claim_id`` is the interchange claim that
    it tried; ``hours_run`` are running hours since it was fitted.
    """

    id: str
    job_id: str
    position_id: str
    fitted_on: date
    fitted_by: str
    piece: int = 1
    part_id: str | None = None
    salvaged_part_id: str | None = None
    claim_id: str | None = None
    result: FitmentResult = FitmentResult.RUNNING
    result_on: date | None = None
    hours_run: Decimal | None = None
    note: str | None = None
