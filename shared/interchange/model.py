"""Parts, kits, claims that one part may take another's place, and what was fitted."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum

from shared.assemblies.traits import Hand
from shared.evidence import EvidenceKind
from shared.money import Money


@dataclass(frozen=True, slots=True)
class KitLine:
    """One line of what a kit holds."""

    part_id: str
    quantity: int = 1


class NumberKind(StrEnum):
    """What a number names: four kinds, none of which is a spelling of another."""

    MAKER = "maker"
    """The maker's own number of a finished part."""
    TRADE = "trade"
    """The number that a trade uses across makers, or a designation by a standard."""
    CASTING = "casting"
    """Cast or forged in: names the rough piece, of which several parts may be made."""
    BOOK_POSITION = "book-position"
    """A line of a parts book: section, plate, item."""


@dataclass(frozen=True, slots=True)
class OtherNumber:
    """A number by which a part is known besides its maker's: of another kind than that.

    ``source`` tells whose it is, or which book.
    """

    kind: NumberKind
    text: str
    source: str | None = None


@dataclass(frozen=True, slots=True)
class NumberRule:
    """How one maker writes part numbers: what may be left off, what carries meaning.

    A number of exactly ``base_length`` letters and figures (separators not counted) means the same
    as with ``default_suffix`` behind it; both or neither are there. ``last_letter_is_optional``:
    one letter at the very end names the same part; without a rule it may name another.
    ``kept_separators`` are characters among blank, dash, dot, underscore that tell two numbers of
    this maker apart.
    """

    id: str
    maker: str
    source: str
    base_length: int | None = None
    default_suffix: str | None = None
    last_letter_is_optional: bool = False
    kept_separators: str | None = None
    note: str | None = None


@dataclass(frozen=True, slots=True)
class Part:
    """An item with its maker's number; a kit is a part that holds others.

    ``kind`` is the shop's word for pricing and experience ("ball-bearing"); two parts of equal
    ``generic_designation`` are the same by their standard. ``number`` stays as it is written.
    """

    id: str
    maker: str
    number: str
    name: str
    kind: str
    generic_designation: str | None = None
    kit_lines: tuple[KitLine, ...] = ()
    other_numbers: tuple[OtherNumber, ...] = ()


@dataclass(frozen=True, slots=True)
class PartLine:
    """A part, and how many of it, for one of the part that is spoken of."""

    part_id: str
    quantity: int = 1


class ClaimSays(StrEnum):
    """Which way a claim speaks."""

    FITS = "fits"
    DOES_NOT_FIT = "does-not-fit"


class Sameness(StrEnum):
    """Whether form, fit or function are the same as those of the part called for."""

    SAME = "same"
    DIFFERS = "differs"
    NOT_TOLD = "not-told"


class DutyAspect(StrEnum):
    """In what a part of the same size may not do the same duty."""

    LOAD = "load"
    SPEED = "speed"
    MATERIAL = "material"
    CLEARANCE = "clearance"
    SEALING = "sealing"
    DUTY_CYCLE = "duty-cycle"
    FORM = "form"
    OTHER = "other"


@dataclass(frozen=True, slots=True)
class DutyDifference:
    """One difference between a stand-in and the part called for, and what comes of it."""

    aspect: DutyAspect
    difference: str
    effect: str


@dataclass(frozen=True, slots=True)
class InterchangeClaim:
    """``stand_in_part_id`` may be fitted where ``part_id`` is called for: one direction only.

    Or, as ``says`` has it, does not fit there. Every condition given must hold; an empty one does
    not restrict: assembly, position, range of serial numbers, days on which the unit was built,
    its hand, ratio, generation. ``stand_in_quantity`` pieces take the place of ``part_quantity``.
    ``companion_lines`` go in with one piece of the stand-in; rework is what it takes to fit.
    ``to_check`` is looked at before it is fitted. ``stated_on``: the day of the evidence.
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
    says: ClaimSays = ClaimSays.FITS
    built_from_on: date | None = None
    built_to_on: date | None = None
    hand: Hand | None = None
    ratio: Decimal | None = None
    generation: str | None = None
    part_quantity: int = 1
    stand_in_quantity: int = 1
    companion_lines: tuple[PartLine, ...] = ()
    to_check: tuple[str, ...] = ()
    form: Sameness = Sameness.NOT_TOLD
    fit: Sameness = Sameness.NOT_TOLD
    function: Sameness = Sameness.NOT_TOLD
    differences: tuple[DutyDifference, ...] = ()
    stated_on: date | None = None


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
    built_from_on: date | None = None
    built_to_on: date | None = None


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


@dataclass(frozen=True, slots=True)
class FitmentCount:
    """How the fitments that tried one claim turned out, as this shop has recorded them.

    ``served``: ran out the warranty. ``against``: did not fit, or failed within the warranty.
    ``running``: fitted, and not settled yet. A failure after the warranty counts as served.
    """

    claim_id: str
    served: int = 0
    against: int = 0
    running: int = 0
