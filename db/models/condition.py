"""Units, gauges, and what was found with them. Findings are only ever added."""

from typing import Final

from sqlalchemy import Boolean, Column, Date, ForeignKey, Index, Integer, Table, UniqueConstraint

from db.models.base import (
    LONG,
    SHORT,
    Items,
    decimal,
    flat,
    ident_column,
    metadata,
    money,
    not_above,
    private,
    quantity,
    ratio,
    reference,
    spread,
    text,
    together,
    truth,
    word,
)
from db.types import UtcDateTime, ident
from shared.assemblies.model import Grade, InspectionMethod
from shared.assemblies.traits import Hand
from shared.condition.model import ShimEffect, ShimStage, UnitKind
from shared.evidence import FailureMechanism, ReasonRetired

units = private(
    "units",
    reference("assembly_id", "assemblies"),
    word("kind", UnitKind),
    text("serial_number", optional=True),
    decimal("lower_hours", optional=True),
    decimal("upper_hours", optional=True),
    text("variant", optional=True),
    text("provenance", LONG, optional=True),
    word("reason_retired", ReasonRetired, optional=True),
    Column("released_on", Date),
    Column("donor_is_owned", Boolean),
    money("donor_price", optional=True, pointer="/donor/price"),
    money("donor_undisturbed_worth", optional=True, pointer="/donor/undisturbed_worth"),
    money("donor_remainder_worth", optional=True, pointer="/donor/remainder_worth"),
    spread("strip_p50_hours", "strip_p90_hours", prefix="donor_", pointer="/donor"),
    spread("p50_days", "p90_days", prefix="donor_", pointer="/donor"),
    not_above("lower_hours", "upper_hours", "/upper_hours"),
    truth(
        "donor_is_released",
        "kind <> 'donor' OR released_on IS NOT NULL",
        "/released_on",
        "A donor has no date on which it was bought or released in writing.",
        "Give released_on; until there is one the unit is no donor.",
    ),
    truth(
        "customer_has_no_donor_terms",
        "kind <> 'customer' OR donor_is_owned IS NULL",
        "/donor",
        "A customer's unit has donor terms.",
        "Leave donor out, or record the unit as a donor once it is bought or released in writing.",
    ),
    truth(
        "donor_to_buy_has_price",
        "donor_is_owned OR donor_price_minor IS NOT NULL",
        "/donor/price",
        "The donor is not the shop's own and has no price.",
        "Give price (zero if it is free), or set is_owned to true.",
    ),
    # The serial number in the one form in which equal serial numbers are equal.
    text("serial_key", 5 * SHORT, optional=True),
    money("donor_freight", optional=True, pointer="/donor/freight"),
    # One serial number on one design is one unit; unknown serial numbers never meet.
    UniqueConstraint("shop_id", "assembly_id", "serial_number"),
    Index(None, "shop_id", "assembly_id", "serial_key", unique=True),
    Index(None, "shop_id", "kind", "id"),
    Index(None, "shop_id", "assembly_id", "id"),
    Index(None, "shop_id", "serial_number", "id"),
    Index(None, "shop_id", "lower_hours", "id"),
    Index(None, "shop_id", "upper_hours", "id"),
    Column("built_on", Date),
    word("hand", Hand, optional=True),
    ratio("ratio"),
    text("generation", optional=True),
    Index(None, "shop_id", "hand", "id"),
    Index(None, "shop_id", "generation", "id"),
    Index(None, "shop_id", "reason_retired", "id"),
)

unit_part_worths = Table(
    "unit_part_worths",
    metadata,
    *flat(
        (
            Column("unit_id", ident(), ForeignKey("units.id"), primary_key=True),
            Column("place", Integer, primary_key=True, autoincrement=False),
            reference("position_id", "positions"),
            money("worth", pointer="/donor/part_worths"),
            UniqueConstraint("unit_id", "position_id"),
            Index(None, "position_id", "unit_id"),
        )
    ),
)


def _uncertainty(name: str) -> Items:
    """Make the columns of an uncertainty, which is more than zero."""
    return [
        *quantity(name),
        truth(
            f"{name}_above_zero",
            f"{name}_canonical > 0",
            f"/{name}/value",
            f"{name} is not more than zero.",
            "Give more than zero, or leave it out where it is not known.",
        ),
    ]


_SAYINGS: Final = (
    "measured_value IS NOT NULL",
    "reading_count > 0",
    "at_least_value IS NOT NULL OR at_most_value IS NOT NULL",
    "grade IS NOT NULL",
)
"""What a finding says, in exactly one way."""

gauges = private(
    "gauges",
    text("name"),
    text("kind", optional=True),
    text("serial_number", optional=True),
    _uncertainty("standard_uncertainty"),
    _uncertainty("common_uncertainty"),
    text("master", optional=True),
    Column("calibrated_on", Date),
    Column("calibration_months", Integer),
    text("note", LONG, optional=True),
    quantity("reads_from"),
    quantity("reads_up_to"),
    truth(
        "reads_from_within",
        "reads_from_canonical <= reads_up_to_canonical",
        "/reads_up_to/value",
        "reads_up_to is below reads_from.",
        "Exchange the two or mend the slip.",
    ),
    # The name in the one form in which equal names are equal.
    text("name_key", 5 * SHORT),
    UniqueConstraint("shop_id", "name_key"),
    truth(
        "common_within_standard",
        "common_uncertainty_canonical <= standard_uncertainty_canonical",
        "/common_uncertainty/value",
        "common_uncertainty is above standard_uncertainty, of which it is a part.",
        "Give a common_uncertainty of standard_uncertainty at most.",
    ),
    truth(
        "calibration_from_one_month",
        "calibration_months >= 1",
        "/calibration_months",
        "calibration_months is less than 1.",
        "Give after how many months the gauge is calibrated again, or leave it out.",
    ),
    Index(None, "shop_id", "kind", "id"),
)

findings = private(
    "findings",
    ident_column("unit_id"),
    ident_column("position_id"),
    ident_column("characteristic_id"),
    text("found_by"),
    Column("found_at", UtcDateTime, nullable=False),
    word("method", InspectionMethod),
    quantity("measured"),
    word("grade", Grade, optional=True),
    text("gauge", optional=True),
    quantity("part_temperature"),
    Column("is_cleaned", Boolean),
    text("location", optional=True),
    Column("piece", Integer),
    text("note", LONG, optional=True),
    ident_column("supersedes_id", optional=True),
    together("units", shop_id="shop_id", unit_id="id"),
    together("characteristics", position_id="position_id", characteristic_id="id"),
    # A correction speaks of the same characteristic of the same unit, and only once.
    UniqueConstraint("unit_id", "characteristic_id", "id"),
    together(
        "findings", unit_id="unit_id", characteristic_id="characteristic_id", supersedes_id="id"
    ),
    UniqueConstraint("supersedes_id"),
    truth(
        "says_one_thing",
        " + ".join(f"CASE WHEN {one} THEN 1 ELSE 0 END" for one in _SAYINGS) + " = 1",
        "/measured",
        "The finding has none of measured, readings, an interval and a grade, or several.",
        "Give measured, readings, or at_least and at_most for a dimension, grade for what is seen.",
    ),
    truth(
        "supersedes_another",
        "supersedes_id <> id",
        "/supersedes_id",
        "The finding supersedes itself.",
        "Name the earlier finding, or none.",
    ),
    truth(
        "piece_from_one",
        "piece >= 1",
        "/piece",
        "piece is less than 1.",
        "Count the pieces of a position from 1.",
    ),
    Index(None, "shop_id", "unit_id", "id"),
    Index(None, "shop_id", "position_id", "id"),
    Index(None, "shop_id", "characteristic_id", "id"),
    Index(None, "shop_id", "found_at", "id"),
    # How many readings lie in their own table: what a finding says is said in one way.
    Column("reading_count", Integer, nullable=False),
    quantity("at_least"),
    quantity("at_most"),
    ident_column("gauge_id", optional=True),
    Column("gauge_calibrated_on", Date),
    decimal("unit_hours", optional=True),
    word("mechanism", FailureMechanism, optional=True),
    text("client_id", optional=True),
    together("gauges", shop_id="shop_id", gauge_id="id"),
    # The caller's own word: what was sent twice is stored once.
    UniqueConstraint("shop_id", "client_id"),
    not_above("at_least_canonical", "at_most_canonical", "/at_most"),
    truth(
        "reading_count_not_negative",
        "reading_count >= 0",
        "/readings",
        "The finding has less than no readings.",
        "Give the readings, or none.",
    ),
    Index(None, "shop_id", "gauge_id", "id"),
    Index(None, "shop_id", "mechanism", "id"),
)

finding_readings = Table(
    "finding_readings",
    metadata,
    *flat(
        (
            Column("finding_id", ident(), ForeignKey("findings.id"), primary_key=True),
            Column("place", Integer, primary_key=True, autoincrement=False),
            quantity("size", optional=False, pointer="/readings"),
            text("plane", optional=True),
            text("direction", optional=True),
        )
    ),
)

shim_packs = private(
    "shim_packs",
    ident_column("unit_id"),
    text("place"),
    text("sets"),
    word("effect", ShimEffect),
    word("stage", ShimStage),
    text("recorded_by"),
    Column("recorded_on", Date, nullable=False),
    reference("position_id", "positions", optional=True),
    ident_column("job_id", optional=True),
    text("note", LONG, optional=True),
    reference("shim_place_id", "shim_places", optional=True),
    together("units", shop_id="shop_id", unit_id="id"),
    together("jobs", shop_id="shop_id", job_id="id"),
    truth(
        "fitted_in_a_job",
        "stage <> 'as-fitted' OR job_id IS NOT NULL",
        "/job_id",
        "The pack was fitted, and the job is not given.",
        "Give job_id: the job in which it was fitted.",
    ),
    Index(None, "shop_id", "unit_id", "id"),
    Index(None, "shop_id", "stage", "id"),
    Index(None, "shop_id", "position_id", "id"),
    Index(None, "shop_id", "job_id", "id"),
    Index(None, "shop_id", "recorded_on", "id"),
    Index(None, "shop_id", "shim_place_id", "id"),
)

shim_pack_shims = Table(
    "shim_pack_shims",
    metadata,
    *flat(
        (
            Column("shim_pack_id", ident(), ForeignKey("shim_packs.id"), primary_key=True),
            Column("place", Integer, primary_key=True, autoincrement=False),
            quantity("thickness", optional=False),
            Column("quantity", Integer, nullable=False),
            Column("is_broken", Boolean, nullable=False),
            truth(
                "thickness_above_zero",
                "thickness_canonical > 0",
                "/shims",
                "A shim's thickness is not more than zero.",
                "Give the thickness of one shim.",
            ),
            truth(
                "quantity_at_least_one",
                "quantity >= 1",
                "/shims",
                "A shim's quantity is less than 1.",
                "Give how many of this thickness, 1 or more.",
            ),
        )
    ),
)
