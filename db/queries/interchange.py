"""Parts, kits and interchange claims: mapping and checks."""

from typing import Any, Final

from sqlalchemy.orm import Session

from db.models import interchange as tables
from db.models.assemblies import assemblies, positions
from db.models.base import SHORT
from db.queries.access import Principal
from db.queries.assemblies import identity
from db.queries.currency import check_currency
from db.queries.mapping import Children, Mapped
from db.queries.references import check_distinct, known, position_of
from db.types import fitting_key
from shared.errors import InvalidInput
from shared.interchange.candidates import designation_key
from shared.interchange.model import InterchangeClaim, Part


def _keys(part: Part) -> dict[str, Any]:
    """Return the keys of a part: maker and number as one; its designation in its one form.

    Separators count in the number ("62/22" is not "6222"); in a designation as its reader says.
    """
    designation = part.generic_designation
    return {
        "identity_key": identity(part.maker, part.number),
        "designation_key": fitting_key(designation_key(designation), 2 * SHORT)
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


PARTS: Final = Mapped(
    Part,
    "part",
    tables.parts,
    filters=("maker", "number", "kind", "generic_designation"),
    children=(Children("kit_lines", tables.kit_lines, "kit_id"),),
    keys=_keys,
    unique=(("identity_key",),),
    check=_check_part,
)
CLAIMS: Final = Mapped(
    InterchangeClaim,
    "interchange-claim",
    tables.interchange_claims,
    filters=("part_id", "stand_in_part_id", "assembly_id", "position_id"),
    check=_check_claim,
)
MAPPED: Final[tuple[Mapped[Any], ...]] = (PARTS, CLAIMS)
