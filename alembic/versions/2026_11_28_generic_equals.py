"""Generic designations keyed by what they name: "6204-2RS" and "6204 2rs" and "6204", one group.

Before, the key was the text with case, spaces and hyphens evened out. The keys are worked out from
what is stored: nothing that was recorded is changed, so no record gets a new version.
"""

import re
import unicodedata
from collections.abc import Callable
from hashlib import sha256

import sqlalchemy as sa
from alembic import op

from shared.interchange.equals import equivalence_key

revision = "2026_11_28_generic_equals"
down_revision = "2026_11_25_sourcing"
branch_labels = None
depends_on = None

LONGEST = 400
STEP = 500


def upgrade() -> None:
    _key_again(equivalence_key)


def downgrade() -> None:
    _key_again(_earlier_key)


def _key_again(key_of: Callable[[str], str]) -> None:
    """Work out every key anew, some rows at a time."""
    bind, last = op.get_bind(), ""
    while True:
        found = bind.execute(
            sa.text(
                "SELECT id, generic_designation FROM parts"
                " WHERE generic_designation IS NOT NULL AND id > :last ORDER BY id LIMIT :step"
            ),
            {"last": last, "step": STEP},
        ).all()
        if not found:
            return
        bind.execute(
            sa.text("UPDATE parts SET designation_key = :key WHERE id = :id"),
            [{"id": row[0], "key": _fitting(key_of(row[1]))} for row in found],
        )
        last = found[-1][0]


def _earlier_key(designation: str) -> str:
    text = unicodedata.normalize("NFC", designation).upper().replace("×", "X").strip()
    text = re.sub(r"(?<=\d)\s*X\s*(?=\d)", "X", text)
    return re.sub(r"[\s\-\u2010\u2011\u2013]+", "-", text)


def _fitting(key: str) -> str:
    return key if len(key) <= LONGEST else f"sha256:{sha256(key.encode()).hexdigest()}"
