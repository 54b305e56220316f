"""Parts taken from donors, for whom they are held, and what was fitted where."""

from sqlalchemy import Column, Date, Index, Integer, Table, UniqueConstraint
from sqlalchemy import text as sql
from sqlalchemy.sql.elements import TextClause

from db.models.base import (
    LONG,
    SHORT,
    decimal,
    ident_column,
    metadata,
    money,
    not_above,
    private,
    reference,
    text,
    together,
    truth,
    word,
)
from db.types import UtcDateTime, ident
from shared.interchange.model import FitmentResult
from shared.salvage.model import ReservationState, SalvagedPartState

_PIECE_FROM_ONE = ("piece >= 1", "/piece", "piece is less than 1.", "Count the pieces from 1.")

salvaged_parts = private(
    "salvaged_parts",
    ident_column("donor_unit_id"),
    reference("position_id", "positions"),
    Column("piece", Integer, nullable=False),
    reference("part_id", "parts", optional=True),
    Column("removed_on", Date, nullable=False),
    text("removed_by"),
    decimal("lower_hours", optional=True),
    decimal("upper_hours", optional=True),
    text("variant", optional=True),
    word("state", SalvagedPartState),
    text("inspected_by", optional=True),
    Column("inspected_on", Date),
    text("label"),
    # The label in the one form in which equal labels are equal.
    text("label_key", 5 * SHORT),
    text("shelf", optional=True),
    money("worth", optional=True),
    text("note", LONG, optional=True),
    together("units", shop_id="shop_id", donor_unit_id="id"),
    # Each piece of a position leaves a donor once.
    UniqueConstraint("shop_id", "donor_unit_id", "position_id", "piece"),
    UniqueConstraint("shop_id", "label_key"),
    not_above("lower_hours", "upper_hours", "/upper_hours"),
    truth("piece_from_one", *_PIECE_FROM_ONE),
    truth(
        "inspected_by_somebody",
        "(inspected_by IS NULL) = (inspected_on IS NULL)",
        "/inspected_by",
        "Of inspected_by and inspected_on one is there and the other is not.",
        "Give both, or neither.",
    ),
    truth(
        "shelved_is_inspected",
        "state NOT IN ('shelved', 'fitted') OR inspected_on IS NOT NULL",
        "/inspected_on",
        "The part was not inspected: nobody is to take it for good.",
        "Give inspected_by and inspected_on, or leave it uninspected.",
    ),
    # Or an inspection from before it ran elsewhere would put it back on the shelf.
    truth(
        "uninspected_is_not_inspected",
        "state <> 'uninspected' OR inspected_on IS NULL",
        "/inspected_on",
        "The part is uninspected and says when it was inspected.",
        "Take inspected_by and inspected_on away; inspect it anew before it is shelved.",
    ),
    truth(
        "inspected_once_removed",
        "inspected_on >= removed_on",
        "/inspected_on",
        "The part was inspected before it was removed.",
        "Give the day on which the part itself was inspected, removed_on or later.",
    ),
    Index(None, "shop_id", "donor_unit_id", "id"),
    Index(None, "donor_unit_id", "position_id"),
    Index(None, "shop_id", "position_id", "id"),
    Index(None, "shop_id", "part_id", "id"),
    Index(None, "shop_id", "state", "id"),
    Index(None, "shop_id", "label", "id"),
    Index(None, "shop_id", "removed_on", "id"),
)

salvaged_part_findings = Table(
    "salvaged_part_findings",
    metadata,
    Column("shop_id", ident(), nullable=False),
    Column("salvaged_part_id", ident(), primary_key=True),
    Column("place", Integer, primary_key=True, autoincrement=False),
    Column("finding_id", ident(), nullable=False),
    together("salvaged_parts", shop_id="shop_id", salvaged_part_id="id"),
    together("findings", shop_id="shop_id", finding_id="id"),
    UniqueConstraint("salvaged_part_id", "finding_id"),
)


def _held() -> TextClause:
    return sql("state = 'held'")


reservations = private(
    "reservations",
    ident_column("salvaged_part_id"),
    ident_column("job_id"),
    text("reserved_by"),
    Column("expires_at", UtcDateTime, nullable=False),
    word("state", ReservationState),
    text("note", LONG, optional=True),
    together("salvaged_parts", shop_id="shop_id", salvaged_part_id="id"),
    together("jobs", shop_id="shop_id", job_id="id"),
    Index(None, "shop_id", "salvaged_part_id", "id"),
    Index(None, "shop_id", "job_id", "id"),
    Index(None, "shop_id", "expires_at", "id"),
    # A part is promised once at a time, whoever writes.
    Index(
        "ix_reservations_one_held",
        "salvaged_part_id",
        unique=True,
        sqlite_where=_held(),
        postgresql_where=_held(),
    ),
    # Which of them have lapsed is asked at each look at what changed.
    Index(
        "ix_reservations_held_until",
        "shop_id",
        "expires_at",
        sqlite_where=_held(),
        postgresql_where=_held(),
    ),
)

fitments = private(
    "fitments",
    ident_column("job_id"),
    reference("position_id", "positions"),
    Column("piece", Integer, nullable=False),
    reference("part_id", "parts", optional=True),
    ident_column("salvaged_part_id", optional=True),
    reference("claim_id", "interchange_claims", optional=True),
    Column("fitted_on", Date, nullable=False),
    text("fitted_by"),
    word("result", FitmentResult),
    Column("result_on", Date),
    decimal("hours_run", optional=True),
    text("note", LONG, optional=True),
    together("jobs", shop_id="shop_id", job_id="id"),
    together("salvaged_parts", shop_id="shop_id", salvaged_part_id="id"),
    truth("piece_from_one", *_PIECE_FROM_ONE),
    truth(
        "fits_one_thing",
        "(part_id IS NULL) <> (salvaged_part_id IS NULL)",
        "/part_id",
        "The fitment names neither a part nor a salvaged part, or both.",
        "Give part_id for a part that was bought, salvaged_part_id for one from a donor.",
    ),
    truth(
        "running_has_no_result_day",
        "result <> 'running' OR result_on IS NULL",
        "/result_on",
        "The part is still running and has a day on which it turned out.",
        "Leave result_on out until the result is known.",
    ),
    truth(
        "result_once_fitted",
        "result_on >= fitted_on",
        "/result_on",
        "The result is of a day before the part was fitted.",
        "Give the day on which the result was known, fitted_on or later.",
    ),
    truth(
        "misfit_has_not_run",
        "result <> 'did-not-fit' OR hours_run IS NULL",
        "/hours_run",
        "A part that did not fit has not run.",
        "Leave hours_run out.",
    ),
    Index(None, "shop_id", "job_id", "id"),
    Index(None, "shop_id", "position_id", "id"),
    Index(None, "shop_id", "part_id", "id"),
    Index(None, "shop_id", "salvaged_part_id", "id"),
    Index(None, "shop_id", "claim_id", "id"),
    Index(None, "shop_id", "result", "id"),
    Index(None, "shop_id", "fitted_on", "id"),
)
