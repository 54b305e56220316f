"""Which parts may take a place: the part itself, its generic equals, and what claims allow.

One step only: a claim is not followed by another claim.
"""

from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass
from enum import StrEnum

from shared.assemblies.model import Position
from shared.assemblies.serials import serial_in_range
from shared.evidence import EvidenceKind
from shared.interchange.equals import Equal, equal_by_designation
from shared.interchange.model import InterchangeClaim, Part


class Path(StrEnum):
    """How a candidate comes to be one."""

    ITSELF = "itself"
    GENERIC = "generic"
    INTERCHANGE = "interchange"


@dataclass(frozen=True, slots=True)
class Candidate:
    """A part that may take the place, and by which path.

    ``notes`` say what a generic equal has besides what is called for.
    """

    part: Part
    path: Path
    claim: InterchangeClaim | None = None
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Refused:
    """A part that may not take the place by itself, and why: a claim that does not hold here, or a
    designation of the same size that differs in what matters.
    """

    part_id: str
    reason: str
    claim: InterchangeClaim | None = None


def why_refused(
    claim: InterchangeClaim,
    position: Position,
    serial: str | None,
    accepted: Collection[EvidenceKind],
) -> str | None:
    """Why a claim does not hold for this position and unit; None when it holds."""
    if claim.evidence_kind not in accepted:
        return f"the shop's policy does not accept evidence of the kind '{claim.evidence_kind}'"
    if claim.assembly_id not in (None, position.assembly_id):
        return "it is claimed for another assembly"
    if claim.position_id not in (None, position.id):
        return "it is claimed for another position"
    within = serial_in_range(serial, claim.serial_from, claim.serial_to)
    if within is None:
        return (
            f"it is claimed for serial numbers {claim.serial_from or '...'} to "
            f"{claim.serial_to or '...'}; whether {serial or 'an unknown serial number'} is one "
            "of them cannot be told"
        )
    if not within:
        return (
            f"serial number {serial} is outside {claim.serial_from or '...'} to "
            f"{claim.serial_to or '...'}"
        )
    return None


def candidates(
    position: Position,
    serial: str | None,
    parts: Iterable[Part],
    claims: Iterable[InterchangeClaim],
    accepted: Collection[EvidenceKind],
) -> tuple[tuple[Candidate, ...], tuple[Refused, ...]]:
    """Parts that may take a position's place, best path first, and those that were refused.

    Each part appears once, by its strongest path (itself, generic equal, claim).
    """
    by_id = {part.id: part for part in parts}
    called_for = by_id.get(position.part_id or "")
    if called_for is None:
        return (), ()
    found = {called_for.id: Candidate(called_for, Path.ITSELF)}
    refused, differing = [], []
    for part, equal in _equals(called_for, by_id.values()):
        if equal.is_candidate:
            found.setdefault(part.id, Candidate(part, Path.GENERIC, notes=equal.notes))
        else:
            differing.append(Refused(part.id, _differs(called_for, part, equal)))
    for claim in sorted(claims, key=lambda c: c.id):
        if claim.part_id != called_for.id or claim.stand_in_part_id not in by_id:
            continue
        reason = why_refused(claim, position, serial, accepted)
        if reason is not None:
            refused.append(Refused(claim.stand_in_part_id, f"claim not used: {reason}", claim))
        else:
            stand_in = by_id[claim.stand_in_part_id]
            found.setdefault(stand_in.id, Candidate(stand_in, Path.INTERCHANGE, claim))
    refused += [one for one in differing if one.part_id not in found]
    return tuple(found.values()), tuple(refused)


def _equals(called_for: Part, parts: Iterable[Part]) -> Iterator[tuple[Part, Equal]]:
    """Parts of the same size by their generic designations, by id, and how they compare."""
    wanted = called_for.generic_designation
    if not wanted:
        return
    for part in sorted(parts, key=lambda p: p.id):
        if part.id != called_for.id and part.generic_designation:
            equal = equal_by_designation(wanted, part.generic_designation)
            if equal is not None:
                yield part, equal


def _differs(called_for: Part, part: Part, equal: Equal) -> str:
    told = "; ".join(note.rstrip(".") for note in equal.notes) or "whether it serves cannot be told"
    return (
        f"{part.generic_designation} is of the size of {called_for.generic_designation}, which is "
        f"not enough: {told}. Where it serves all the same, record an interchange claim that says "
        "why"
    )
