"""Parts, what kits hold, and claims that one part may take another's place."""

from sqlalchemy import Boolean, Column, Date, ForeignKey, Index, Integer, Table, UniqueConstraint

from db.models.base import (
    LONG,
    SHORT,
    catalogue,
    flat,
    ident_column,
    metadata,
    money,
    reference,
    spread,
    text,
    together,
    truth,
    word,
)
from db.types import ident
from shared.evidence import EvidenceKind

parts = catalogue(
    "parts",
    text("maker"),
    text("number"),
    text("name"),
    text("kind"),
    text("generic_designation", optional=True),
    # The designation in the one form in which equal designations are equal.
    text("designation_key", 2 * SHORT, optional=True),
    text("identity_key", 5 * SHORT),
    UniqueConstraint("identity_key"),
    Index(None, "maker", "id"),
    Index(None, "number", "id"),
    Index(None, "kind", "id"),
    Index(None, "generic_designation", "id"),
    Index(None, "designation_key", "id"),
)

kit_lines = Table(
    "kit_lines",
    metadata,
    Column("kit_id", ident(), ForeignKey("parts.id"), primary_key=True),
    Column("place", Integer, primary_key=True, autoincrement=False),
    Column("part_id", ident(), ForeignKey("parts.id"), nullable=False),
    Column("quantity", Integer, nullable=False),
    UniqueConstraint("kit_id", "part_id"),
    Index(None, "part_id", "kit_id"),
    truth(
        "kit_is_another",
        "part_id <> kit_id",
        "/kit_lines",
        "The kit holds itself.",
        "Leave the kit's own number out of its lines.",
    ),
    truth(
        "quantity_at_least_one",
        "quantity >= 1",
        "/kit_lines",
        "A line's quantity is less than 1.",
        "Give how many the kit holds, 1 or more.",
    ),
)

interchange_claims = catalogue(
    "interchange_claims",
    reference("part_id", "parts"),
    reference("stand_in_part_id", "parts"),
    word("evidence_kind", EvidenceKind),
    text("evidence", LONG),
    reference("assembly_id", "assemblies", optional=True),
    reference("position_id", "positions", optional=True),
    text("serial_from", optional=True),
    text("serial_to", optional=True),
    text("rework_note", LONG, optional=True),
    spread("rework_p50_hours", "rework_p90_hours"),
    money("rework_cost", optional=True),
    truth(
        "stand_in_is_another",
        "stand_in_part_id <> part_id",
        "/stand_in_part_id",
        "The claim says that a part stands in for itself.",
        "Name the other part that may take its place.",
    ),
    Index(None, "part_id", "id"),
    Index(None, "stand_in_part_id", "id"),
    Index(None, "assembly_id", "id"),
    Index(None, "position_id", "id"),
)

supersessions = catalogue(
    "supersessions",
    reference("earlier_part_id", "parts"),
    word("evidence_kind", EvidenceKind),
    text("evidence", LONG),
    reference("assembly_id", "assemblies", optional=True),
    text("serial_from", optional=True),
    text("serial_to", optional=True),
    Column("effective_on", Date),
    Column("may_go_back", Boolean, nullable=False),
    text("note", LONG, optional=True),
    UniqueConstraint("id", "earlier_part_id"),
    Index(None, "earlier_part_id", "id"),
    Index(None, "evidence_kind", "id"),
    Index(None, "assembly_id", "id"),
    Index(None, "effective_on", "id"),
)


def _supersession_lines(name: str, field: str) -> Table:
    """Make the table of the lines of one kind; the earlier part itself stands in none."""
    return Table(
        name,
        metadata,
        *flat(
            (
                Column("supersession_id", ident(), primary_key=True),
                Column("place", Integer, primary_key=True, autoincrement=False),
                # The record's own part again, so that the database can hold the truth.
                ident_column("earlier_part_id"),
                reference("part_id", "parts"),
                Column("quantity", Integer, nullable=False),
                together("supersessions", supersession_id="id", earlier_part_id="earlier_part_id"),
                UniqueConstraint("supersession_id", "part_id"),
                Index(None, "part_id", "supersession_id"),
                truth(
                    "part_is_another",
                    "part_id <> earlier_part_id",
                    f"/{field}",
                    "The part is its own successor, or changes with itself.",
                    "Leave the earlier part out of the lines.",
                ),
                truth(
                    "quantity_at_least_one",
                    "quantity >= 1",
                    f"/{field}",
                    "A line's quantity is less than 1.",
                    "Give how many stand for one of the earlier part, 1 or more.",
                ),
            )
        ),
    )


supersession_later_lines = _supersession_lines("supersession_later_lines", "later_lines")
supersession_companion_lines = _supersession_lines(
    "supersession_companion_lines", "companion_lines"
)
