"""Parts, kits, supersessions and interchange claims: mapping and checks."""

from datetime import date
from typing import Any, Final

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from db.models import interchange as tables
from db.models.assemblies import assemblies, positions
from db.models.base import SHORT
from db.models.sourcing import offers
from db.queries.access import Principal
from db.queries.assemblies import identity
from db.queries.currency import check_currency
from db.queries.mapping import Children, Mapped
from db.queries.number_keys import other_number_keys, part_number_keys, rule_keys
from db.queries.references import DEEPEST, check_distinct, known, position_of
from db.types import fitting_key
from shared.assemblies.serials import is_contradictory
from shared.errors import Conflict, InvalidInput
from shared.interchange.equals import equivalence_key
from shared.interchange.model import (
    ClaimSays,
    InterchangeClaim,
    NumberKind,
    NumberRule,
    Part,
    PartLine,
    Supersession,
)
from shared.interchange.part_numbers.rules import check_rule

MOST_IN_A_KIT: Final = 2_000
"""Different parts that a kit may hold, with what is in kits within it."""
_KITS_LOCK: Final = 7_214_002
"""Held from the check of a kit's lines to the commit; any number that no other lock has."""


def _keys(part: Part) -> dict[str, Any]:
    """Return the keys of a part: maker and number as one; its designation in its one form.

    Separators count in the number ("62/22" is not "6222"). The designation's key is that of the
    size it names: a migration keys again when the rule changes.
    """
    designation = part.generic_designation
    return {
        "identity_key": identity(part.maker, part.number),
        "designation_key": fitting_key(equivalence_key(designation), 2 * SHORT)
        if designation
        else None,
        **part_number_keys(part),
    }


def _check_part(session: Session, principal: Principal, part: Part) -> None:
    check_distinct((line.part_id for line in part.kit_lines), "/kit_lines", "part")
    for place, line in enumerate(part.kit_lines):
        pointer = f"/kit_lines/{place}/part_id"
        if line.part_id == part.id:
            raise InvalidInput(
                pointer, "The kit holds itself.", "Leave the kit out of its own lines.", "cycle"
            )
        known(session, principal, tables.parts, line.part_id, pointer, "part")
    if part.kit_lines:
        _check_kit_holds_no_circle(session, part)
    _check_other_numbers(part)


def _check_other_numbers(part: Part) -> None:
    told = set[tuple[NumberKind, str]]()
    for place, number in enumerate(part.other_numbers):
        if number.kind is NumberKind.MAKER:
            raise InvalidInput(
                f"/other_numbers/{place}/kind",
                f"The number '{number.text}' is of the kind 'maker'.",
                "Give the maker's number as number; record another maker's number as a part.",
                "kind-misplaced",
            )
        if (number.kind, number.text) in told:
            raise InvalidInput(
                f"/other_numbers/{place}",
                f"The number '{number.text}' is named twice as {number.kind}.",
                "Name it once.",
                "duplicate-item",
            )
        told.add((number.kind, number.text))


def _check_kit_holds_no_circle(session: Session, part: Part) -> None:
    """Check that no kit within the kit holds the kit itself; kits that were made earlier may.

    One kit at a time: several that name each other at one moment would each see no circle.
    """
    if session.connection().dialect.name == "postgresql":
        session.execute(select(func.pg_advisory_xact_lock(_KITS_LOCK)))
    inside, seen = {line.part_id for line in part.kit_lines}, set[str]()
    for _ in range(DEEPEST):
        seen |= inside
        if len(seen) > MOST_IN_A_KIT:
            raise InvalidInput(
                "/kit_lines",
                f"With the kits within it the kit holds more than {MOST_IN_A_KIT} different parts.",
                "Name the parts themselves instead of kits that hold many.",
                "too-many",
            )
        lines = tables.kit_lines
        found = session.execute(select(lines.c.part_id).where(lines.c.kit_id.in_(sorted(inside))))
        inside = {row.part_id for row in found}
        if part.id in inside:
            raise InvalidInput(
                "/kit_lines",
                "A kit within the kit holds the kit itself.",
                "Leave the kit out of the lines of what it holds.",
                "cycle",
            )
        inside -= seen
        if not inside:
            return
    raise InvalidInput(
        "/kit_lines",
        f"Kits lie within kits more than {DEEPEST} levels deep.",
        "Name the parts themselves instead of kits that hold kits.",
        "too-deep",
    )


def _check_part_change(session: Session, principal: Principal, before: Part, after: Part) -> None:
    """Keep what makes a part stand for others, once other shops plan with it.

    With another designation, or other contents, their plans would offer what does not fit.
    """
    same = (before.generic_designation, before.kit_lines)
    if same == (after.generic_designation, after.kit_lines):
        return
    for table, owner in ((positions, "author_shop_id"), (offers, "shop_id")):
        others = select(table.c.id).where(
            table.c.part_id == after.id, table.c[owner] != principal.shop_id
        )
        if session.execute(others.limit(1)).first() is not None:
            raise Conflict(
                "in-use",
                f"The part {after.id} is planned with by other shops: its designation and what it"
                " holds stay.",
                "Record the right one as a part of its own, and claim the interchange.",
                used_by=[],
            )


def _check_claim(session: Session, principal: Principal, claim: InterchangeClaim) -> None:
    known(session, principal, tables.parts, claim.part_id, "/part_id", "part")
    if claim.stand_in_part_id == claim.part_id:
        raise InvalidInput(
            "/stand_in_part_id",
            "The claim says that a part stands in for itself.",
            "Name the other part that may take its place.",
            "cycle",
        )
    known(session, principal, tables.parts, claim.stand_in_part_id, "/stand_in_part_id", "part")
    if claim.assembly_id is not None:
        known(session, principal, assemblies, claim.assembly_id, "/assembly_id", "assembly")
    if claim.position_id is not None:
        _check_claim_position(session, principal, claim.position_id, claim.assembly_id)
    _check_range(claim)
    if claim.says is ClaimSays.DOES_NOT_FIT:
        _check_says_no(claim)
    own = (claim.part_id, claim.stand_in_part_id)
    _check_lines(session, principal, claim.companion_lines, "/companion_lines", own)
    check_currency(session, principal, claim)


def _check_range(record: InterchangeClaim | Supersession) -> None:
    """Check that a first serial number and day do not lie after the last; raises InvalidInput."""
    if is_contradictory(record.serial_from, record.serial_to):
        raise _reversed("serial_to", record.serial_to, record.serial_from)
    first, last = record.built_from_on, record.built_to_on
    if first is not None and last is not None and last < first:
        raise _reversed("built_to_on", last, first)


def _reversed(name: str, last: str | date | None, first: str | date | None) -> InvalidInput:
    return InvalidInput(
        f"/{name}",
        f"{name} is {last}, which lies before the first, {first}.",
        "Exchange the two ends, or mend the wrong one.",
        "range-reversed",
    )


def _check_says_no(claim: InterchangeClaim) -> None:
    """Check that a claim of what does not fit tells of no work and no parts with which it would."""
    told = {
        "rework_note": claim.rework_note is not None,
        "rework_p50_hours": claim.rework_p50_hours > 0,
        "rework_p90_hours": claim.rework_p90_hours > 0,
        "rework_cost": claim.rework_cost is not None,
        "companion_lines": bool(claim.companion_lines),
    }
    for name, is_there in told.items():
        if is_there:
            raise InvalidInput(
                f"/{name}",
                f"The claim says that the part does not fit, and gives {name}.",
                "Leave it out; if the part fits with it, let the claim say 'fits'.",
                "claim-says-no",
            )


def _check_claim_position(
    session: Session, principal: Principal, position_id: str, assembly_id: str | None
) -> None:
    if assembly_id is None:
        known(session, principal, positions, position_id, "/position_id", "position")
    else:
        position_of(session, principal, position_id, assembly_id, "/position_id")


def _check_supersession(session: Session, principal: Principal, one: Supersession) -> None:
    known(session, principal, tables.parts, one.earlier_part_id, "/earlier_part_id", "part")
    own = (one.earlier_part_id,)
    _check_lines(session, principal, one.later_lines, "/later_lines", own)
    _check_lines(session, principal, one.companion_lines, "/companion_lines", own)
    _check_range(one)
    later = {line.part_id for line in one.later_lines}
    for place, line in enumerate(one.companion_lines):
        if line.part_id in later:
            raise InvalidInput(
                f"/companion_lines/{place}/part_id",
                f"The part '{line.part_id}' is a later one, and is to be changed along with it.",
                "Name it once: as later part, or as what changes with it.",
                "duplicate-item",
            )
    if one.may_go_back and not one.later_lines:
        raise InvalidInput(
            "/may_go_back",
            "There is no later part for which the earlier one could serve.",
            "Name the later part, or set may_go_back to false.",
            "later-missing",
        )
    if one.assembly_id is not None:
        known(session, principal, assemblies, one.assembly_id, "/assembly_id", "assembly")


def _check_lines(
    session: Session,
    principal: Principal,
    lines: tuple[PartLine, ...],
    pointer: str,
    own: tuple[str, ...],
) -> None:
    """Check that lines name known parts once each, none of them one that the record speaks of."""
    check_distinct((line.part_id for line in lines), pointer, "part")
    for place, line in enumerate(lines):
        at = f"{pointer}/{place}/part_id"
        if line.part_id in own:
            raise InvalidInput(
                at,
                f"The record speaks of the part '{line.part_id}' itself.",
                "Leave the part out of the lines.",
                "cycle",
            )
        known(session, principal, tables.parts, line.part_id, at, "part")


def _check_number_rule(session: Session, principal: Principal, rule: NumberRule) -> None:
    check_rule(rule)


PARTS: Final = Mapped(
    Part,
    "part",
    tables.parts,
    filters=("maker", "number", "kind", "generic_designation"),
    children=(
        Children("kit_lines", tables.kit_lines, "kit_id"),
        Children("other_numbers", tables.part_other_numbers, "part_id", keys=other_number_keys),
    ),
    keys=_keys,
    unique=(("identity_key",),),
    check=_check_part,
    check_change=_check_part_change,
)
CLAIMS: Final = Mapped(
    InterchangeClaim,
    "interchange-claim",
    tables.interchange_claims,
    filters=("part_id", "stand_in_part_id", "assembly_id", "position_id"),
    children=(
        Children(
            "companion_lines",
            tables.claim_companion_lines,
            "claim_id",
            keys=lambda _, row: {
                "called_for_id": row["part_id"],
                "stand_in_id": row["stand_in_part_id"],
            },
        ),
        Children("to_check", tables.claim_checks, "claim_id", column="text"),
        Children("differences", tables.claim_differences, "claim_id"),
    ),
    check=_check_claim,
    fixed={
        "part_id": "Record another claim and retire this one.",
        "stand_in_part_id": "Record another claim and retire this one.",
    },
)
SUPERSESSIONS: Final = Mapped(
    Supersession,
    "supersession",
    tables.supersessions,
    filters=("earlier_part_id", "evidence_kind", "assembly_id"),
    children=tuple(
        Children(field, table, "supersession_id", shared=("earlier_part_id",))
        for field, table in (
            ("later_lines", tables.supersession_later_lines),
            ("companion_lines", tables.supersession_companion_lines),
        )
    ),
    ranges=("effective_on",),
    check=_check_supersession,
    fixed={"earlier_part_id": "Record another supersession and retire this one."},
)
NUMBER_RULES: Final = Mapped(
    NumberRule,
    "number-rule",
    tables.number_rules,
    filters=("maker",),
    keys=rule_keys,
    unique=(("maker_key",),),
    check=_check_number_rule,
    fixed={"maker": "Record a rule for the other maker, and retire this one."},
)
MAPPED: Final[tuple[Mapped[Any], ...]] = (PARTS, CLAIMS, SUPERSESSIONS, NUMBER_RULES)
