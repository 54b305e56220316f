"""Parts, kits and interchange claims: mapping and checks."""

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
from db.queries.references import DEEPEST, check_distinct, known, position_of
from db.types import fitting_key
from shared.errors import Conflict, InvalidInput
from shared.interchange.equals import equivalence_key
from shared.interchange.model import InterchangeClaim, Part, Supersession, PartLine

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
    check_currency(session, principal, claim)


def _check_claim_position(
    session: Session, principal: Principal, position_id: str, assembly_id: str | None
) -> None:
    if assembly_id is None:
        known(session, principal, positions, position_id, "/position_id", "position")
    else:
        position_of(session, principal, position_id, assembly_id, "/position_id")


def _check_supersession(session: Session, principal: Principal, one: Supersession) -> None:
    known(session, principal, tables.parts, one.earlier_part_id, "/earlier_part_id", "part")
    _check_lines(session, principal, one, one.later_lines, "/later_lines")
    _check_lines(session, principal, one, one.companion_lines, "/companion_lines")
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
    one: Supersession,
    lines: tuple[PartLine, ...],
    pointer: str,
) -> None:
    check_distinct((line.part_id for line in lines), pointer, "part")
    for place, line in enumerate(lines):
        at = f"{pointer}/{place}/part_id"
        if line.part_id == one.earlier_part_id:
            raise InvalidInput(
                at,
                "The part is its own successor, or changes with itself.",
                "Leave the earlier part out of the lines.",
                "cycle",
            )
        known(session, principal, tables.parts, line.part_id, at, "part")


PARTS: Final = Mapped(
    Part,
    "part",
    tables.parts,
    filters=("maker", "number", "kind", "generic_designation"),
    children=(Children("kit_lines", tables.kit_lines, "kit_id"),),
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
MAPPED: Final[tuple[Mapped[Any], ...]] = (PARTS, CLAIMS, SUPERSESSIONS)
