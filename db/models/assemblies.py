"""What assemblies are made of. Parts of one assembly point at each other within it only."""

from typing import Final

from sqlalchemy import Boolean, Column, ForeignKey, Index, Integer, Table, UniqueConstraint

from db.models.base import (
    LONG,
    SHORT,
    Items,
    catalogue,
    flat,
    ident_column,
    metadata,
    not_above,
    quantity,
    reference,
    spread,
    text,
    together,
    truth,
    word,
)
from db.types import ScaledDecimal, ident, search_key
from shared.assemblies.model import (
    DerivationKind,
    Grade,
    HoursBasis,
    InspectionMethod,
    MakerSupply,
    OperationKind,
    ReadingsCount,
    RenewalRule,
    RollingKind,
    Ruling,
    ServiceLimitKind,
    SetKind,
)
from shared.evidence import CautionKind


def _cautions(name: str, owner: str, target: str) -> Table:
    """Make the table of the cautions of one kind of record, in the order given."""
    return Table(
        name,
        metadata,
        Column(owner, ident(), ForeignKey(f"{target}.id"), primary_key=True),
        Column("place", Integer, primary_key=True, autoincrement=False),
        *word("kind", CautionKind),
        text("text", LONG),
    )


def _in_assembly() -> Items:
    """Make the columns of a record that lies in an assembly and can be pointed at within it."""
    return [reference("assembly_id", "assemblies"), UniqueConstraint("assembly_id", "id")]


assemblies = catalogue(
    "assemblies",
    text("maker"),
    text("model"),
    text("kind"),
    text("serial_from", optional=True),
    text("serial_to", optional=True),
    reference("part_id", "parts", optional=True),
    text("notes", LONG, optional=True),
    text("identity_key", 5 * SHORT),
    # Another shop may keep its own book of the same design: only an author changes a record.
    UniqueConstraint("author_shop_id", "identity_key"),
    Index(None, "maker", "id"),
    Index(None, "model", "id"),
    Index(None, "kind", "id"),
    Index(None, "part_id", "id"),
)

assembly_cautions = _cautions("assembly_cautions", "assembly_id", "assemblies")

access_groups = catalogue(
    "access_groups",
    _in_assembly(),
    text("name"),
    ident_column("outer_group_id", optional=True),
    together("access_groups", assembly_id="assembly_id", outer_group_id="id"),
    truth(
        "outer_is_another",
        "outer_group_id <> id",
        "/outer_group_id",
        "The group is its own outer group.",
        "Name the group that must be open first, or none.",
    ),
    Index(None, "outer_group_id", "id"),
)

positions = catalogue(
    "positions",
    _in_assembly(),
    text("name"),
    ident_column("parent_id", optional=True),
    text("reference", optional=True),
    Column("quantity", Integer, nullable=False),
    reference("part_id", "parts", optional=True),
    word("maker_supply", MakerSupply),
    text("maker_supply_source", LONG, optional=True),
    word("renewal_rule", RenewalRule),
    ident_column("access_group_id", optional=True),
    Column("is_safety_critical", Boolean, nullable=False),
    Column("is_variant_bound", Boolean, nullable=False),
    together("positions", assembly_id="assembly_id", parent_id="id"),
    together("access_groups", assembly_id="assembly_id", access_group_id="id"),
    truth(
        "parent_is_another",
        "parent_id <> id",
        "/parent_id",
        "The position is its own parent.",
        "Name the position that holds it, or none.",
    ),
    truth(
        "quantity_at_least_one",
        "quantity >= 1",
        "/quantity",
        "quantity is less than 1.",
        "Give how many sit there, 1 or more.",
    ),
    Index(None, "parent_id", "id"),
    Index(None, "part_id", "id"),
    Index(None, "access_group_id", "id"),
    # The reference in the form in which equal book positions are equal.
    Column("reference_key", search_key()),
    Index(None, "reference_key", "id"),
    word("duty_rolling", RollingKind, optional=True, pointer="/duty/rolling"),
    *(
        item
        for name in ("dynamic_rating", "equivalent_load", "speed")
        for item in (
            quantity(f"duty_{name}", pointer=f"/duty/{name}"),
            truth(
                f"duty_{name}_above_zero",
                f"duty_{name}_canonical > 0",
                f"/duty/{name}",
                f"{name} is not more than zero.",
                "Give more than 0.",
            ),
        )
    ),
    text("duty_basis", LONG, optional=True),
    truth(
        "duty_is_whole",
        " AND ".join(
            f"(duty_rolling IS NULL) = (duty_{name} IS NULL)"
            for name in ("dynamic_rating_value", "equivalent_load_value", "speed_value", "basis")
        ),
        "/duty",
        "The duty lacks what rolls, the rating, the load, the speed or its basis.",
        "Give rolling, dynamic_rating, equivalent_load, speed and basis.",
    ),
)

position_cautions = _cautions("position_cautions", "position_id", "positions")

# Append-only: the n-th ruling of a position has version n; the newest that applies is in force.
serviceability_rulings = catalogue(
    "serviceability_rulings",
    reference("position_id", "positions"),
    word("ruling", Ruling),
    text("reason", LONG, optional=True),
    text("evidence", LONG, optional=True),
    text("serial_from", optional=True),
    text("serial_to", optional=True),
    text("ruled_by", optional=True),
    UniqueConstraint("position_id", "version"),
    truth(
        "replacement_has_reason",
        "ruling <> 'replace-as-assembly' OR reason IS NOT NULL",
        "/reason",
        "A ruling replace-as-assembly has no reason.",
        "Say why: matched and set with a rig, stored energy, sealed by the maker.",
    ),
    Index(None, "position_id", "id"),
)

position_sets = catalogue(
    "position_sets",
    _in_assembly(),
    word("kind", SetKind),
    text("name"),
    UniqueConstraint("id", "assembly_id", "kind"),
    Index(None, "kind", "id"),
)

position_set_members = Table(
    "position_set_members",
    metadata,
    *flat(
        (
            Column("position_set_id", ident(), primary_key=True),
            Column("place", Integer, primary_key=True, autoincrement=False),
            ident_column("position_id"),
            # The set's own assembly and kind again, so that the database can hold the two truths.
            ident_column("assembly_id"),
            word("kind", SetKind),
            together("position_sets", position_set_id="id", assembly_id="assembly_id", kind="kind"),
            together("positions", assembly_id="assembly_id", position_id="id"),
            UniqueConstraint("position_set_id", "position_id"),
        )
    ),
)
Index(
    "uq_position_set_members_matched_once",
    position_set_members.c.position_id,
    unique=True,
    sqlite_where=position_set_members.c.kind == "matched",
    postgresql_where=position_set_members.c.kind == "matched",
)

labour_operations = catalogue(
    "labour_operations",
    reference("assembly_id", "assemblies"),
    word("kind", OperationKind),
    text("name"),
    spread("p50_hours", "p90_hours"),
    word("basis", HoursBasis),
    ident_column("position_id", optional=True),
    ident_column("access_group_id", optional=True),
    together("positions", assembly_id="assembly_id", position_id="id"),
    together("access_groups", assembly_id="assembly_id", access_group_id="id"),
    truth(
        "inspects_a_position",
        "kind <> 'inspect' OR position_id IS NOT NULL",
        "/position_id",
        "An inspection names no position.",
        "Give the position whose verdict it settles.",
    ),
    Index(None, "assembly_id", "id"),
    Index(None, "kind", "id"),
    Index(None, "position_id", "id"),
    Index(None, "access_group_id", "id"),
)

characteristics = catalogue(
    "characteristics",
    reference("position_id", "positions"),
    text("name"),
    quantity("new_lower"),
    quantity("new_upper"),
    quantity("service_lower"),
    quantity("service_upper"),
    word("worst_acceptable_grade", Grade, optional=True),
    word("settling_method", InspectionMethod, optional=True),
    Column("is_crack", Boolean, nullable=False),
    text("limits_source", LONG, optional=True),
    not_above("new_lower_canonical", "new_upper_canonical", "/new_upper"),
    not_above("service_lower_canonical", "service_upper_canonical", "/service_upper"),
    UniqueConstraint("position_id", "id"),
    text("unit", 16, optional=True),
    text("gauge_kind", optional=True),
    text("how", LONG, optional=True),
    word("counted_by", ReadingsCount, optional=True),
    Column("minimum_readings", Integer, nullable=False),
    word("service_limit_is", ServiceLimitKind, optional=True),
    word("derivation_kind", DerivationKind, optional=True, pointer="/derivation/kind"),
    quantity("derivation_offset", pointer="/derivation/offset"),
    truth(
        "minimum_readings_from_one",
        "minimum_readings >= 1",
        "/minimum_readings",
        "minimum_readings is less than 1.",
        "Give how many readings a verdict needs, 1 or more.",
    ),
    truth(
        "offset_of_a_derivation",
        "derivation_offset_value IS NULL OR derivation_kind = 'sum'",
        "/derivation/offset",
        "There is an offset, and no sum to add it to.",
        "Leave the offset out, or make the derivation a sum.",
    ),
)

characteristic_terms = Table(
    "characteristic_terms",
    metadata,
    *flat(
        (
            Column("derived_id", ident(), ForeignKey("characteristics.id"), primary_key=True),
            Column("place", Integer, primary_key=True, autoincrement=False),
            reference("characteristic_id", "characteristics"),
            Column("factor", ScaledDecimal, nullable=False),
            Column("piece", Integer),
            truth(
                "term_is_another",
                "characteristic_id <> derived_id",
                "/derivation/terms",
                "The characteristic is derived from itself.",
                "Name the characteristics that are measured.",
            ),
            truth(
                "factor_not_zero",
                "factor <> 0",
                "/derivation/terms",
                "A factor is zero: the term adds nothing.",
                "Give 1 or -1, or another factor; or leave the term out.",
            ),
            truth(
                "piece_from_one",
                "piece >= 1",
                "/derivation/terms",
                "A piece is less than 1.",
                "Count the pieces of a position from 1.",
            ),
            Index(None, "characteristic_id", "derived_id"),
        )
    ),
)

CAUTION_BEARERS: Final = (
    "assembly_id",
    "position_id",
    "labour_operation_id",
    "part_id",
    "special_tool_id",
)
"""The columns of a caution of which exactly one says what it is about."""
_BEARERS_GIVEN: Final = " + ".join(
    f"CASE WHEN {column} IS NULL THEN 0 ELSE 1 END" for column in CAUTION_BEARERS
)

cautions = catalogue(
    "cautions",
    word("kind", CautionKind),
    text("text", LONG),
    text("source", LONG),
    reference("assembly_id", "assemblies", optional=True),
    reference("position_id", "positions", optional=True),
    reference("labour_operation_id", "labour_operations", optional=True),
    reference("part_id", "parts", optional=True),
    reference("special_tool_id", "special_tools", optional=True),
    truth(
        "bears_on_one_thing",
        f"{_BEARERS_GIVEN} = 1",
        "",
        "The caution is about nothing, or about several things.",
        f"Give exactly one of {', '.join(CAUTION_BEARERS)}.",
    ),
    Index(None, "kind", "id"),
    *(Index(None, column, "id") for column in CAUTION_BEARERS),
)
