"""Claims that something does not fit, as a look-up of newest numbers needs them."""

from collections.abc import Collection
from typing import Final

from sqlalchemy import select
from sqlalchemy.orm import Session

from db.models.interchange import interchange_claims
from db.queries.interchange import CLAIMS
from db.queries.mapping import in_steps, load
from shared.interchange.model import ClaimSays, InterchangeClaim

MOST_CLAIMS: Final = 500
"""Claims against some hundreds of parts that are read: other shops may record any number."""


def claims_against(
    session: Session, part_id: str, others: Collection[str]
) -> tuple[InterchangeClaim, ...]:
    """Return the claims that some other parts do not fit where a part is called for."""
    table = interchange_claims
    return tuple(
        stored.record
        for some in in_steps(sorted(others))
        for stored in load(
            session,
            CLAIMS,
            select(table)
            .where(
                table.c.part_id == part_id,
                table.c.says == ClaimSays.DOES_NOT_FIT.value,
                table.c.stand_in_part_id.in_(some),
            )
            .order_by(table.c.id)
            .limit(MOST_CLAIMS),
        )
    )
