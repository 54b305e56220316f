"""Claims, supersessions, fitments, gifts of other assemblies and the shop's rules hold together."""

from collections.abc import Iterable, Sequence
from decimal import Decimal

from shared.beliefs import GREATEST_WEIGHT
from shared.condition.model import Unit, UnitKind
from shared.decision.check.numbers import check_chance, check_whole
from shared.decision.check.references import require
from shared.decision.snapshot import Snapshot
from shared.errors import InvalidInput
from shared.interchange.model import PartLine
from shared.interchange.rules import InterchangeRules
from shared.salvage.model import DonorGift

MOST_PIECES = 1_000
"""Pieces that one line of a claim or supersession may speak of."""
MOST_FITMENTS = 10**6
MOST_STEPS = 10


def check_interchange(snapshot: Snapshot) -> None:
    """Refuse claims, supersessions and counts of fitments that name what is not there."""
    known = {part.id for part in snapshot.parts}
    for index, claim in enumerate(snapshot.claims):
        at = f"/claims/{index}"
        _require_part(f"{at}/part_id", claim.part_id, known)
        _require_part(f"{at}/stand_in_part_id", claim.stand_in_part_id, known)
        check_whole(f"{at}/part_quantity", claim.part_quantity, 1, MOST_PIECES)
        check_whole(f"{at}/stand_in_quantity", claim.stand_in_quantity, 1, MOST_PIECES)
        _check_lines(f"{at}/companion_lines", claim.companion_lines, known)
        if claim.rework_p90_hours < claim.rework_p50_hours:
            raise InvalidInput(
                f"{at}/rework_p90_hours",
                f"{claim.rework_p90_hours} h is less than the P50 of {claim.rework_p50_hours} h.",
                "The P90 is the longer of the two.",
            )
        if claim.ratio is not None:
            check_number_of_turns(f"{at}/ratio", claim.ratio)
    for index, record in enumerate(snapshot.supersessions):
        at = f"/supersessions/{index}"
        _require_part(f"{at}/earlier_part_id", record.earlier_part_id, known)
        _check_lines(f"{at}/later_lines", record.later_lines, known)
        _check_lines(f"{at}/companion_lines", record.companion_lines, known)
    _check_fitments(snapshot)


def _require_part(pointer: str, part_id: str, known: Iterable[str]) -> None:
    if part_id not in known:
        raise InvalidInput(
            pointer,
            f"There is no part {part_id}.",
            "Name a part that is in the snapshot, or leave the record out.",
            "reference-unknown",
        )


def _check_lines(at: str, lines: Sequence[PartLine], known: Iterable[str]) -> None:
    for place, line in enumerate(lines):
        _require_part(f"{at}/{place}/part_id", line.part_id, known)
        check_whole(f"{at}/{place}/quantity", line.quantity, 1, MOST_PIECES)


def check_number_of_turns(pointer: str, ratio: Decimal) -> None:
    """Refuse a ratio that is none."""
    if ratio <= 0:
        raise InvalidInput(
            pointer,
            f"A ratio of {ratio} is none.",
            "Give input turns to one output turn, more than 0.",
            "out-of-range",
        )


def _check_fitments(snapshot: Snapshot) -> None:
    claims = {claim.id for claim in snapshot.claims}
    seen: set[str] = set()
    for index, count in enumerate(snapshot.fitment_counts):
        at = f"/fitment_counts/{index}"
        if count.claim_id not in claims:
            raise InvalidInput(
                f"{at}/claim_id",
                f"There is no claim {count.claim_id}.",
                "Name a claim that is in the snapshot.",
                "reference-unknown",
            )
        if count.claim_id in seen:
            raise InvalidInput(
                f"{at}/claim_id",
                f"The fitments of claim {count.claim_id} are counted twice.",
                "Give one count for each claim.",
                "duplicate",
            )
        seen.add(count.claim_id)
        for name in ("served", "against", "running"):
            check_whole(f"{at}/{name}", getattr(count, name), 0, MOST_FITMENTS)


# --- donors of other assemblies -----------------------------------------------------------------


def check_gifts(snapshot: Snapshot) -> None:
    """Refuse gifts of what is no donor of another assembly, for no place here, or told twice."""
    units = {unit.id: unit for unit in snapshot.units}
    seen: set[tuple[str, str, str]] = set()
    told: dict[str, DonorGift] = {}
    for index, gift in enumerate(snapshot.gifts):
        at = f"/gifts/{index}"
        require(f"{at}/unit_id", gift.unit_id, snapshot.units, "unit")
        _check_giver(at, gift, units[gift.unit_id], snapshot)
        require(f"{at}/to_position_id", gift.to_position_id, snapshot.positions, "position")
        require(f"{at}/position/part_id", gift.position.part_id, snapshot.parts, "part")
        check_whole(f"{at}/position/quantity", gift.position.quantity, 1, MOST_PIECES)
        key = (gift.unit_id, gift.position.id, gift.to_position_id)
        if key in seen:
            raise InvalidInput(
                at,
                f"Position {gift.position.id} of unit {gift.unit_id} is given to "
                f"{gift.to_position_id} twice.",
                "Tell of each gift once.",
                "duplicate",
            )
        seen.add(key)
        _check_same(at, gift, told.setdefault(gift.position.id, gift))


def _check_giver(at: str, gift: DonorGift, unit: Unit, snapshot: Snapshot) -> None:
    """A donor of another assembly gives one of its own positions."""
    if unit.kind is not UnitKind.DONOR or unit.assembly_id == snapshot.assembly.id:
        raise InvalidInput(
            f"{at}/unit_id",
            f"Unit {unit.id} is no donor of another assembly.",
            "Name one; donors of this assembly give without.",
        )
    if gift.position.assembly_id != unit.assembly_id:
        raise InvalidInput(
            f"{at}/position/assembly_id",
            f"Position {gift.position.id} is of assembly {gift.position.assembly_id}, the "
            f"donor of {unit.assembly_id}.",
            "Give a position of the donor's own assembly.",
            "other-assembly",
        )
    own = {position.id for position in snapshot.positions}
    if {gift.position.id, *gift.inner_position_ids} & own:
        raise InvalidInput(
            f"{at}/position/id",
            f"Position {gift.position.id} or one inside it is a position of this assembly.",
            "Give a position of the donor's own assembly.",
            "other-assembly",
        )


def _check_same(at: str, gift: DonorGift, first: DonorGift) -> None:
    """A position is one and the same however often it is given, and lies outside itself."""
    if gift.position.id in gift.inner_position_ids:
        raise InvalidInput(
            f"{at}/inner_position_ids",
            f"Position {gift.position.id} is told to lie inside itself.",
            "Name only what lies inside it.",
        )
    is_same = set(gift.inner_position_ids) == set(first.inner_position_ids)
    if gift.position != first.position or not is_same:
        raise InvalidInput(
            f"{at}/position",
            f"Position {gift.position.id} is told in two ways: here and to {first.to_position_id}.",
            "Give the same position, and the same inside it, with each of its gifts.",
        )


def given_positions(snapshot: Snapshot) -> dict[str, int | None]:
    """Positions of other assemblies whose condition is on record, with their pieces.

    None: they lie inside one that is given, and how many there are is not told.
    """
    found: dict[str, int | None] = {}
    for gift in snapshot.gifts:
        for inner in gift.inner_position_ids:
            found.setdefault(inner, None)
    found |= {gift.position.id: gift.position.quantity for gift in snapshot.gifts}
    return found


# --- the shop's rules ---------------------------------------------------------------------------


def check_rules(rules: InterchangeRules) -> None:
    """Refuse rules that cannot be worked with; pointers start at the rules."""
    check_chance("/least_confidence", rules.least_confidence)
    if not 0 < rules.hop_discount <= 1:
        raise InvalidInput(
            "/hop_discount",
            f"A discount of {rules.hop_discount} is out of range.",
            "Give more than 0 and at most 1; 1: a longer path is as sure as its steps.",
            "out-of-range",
        )
    check_whole("/most_steps", rules.most_steps, 1, MOST_STEPS)
    seen: set[str] = set()
    for index, belief in enumerate(rules.beliefs):
        at = f"/beliefs/{index}"
        if belief.evidence_kind in seen:
            raise InvalidInput(
                f"{at}/evidence_kind",
                f"The belief in '{belief.evidence_kind}' is there twice.",
                "Give one belief for each kind of evidence.",
                "duplicate",
            )
        seen.add(belief.evidence_kind)
        if not 0 < belief.mean < 1:
            raise InvalidInput(
                f"{at}/mean",
                f"{belief.mean} leaves no doubt; evidence always does.",
                "Give more than 0 and less than 1.",
                "out-of-range",
            )
        if not 0 < belief.weight <= Decimal(GREATEST_WEIGHT):
            raise InvalidInput(
                f"{at}/weight",
                f"A weight of {belief.weight} is out of range.",
                f"Give the fitments that it is worth: above 0, at most {GREATEST_WEIGHT:.0f}.",
                "out-of-range",
            )
