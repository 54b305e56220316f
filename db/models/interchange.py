"""Parts and their numbers, what kits hold, and claims that one part may take another's place."""

from sqlalchemy import (
    Boolean,
    Column,
    Date,
    ForeignKey,
    Index,
    Integer,
    Table,
    UniqueConstraint,
)

from db.models.base import (
    LONG,
    SHORT,
    Items,
    catalogue,
    flat,
    ident_column,
    metadata,
    money,
    not_above,
    ratio,
    reference,
    spread,
    text,
    together,
    truth,
    word,
)
from db.types import ident, search_key
from shared.assemblies.traits import Hand
from shared.evidence import EvidenceKind
from shared.interchange.model import ClaimSays, DutyAspect, NumberKind, Sameness

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
    # The number without separators and in one case; the same with look-alike letters as figures.
    Column("number_key", search_key(), nullable=False),
    Column("folded_key", search_key(), nullable=False),
    Column("maker_key", search_key(), nullable=False),
    Index(None, "number_key", "id"),
    Index(None, "folded_key", "id"),
    Index(None, "maker_key", "number_key", "id"),
)

part_other_numbers = Table(
    "part_other_numbers",
    metadata,
    *flat(
        (
            Column("part_id", ident(), ForeignKey("parts.id"), primary_key=True),
            Column("place", Integer, primary_key=True, autoincrement=False),
            word("kind", NumberKind, pointer="/other_numbers"),
            text("text"),
            text("source", optional=True),
            Column("number_key", search_key(), nullable=False),
            Column("folded_key", search_key(), nullable=False),
            # The form of a book position, whose separators carry meaning.
            Column("reference_key", search_key()),
            truth(
                "kind_is_another",
                "kind <> 'maker'",
                "/other_numbers",
                "Another number is of the kind 'maker'.",
                "Give the maker's number as number; record another maker's number as a part.",
            ),
            Index(None, "number_key", "part_id"),
            Index(None, "folded_key", "part_id"),
            Index(None, "reference_key", "part_id"),
        )
    ),
)

number_rules = catalogue(
    "number_rules",
    text("maker"),
    text("source", LONG),
    Column("base_length", Integer),
    text("default_suffix", optional=True),
    Column("last_letter_is_optional", Boolean, nullable=False),
    text("kept_separators", optional=True),
    text("note", LONG, optional=True),
    Column("maker_key", search_key(), nullable=False),
    truth(
        "base_length_at_least_one",
        "base_length >= 1",
        "/base_length",
        "base_length is less than 1.",
        "Give how many letters and figures such a number has.",
    ),
    truth(
        "suffix_and_length_together",
        "(base_length IS NULL) = (default_suffix IS NULL)",
        "/default_suffix",
        "Of base_length and default_suffix one is there and the other is not.",
        "Give both, or neither.",
    ),
    # What a maker's numbers mean is one thing, whoever records it.
    UniqueConstraint("maker_key"),
    Index(None, "maker", "id"),
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


def _built_range() -> Items:
    """Make the columns of the days on which a unit must have been built, both inclusive."""
    return [
        Column("built_from_on", Date),
        Column("built_to_on", Date),
        not_above("built_from_on", "built_to_on", "/built_to_on"),
    ]


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
    word("says", ClaimSays),
    *_built_range(),
    word("hand", Hand, optional=True),
    ratio("ratio"),
    text("generation", optional=True),
    Column("part_quantity", Integer, nullable=False),
    Column("stand_in_quantity", Integer, nullable=False),
    word("form", Sameness),
    word("fit", Sameness),
    word("function", Sameness),
    Column("stated_on", Date),
    truth(
        "quantities_at_least_one",
        "part_quantity >= 1 AND stand_in_quantity >= 1",
        "/part_quantity",
        "part_quantity or stand_in_quantity is less than 1.",
        "Give whole pieces, 1 or more of each.",
    ),
    UniqueConstraint("id", "part_id", "stand_in_part_id"),
    # Of one part anybody may claim any number: those that deny are read first.
    Index(None, "part_id", "says", "id"),
)

claim_companion_lines = Table(
    "claim_companion_lines",
    metadata,
    *flat(
        (
            Column("claim_id", ident(), primary_key=True),
            Column("place", Integer, primary_key=True, autoincrement=False),
            # The claim's own parts again, so that the database can hold the truth.
            ident_column("called_for_id"),
            ident_column("stand_in_id"),
            reference("part_id", "parts"),
            Column("quantity", Integer, nullable=False),
            together(
                "interchange_claims",
                claim_id="id",
                called_for_id="part_id",
                stand_in_id="stand_in_part_id",
            ),
            UniqueConstraint("claim_id", "part_id"),
            Index(None, "part_id", "claim_id"),
            truth(
                "part_is_another",
                "part_id <> called_for_id AND part_id <> stand_in_id",
                "/companion_lines",
                "A companion is one of the two parts that the claim speaks of.",
                "Leave the part called for and the stand-in out of the companions.",
            ),
            truth(
                "quantity_at_least_one",
                "quantity >= 1",
                "/companion_lines",
                "A companion's quantity is less than 1.",
                "Give how many go in with one stand-in, 1 or more.",
            ),
        )
    ),
)

claim_checks = Table(
    "claim_checks",
    metadata,
    Column("claim_id", ident(), ForeignKey("interchange_claims.id"), primary_key=True),
    Column("place", Integer, primary_key=True, autoincrement=False),
    text("text", LONG),
)

claim_differences = Table(
    "claim_differences",
    metadata,
    *flat(
        (
            Column("claim_id", ident(), ForeignKey("interchange_claims.id"), primary_key=True),
            Column("place", Integer, primary_key=True, autoincrement=False),
            word("aspect", DutyAspect, pointer="/differences"),
            text("difference", LONG),
            text("effect", LONG),
        )
    ),
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
    *_built_range(),
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
                Index(None, "earlier_part_id", "supersession_id"),
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
