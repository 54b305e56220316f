"""Parts, kits, and claims that one part may take another's place."""

from dataclasses import dataclass
from decimal import Decimal

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
