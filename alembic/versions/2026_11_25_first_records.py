"""The first records: shops and keys, assemblies, parts, units, offers, jobs, decisions.

Names are written out in full, so that this file says the same whatever the models become. Decimals
are whole millionths, money whole minor units, times UTC; "matched" and the like are the words of
the trade that the CHECKs hold the columns to.
"""

import sqlalchemy as sa
from alembic import op
from sqlalchemy.dialects.postgresql import JSONB

revision = "2026_11_25_first_records"
down_revision = None
branch_labels = None
depends_on = None

TABLES = (
    "decisions",
    "job_opened_groups",
    "jobs",
    "shop_settings",
    "offers",
    "suppliers",
    "findings",
    "units",
    "interchange_claims",
    "characteristics",
    "labour_operations",
    "position_set_members",
    "position_sets",
    "serviceability_rulings",
    "position_cautions",
    "positions",
    "access_groups",
    "assembly_cautions",
    "assemblies",
    "kit_lines",
    "parts",
    "audit_entries",
    "kept_answers",
    "keys",
    "shops",
)


def upgrade() -> None:
    shops_and_keys()
    parts_and_kits()
    assemblies_and_positions()
    work_and_limits()
    claims()
    units_and_findings()
    suppliers_and_offers()
    settings_jobs_and_decisions()


def downgrade() -> None:
    for table in TABLES:
        op.drop_table(table)


def shops_and_keys() -> None:
    op.create_table(
        "shops",
        sa.Column("id", ident(), nullable=False),
        sa.Column("name", sa.String(200), nullable=False),
        sa.Column("name_key", sa.String(200), nullable=False),
        sa.Column("created_at", moment(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_shops"),
        sa.UniqueConstraint("name_key", name="uq_shops_name_key"),
    )

    op.create_table(
        "keys",
        sa.Column("id", ident(), nullable=False),
        sa.Column("shop_id", ident(), nullable=False),
        sa.Column("role", sa.String(40), nullable=False),
        sa.Column("token_hash", sa.String(64), nullable=False),
        sa.Column("created_at", moment(), nullable=False),
        sa.Column("expires_at", moment()),
        sa.Column("revoked_at", moment()),
        sa.PrimaryKeyConstraint("id", name="pk_keys"),
        points("keys", "shop_id", "shops"),
        sa.UniqueConstraint("token_hash", name="uq_keys_token_hash"),
        words("keys", "role", "admin reader"),
    )
    index("keys", "shop_id")

    op.create_table(
        "kept_answers",
        sa.Column("shop_id", ident(), nullable=False),
        sa.Column("route", sa.String(200), nullable=False),
        sa.Column("key", sa.String(200), nullable=False),
        sa.Column("request_hash", sa.String(64), nullable=False),
        sa.Column("status", sa.Integer(), nullable=False),
        sa.Column("headers", document(), nullable=False),
        sa.Column("body", sa.LargeBinary(), nullable=False),
        sa.Column("created_at", moment(), nullable=False),
        sa.PrimaryKeyConstraint("shop_id", "route", "key", name="pk_kept_answers"),
        points("kept_answers", "shop_id", "shops"),
    )
    index("kept_answers", "created_at")

    op.create_table(
        "audit_entries",
        sa.Column("sequence", sequence(), nullable=False, autoincrement=True),
        sa.Column("shop_id", ident(), nullable=False),
        sa.Column("key_id", ident(), nullable=False),
        sa.Column("noted_at", moment(), nullable=False),
        sa.Column("kind", sa.String(40), nullable=False),
        sa.Column("record_id", ident(), nullable=False),
        sa.Column("action", sa.String(40), nullable=False),
        sa.Column("detail", sa.Text()),
        sa.PrimaryKeyConstraint("sequence", name="pk_audit_entries"),
        points("audit_entries", "key_id", "keys"),
        points("audit_entries", "shop_id", "shops"),
    )
    index("audit_entries", "record_id", "sequence")
    index("audit_entries", "shop_id", "sequence")


def parts_and_kits() -> None:
    op.create_table(
        "parts",
        *head("parts", "author_shop_id"),
        sa.Column("maker", sa.String(200), nullable=False),
        sa.Column("number", sa.String(200), nullable=False),
        sa.Column("name", sa.String(200), nullable=False),
        sa.Column("kind", sa.String(200), nullable=False),
        sa.Column("generic_designation", sa.String(200)),
        sa.Column("designation_key", sa.String(400)),
        sa.Column("identity_key", sa.String(1000), nullable=False),
        sa.UniqueConstraint("identity_key", name="uq_parts_identity_key"),
    )
    owned("parts", "author_shop_id")
    index("parts", "designation_key", "id")
    index("parts", "generic_designation", "id")
    index("parts", "kind", "id")
    index("parts", "maker", "id")
    index("parts", "number", "id")

    op.create_table(
        "kit_lines",
        sa.Column("kit_id", ident(), nullable=False),
        sa.Column("place", sa.Integer(), nullable=False),
        sa.Column("part_id", ident(), nullable=False),
        sa.Column("quantity", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("kit_id", "place", name="pk_kit_lines"),
        points("kit_lines", "kit_id", "parts"),
        points("kit_lines", "part_id", "parts"),
        sa.UniqueConstraint("kit_id", "part_id", name="uq_kit_lines_kit_id_part_id"),
        check("ck_kit_lines_kit_is_another", "part_id <> kit_id"),
        check("ck_kit_lines_quantity_at_least_one", "quantity >= 1"),
    )
    index("kit_lines", "part_id", "kit_id")


def assemblies_and_positions() -> None:
    op.create_table(
        "assemblies",
        *head("assemblies", "author_shop_id"),
        sa.Column("maker", sa.String(200), nullable=False),
        sa.Column("model", sa.String(200), nullable=False),
        sa.Column("kind", sa.String(200), nullable=False),
        sa.Column("serial_from", sa.String(200)),
        sa.Column("serial_to", sa.String(200)),
        sa.Column("part_id", ident()),
        sa.Column("notes", sa.String(2000)),
        sa.Column("identity_key", sa.String(1000), nullable=False),
        points("assemblies", "part_id", "parts"),
        sa.UniqueConstraint(
            "author_shop_id",
            "identity_key",
            name="uq_assemblies_author_shop_id_identity_key",
        ),
    )
    owned("assemblies", "author_shop_id")
    index("assemblies", "kind", "id")
    index("assemblies", "maker", "id")
    index("assemblies", "model", "id")
    index("assemblies", "part_id", "id")

    op.create_table(
        "assembly_cautions",
        sa.Column("assembly_id", ident(), nullable=False),
        sa.Column("place", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(40), nullable=False),
        sa.Column("text", sa.String(2000), nullable=False),
        sa.PrimaryKeyConstraint("assembly_id", "place", name="pk_assembly_cautions"),
        points("assembly_cautions", "assembly_id", "assemblies"),
        words("assembly_cautions", "kind", "hazard handling legal"),
    )

    op.create_table(
        "access_groups",
        *head("access_groups", "author_shop_id"),
        sa.Column("assembly_id", ident(), nullable=False),
        sa.Column("name", sa.String(200), nullable=False),
        sa.Column("outer_group_id", ident()),
        points("access_groups", "assembly_id", "assemblies"),
        sa.ForeignKeyConstraint(
            ["assembly_id", "outer_group_id"],
            ["access_groups.assembly_id", "access_groups.id"],
            name="fk_access_groups_assembly_id_outer_group_id",
        ),
        sa.UniqueConstraint("assembly_id", "id", name="uq_access_groups_assembly_id_id"),
        check("ck_access_groups_outer_is_another", "outer_group_id <> id"),
    )
    owned("access_groups", "author_shop_id")
    index("access_groups", "outer_group_id", "id")

    op.create_table(
        "positions",
        *head("positions", "author_shop_id"),
        sa.Column("assembly_id", ident(), nullable=False),
        sa.Column("name", sa.String(200), nullable=False),
        sa.Column("parent_id", ident()),
        sa.Column("reference", sa.String(200)),
        sa.Column("quantity", sa.Integer(), nullable=False),
        sa.Column("part_id", ident()),
        sa.Column("maker_supply", sa.String(40), nullable=False),
        sa.Column("maker_supply_source", sa.String(2000)),
        sa.Column("renewal_rule", sa.String(40), nullable=False),
        sa.Column("access_group_id", ident()),
        sa.Column("is_safety_critical", sa.Boolean(), nullable=False),
        sa.Column("is_variant_bound", sa.Boolean(), nullable=False),
        points("positions", "assembly_id", "assemblies"),
        sa.ForeignKeyConstraint(
            ["assembly_id", "access_group_id"],
            ["access_groups.assembly_id", "access_groups.id"],
            name="fk_positions_assembly_id_access_group_id",
        ),
        sa.ForeignKeyConstraint(
            ["assembly_id", "parent_id"],
            ["positions.assembly_id", "positions.id"],
            name="fk_positions_assembly_id_parent_id",
        ),
        points("positions", "part_id", "parts"),
        sa.UniqueConstraint("assembly_id", "id", name="uq_positions_assembly_id_id"),
        words("positions", "maker_supply", "sold whole-only discontinued"),
        check("ck_positions_parent_is_another", "parent_id <> id"),
        check("ck_positions_quantity_at_least_one", "quantity >= 1"),
        words("positions", "renewal_rule", "always on-condition select-fit"),
    )
    index("positions", "access_group_id", "id")
    owned("positions", "author_shop_id")
    index("positions", "parent_id", "id")
    index("positions", "part_id", "id")

    op.create_table(
        "position_cautions",
        sa.Column("position_id", ident(), nullable=False),
        sa.Column("place", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(40), nullable=False),
        sa.Column("text", sa.String(2000), nullable=False),
        sa.PrimaryKeyConstraint("position_id", "place", name="pk_position_cautions"),
        points("position_cautions", "position_id", "positions"),
        words("position_cautions", "kind", "hazard handling legal"),
    )

    op.create_table(
        "serviceability_rulings",
        *head("serviceability_rulings", "author_shop_id"),
        sa.Column("position_id", ident(), nullable=False),
        sa.Column("ruling", sa.String(40), nullable=False),
        sa.Column("reason", sa.String(2000)),
        sa.Column("evidence", sa.String(2000)),
        sa.Column("serial_from", sa.String(200)),
        sa.Column("serial_to", sa.String(200)),
        sa.Column("ruled_by", sa.String(200)),
        points("serviceability_rulings", "position_id", "positions"),
        sa.UniqueConstraint(
            "position_id",
            "version",
            name="uq_serviceability_rulings_position_id_version",
        ),
        check(
            "ck_serviceability_rulings_replacement_has_reason",
            "ruling <> 'replace-as-assembly' OR reason IS NOT NULL",
        ),
        words("serviceability_rulings", "ruling", "serviceable inspect-only replace-as-assembly"),
    )
    owned("serviceability_rulings", "author_shop_id")
    index("serviceability_rulings", "position_id", "id")

    op.create_table(
        "position_sets",
        *head("position_sets", "author_shop_id"),
        sa.Column("assembly_id", ident(), nullable=False),
        sa.Column("kind", sa.String(40), nullable=False),
        sa.Column("name", sa.String(200), nullable=False),
        points("position_sets", "assembly_id", "assemblies"),
        sa.UniqueConstraint("assembly_id", "id", name="uq_position_sets_assembly_id_id"),
        sa.UniqueConstraint(
            "id",
            "assembly_id",
            "kind",
            name="uq_position_sets_id_assembly_id_kind",
        ),
        words("position_sets", "kind", "matched renewed-together"),
    )
    owned("position_sets", "author_shop_id")
    index("position_sets", "kind", "id")

    op.create_table(
        "position_set_members",
        sa.Column("position_set_id", ident(), nullable=False),
        sa.Column("place", sa.Integer(), nullable=False),
        sa.Column("position_id", ident(), nullable=False),
        sa.Column("assembly_id", ident(), nullable=False),
        sa.Column("kind", sa.String(40), nullable=False),
        sa.PrimaryKeyConstraint("position_set_id", "place", name="pk_position_set_members"),
        sa.ForeignKeyConstraint(
            ["assembly_id", "position_id"],
            ["positions.assembly_id", "positions.id"],
            name="fk_position_set_members_assembly_id_position_id",
        ),
        sa.ForeignKeyConstraint(
            ["position_set_id", "assembly_id", "kind"],
            ["position_sets.id", "position_sets.assembly_id", "position_sets.kind"],
            name="fk_position_set_members_position_set_id_assembly_id_kind",
        ),
        sa.UniqueConstraint(
            "position_set_id",
            "position_id",
            name="uq_position_set_members_position_set_id_position_id",
        ),
        words("position_set_members", "kind", "matched renewed-together"),
    )
    op.create_index(
        "uq_position_set_members_matched_once",
        "position_set_members",
        ["position_id"],
        unique=True,
        sqlite_where=sa.text("kind = 'matched'"),
        postgresql_where=sa.text("kind = 'matched'"),
    )


def work_and_limits() -> None:
    op.create_table(
        "labour_operations",
        *head("labour_operations", "author_shop_id"),
        sa.Column("assembly_id", ident(), nullable=False),
        sa.Column("kind", sa.String(40), nullable=False),
        sa.Column("name", sa.String(200), nullable=False),
        sa.Column("p50_hours", sa.BigInteger(), nullable=False),
        sa.Column("p90_hours", sa.BigInteger(), nullable=False),
        sa.Column("basis", sa.String(40), nullable=False),
        sa.Column("position_id", ident()),
        sa.Column("access_group_id", ident()),
        points("labour_operations", "assembly_id", "assemblies"),
        sa.ForeignKeyConstraint(
            ["assembly_id", "access_group_id"],
            ["access_groups.assembly_id", "access_groups.id"],
            name="fk_labour_operations_assembly_id_access_group_id",
        ),
        sa.ForeignKeyConstraint(
            ["assembly_id", "position_id"],
            ["positions.assembly_id", "positions.id"],
            name="fk_labour_operations_assembly_id_position_id",
        ),
        words("labour_operations", "basis", "maker-time shop-record estimate"),
        words("labour_operations", "kind", "open close renew refit harvest prove"),
        check("ck_labour_operations_p50_hours_not_negative", "p50_hours >= 0"),
        check("ck_labour_operations_p90_hours_not_below_p50", "p90_hours >= p50_hours"),
        check("ck_labour_operations_p90_hours_not_negative", "p90_hours >= 0"),
    )
    index("labour_operations", "access_group_id", "id")
    index("labour_operations", "assembly_id", "id")
    owned("labour_operations", "author_shop_id")
    index("labour_operations", "kind", "id")
    index("labour_operations", "position_id", "id")

    op.create_table(
        "characteristics",
        *head("characteristics", "author_shop_id"),
        sa.Column("position_id", ident(), nullable=False),
        sa.Column("name", sa.String(200), nullable=False),
        *quantity("characteristics", "new_lower"),
        *quantity("characteristics", "new_upper"),
        *quantity("characteristics", "service_lower"),
        *quantity("characteristics", "service_upper"),
        sa.Column("worst_acceptable_grade", sa.String(40)),
        sa.Column("settling_method", sa.String(40)),
        sa.Column("is_crack", sa.Boolean(), nullable=False),
        sa.Column("limits_source", sa.String(2000)),
        points("characteristics", "position_id", "positions"),
        sa.UniqueConstraint("position_id", "id", name="uq_characteristics_position_id_id"),
        check(
            "ck_characteristics_new_upper_not_below_lower",
            "new_lower_canonical <= new_upper_canonical",
        ),
        check(
            "ck_characteristics_service_upper_not_below_lower",
            "service_lower_canonical <= service_upper_canonical",
        ),
        words(
            "characteristics",
            "settling_method",
            "gauge by-eye penetrant magnetic pressure-test",
        ),
        words("characteristics", "worst_acceptable_grade", "none light moderate heavy"),
    )
    owned("characteristics", "author_shop_id")


def claims() -> None:
    op.create_table(
        "interchange_claims",
        *head("interchange_claims", "author_shop_id"),
        sa.Column("part_id", ident(), nullable=False),
        sa.Column("stand_in_part_id", ident(), nullable=False),
        sa.Column("evidence_kind", sa.String(40), nullable=False),
        sa.Column("evidence", sa.String(2000), nullable=False),
        sa.Column("assembly_id", ident()),
        sa.Column("position_id", ident()),
        sa.Column("serial_from", sa.String(200)),
        sa.Column("serial_to", sa.String(200)),
        sa.Column("rework_note", sa.String(2000)),
        sa.Column("rework_p50_hours", sa.BigInteger(), nullable=False),
        sa.Column("rework_p90_hours", sa.BigInteger(), nullable=False),
        *money("interchange_claims", "rework_cost", optional=True),
        points("interchange_claims", "assembly_id", "assemblies"),
        points("interchange_claims", "part_id", "parts"),
        points("interchange_claims", "position_id", "positions"),
        points("interchange_claims", "stand_in_part_id", "parts"),
        words(
            "interchange_claims",
            "evidence_kind",
            "maker-bulletin published-cross-reference fitted-and-run measured-match told",
        ),
        check("ck_interchange_claims_rework_p50_hours_not_negative", "rework_p50_hours >= 0"),
        check(
            "ck_interchange_claims_rework_p90_hours_not_below_p50",
            "rework_p90_hours >= rework_p50_hours",
        ),
        check("ck_interchange_claims_rework_p90_hours_not_negative", "rework_p90_hours >= 0"),
        check("ck_interchange_claims_stand_in_is_another", "stand_in_part_id <> part_id"),
    )
    index("interchange_claims", "assembly_id", "id")
    owned("interchange_claims", "author_shop_id")
    index("interchange_claims", "part_id", "id")
    index("interchange_claims", "position_id", "id")
    index("interchange_claims", "stand_in_part_id", "id")


def units_and_findings() -> None:
    op.create_table(
        "units",
        *head("units", "shop_id"),
        sa.Column("assembly_id", ident(), nullable=False),
        sa.Column("kind", sa.String(40), nullable=False),
        sa.Column("serial_number", sa.String(200)),
        sa.Column("lower_hours", sa.BigInteger()),
        sa.Column("upper_hours", sa.BigInteger()),
        sa.Column("variant", sa.String(200)),
        sa.Column("provenance", sa.String(2000)),
        sa.Column("reason_retired", sa.String(40)),
        sa.Column("released_on", sa.Date()),
        sa.Column("donor_is_owned", sa.Boolean()),
        *money("units", "donor_price", optional=True),
        *money("units", "donor_undisturbed_worth", optional=True),
        *money("units", "donor_remainder_worth", optional=True),
        sa.Column("donor_strip_p50_hours", sa.BigInteger()),
        sa.Column("donor_strip_p90_hours", sa.BigInteger()),
        sa.Column("donor_p50_days", sa.BigInteger()),
        sa.Column("donor_p90_days", sa.BigInteger()),
        points("units", "assembly_id", "assemblies"),
        sa.UniqueConstraint(
            "shop_id",
            "assembly_id",
            "serial_number",
            name="uq_units_shop_id_assembly_id_serial_number",
        ),
        check(
            "ck_units_customer_has_no_donor_terms",
            "kind <> 'customer' OR donor_is_owned IS NULL",
        ),
        check("ck_units_donor_is_released", "kind <> 'donor' OR released_on IS NOT NULL"),
        check("ck_units_donor_p50_days_not_negative", "donor_p50_days >= 0"),
        check("ck_units_donor_p90_days_not_below_p50", "donor_p90_days >= donor_p50_days"),
        check("ck_units_donor_p90_days_not_negative", "donor_p90_days >= 0"),
        check("ck_units_donor_strip_p50_hours_not_negative", "donor_strip_p50_hours >= 0"),
        check(
            "ck_units_donor_strip_p90_hours_not_below_p50",
            "donor_strip_p90_hours >= donor_strip_p50_hours",
        ),
        check("ck_units_donor_strip_p90_hours_not_negative", "donor_strip_p90_hours >= 0"),
        check("ck_units_donor_to_buy_has_price", "donor_is_owned OR donor_price_minor IS NOT NULL"),
        words("units", "kind", "customer donor stock"),
        check("ck_units_lower_hours_not_negative", "lower_hours >= 0"),
        words("units", "reason_retired", "wear seizure fire flood crash obsolete unknown"),
        check("ck_units_upper_hours_not_below_lower", "lower_hours <= upper_hours"),
        check("ck_units_upper_hours_not_negative", "upper_hours >= 0"),
    )
    index("units", "shop_id", "assembly_id", "id")
    owned("units", "shop_id")
    index("units", "shop_id", "kind", "id")
    index("units", "shop_id", "serial_number", "id")

    op.create_table(
        "findings",
        *head("findings", "shop_id"),
        sa.Column("unit_id", ident(), nullable=False),
        sa.Column("position_id", ident(), nullable=False),
        sa.Column("characteristic_id", ident(), nullable=False),
        sa.Column("found_by", sa.String(200), nullable=False),
        sa.Column("found_at", moment(), nullable=False),
        sa.Column("method", sa.String(40), nullable=False),
        *quantity("findings", "measured"),
        sa.Column("grade", sa.String(40)),
        sa.Column("gauge", sa.String(200)),
        *quantity("findings", "part_temperature"),
        sa.Column("is_cleaned", sa.Boolean()),
        sa.Column("location", sa.String(200)),
        sa.Column("piece", sa.Integer()),
        sa.Column("note", sa.String(2000)),
        sa.Column("supersedes_id", ident()),
        sa.ForeignKeyConstraint(
            ["position_id", "characteristic_id"],
            ["characteristics.position_id", "characteristics.id"],
            name="fk_findings_position_id_characteristic_id",
        ),
        sa.ForeignKeyConstraint(
            ["shop_id", "unit_id"],
            ["units.shop_id", "units.id"],
            name="fk_findings_shop_id_unit_id",
        ),
        sa.ForeignKeyConstraint(
            ["unit_id", "characteristic_id", "supersedes_id"],
            ["findings.unit_id", "findings.characteristic_id", "findings.id"],
            name="fk_findings_unit_id_characteristic_id_supersedes_id",
        ),
        sa.UniqueConstraint("supersedes_id", name="uq_findings_supersedes_id"),
        sa.UniqueConstraint(
            "unit_id",
            "characteristic_id",
            "id",
            name="uq_findings_unit_id_characteristic_id_id",
        ),
        words("findings", "grade", "none light moderate heavy"),
        check("ck_findings_measured_or_graded", "(measured_value IS NULL) <> (grade IS NULL)"),
        words("findings", "method", "gauge by-eye penetrant magnetic pressure-test"),
        check("ck_findings_piece_from_one", "piece >= 1"),
        check("ck_findings_supersedes_another", "supersedes_id <> id"),
    )
    index("findings", "shop_id", "characteristic_id", "id")
    owned("findings", "shop_id")
    index("findings", "shop_id", "position_id", "id")
    index("findings", "shop_id", "unit_id", "id")


def suppliers_and_offers() -> None:
    op.create_table(
        "suppliers",
        *head("suppliers", "shop_id"),
        sa.Column("name", sa.String(200), nullable=False),
        *money("suppliers", "freight"),
        sa.Column("delivery", sa.String(40), nullable=False),
        sa.Column("order_cutoff", sa.String(5)),
        sa.Column("notes", sa.String(2000)),
        words("suppliers", "delivery", "consolidated separate"),
    )
    owned("suppliers", "shop_id")
    index("suppliers", "shop_id", "name", "id")

    op.create_table(
        "offers",
        *head("offers", "shop_id"),
        sa.Column("supplier_id", ident(), nullable=False),
        sa.Column("kind", sa.String(40), nullable=False),
        sa.Column("description", sa.String(2000), nullable=False),
        *money("offers", "price"),
        sa.Column("p50_days", sa.BigInteger(), nullable=False),
        sa.Column("p90_days", sa.BigInteger(), nullable=False),
        sa.Column("part_id", ident()),
        sa.Column("assembly_id", ident()),
        sa.Column("position_id", ident()),
        sa.Column("condition", sa.String(40)),
        sa.Column("valid_from", sa.Date()),
        sa.Column("valid_until", sa.Date()),
        sa.Column("warranty_cover", sa.String(40), nullable=False),
        sa.Column("reject_probability", sa.BigInteger(), nullable=False),
        *money("offers", "core_deposit", optional=True),
        sa.Column("core_acceptance_probability", sa.BigInteger()),
        *money("offers", "core_refund", optional=True),
        *money("offers", "core_return_freight", optional=True),
        sa.Column("core_return_within_days", sa.Integer()),
        *money("offers", "residual_worth", optional=True),
        points("offers", "assembly_id", "assemblies"),
        points("offers", "part_id", "parts"),
        points("offers", "position_id", "positions"),
        sa.ForeignKeyConstraint(
            ["shop_id", "supplier_id"],
            ["suppliers.shop_id", "suppliers.id"],
            name="fk_offers_shop_id_supplier_id",
        ),
        words("offers", "condition", "new old-stock rebuilt used"),
        check(
            "ck_offers_core_acceptance_probability_is_probability",
            "core_acceptance_probability BETWEEN 0 AND 1000000",
        ),
        check("ck_offers_core_days_not_negative", "core_return_within_days >= 0"),
        check(
            "ck_offers_core_terms_are_whole",
            "(core_deposit_minor IS NULL) = (core_acceptance_probability IS NULL)",
        ),
        check(
            "ck_offers_goods_name_one_thing",
            "kind <> 'goods'"
            " OR (position_id IS NULL AND (part_id IS NULL) <> (assembly_id IS NULL))",
        ),
        words("offers", "kind", "goods service"),
        check("ck_offers_p50_days_not_negative", "p50_days >= 0"),
        check("ck_offers_p90_days_not_below_p50", "p90_days >= p50_days"),
        check("ck_offers_p90_days_not_negative", "p90_days >= 0"),
        check(
            "ck_offers_reject_probability_is_probability",
            "reject_probability BETWEEN 0 AND 1000000",
        ),
        check(
            "ck_offers_service_names_one_thing",
            "kind <> 'service'"
            " OR (part_id IS NULL AND (position_id IS NULL) <> (assembly_id IS NULL))",
        ),
        check("ck_offers_valid_until_not_below_lower", "valid_from <= valid_until"),
        words("offers", "warranty_cover", "nothing part part-and-labour"),
    )
    index("offers", "shop_id", "assembly_id", "id")
    owned("offers", "shop_id")
    index("offers", "shop_id", "kind", "id")
    index("offers", "shop_id", "part_id", "id")
    index("offers", "shop_id", "position_id", "id")
    index("offers", "shop_id", "supplier_id", "id")


def settings_jobs_and_decisions() -> None:
    op.create_table(
        "shop_settings",
        *head("shop_settings", "shop_id"),
        sa.Column("currency", sa.String(3), nullable=False),
        sa.Column("promise_confidence", sa.BigInteger(), nullable=False),
        sa.Column("document", document(), nullable=False),
        sa.UniqueConstraint("shop_id", "version", name="uq_shop_settings_shop_id_version"),
        check(
            "ck_shop_settings_promise_confidence_is_probability",
            "promise_confidence BETWEEN 0 AND 1000000",
        ),
    )
    owned("shop_settings", "shop_id")

    op.create_table(
        "jobs",
        *head("jobs", "shop_id"),
        sa.Column("unit_id", ident(), nullable=False),
        sa.Column("complaint", sa.String(2000), nullable=False),
        sa.Column("state", sa.String(40), nullable=False),
        sa.Column("cause", sa.String(2000)),
        sa.Column("horizon_hours", sa.BigInteger()),
        sa.Column("required_by_on", sa.Date()),
        sa.Column("confidence", sa.BigInteger()),
        *money("jobs", "spending_limit", optional=True),
        *money("jobs", "inspection_price", optional=True),
        sa.Column("core_unit_id", ident()),
        sa.Column("notes", sa.String(2000)),
        sa.ForeignKeyConstraint(
            ["shop_id", "core_unit_id"],
            ["units.shop_id", "units.id"],
            name="fk_jobs_shop_id_core_unit_id",
        ),
        sa.ForeignKeyConstraint(
            ["shop_id", "unit_id"],
            ["units.shop_id", "units.id"],
            name="fk_jobs_shop_id_unit_id",
        ),
        check("ck_jobs_confidence_is_probability", "confidence > 0 AND confidence < 1000000"),
        check("ck_jobs_horizon_hours_not_negative", "horizon_hours >= 0"),
        words(
            "jobs",
            "state",
            "booked-in opened measured offered agreed supplied fitted proved"
            " handed-over came-back closed",
        ),
    )
    owned("jobs", "shop_id")
    index("jobs", "shop_id", "state", "id")
    index("jobs", "shop_id", "unit_id", "id")

    op.create_table(
        "job_opened_groups",
        sa.Column("shop_id", ident(), nullable=False),
        sa.Column("job_id", ident(), nullable=False),
        sa.Column("place", sa.Integer(), nullable=False),
        sa.Column("access_group_id", ident(), nullable=False),
        sa.PrimaryKeyConstraint("job_id", "place", name="pk_job_opened_groups"),
        points("job_opened_groups", "access_group_id", "access_groups"),
        sa.ForeignKeyConstraint(
            ["shop_id", "job_id"],
            ["jobs.shop_id", "jobs.id"],
            name="fk_job_opened_groups_shop_id_job_id",
        ),
        sa.UniqueConstraint(
            "job_id",
            "access_group_id",
            name="uq_job_opened_groups_job_id_access_group_id",
        ),
    )

    op.create_table(
        "decisions",
        *head("decisions", "shop_id"),
        sa.Column("job_id", ident(), nullable=False),
        sa.Column("as_of", moment(), nullable=False),
        sa.Column("plan_id", sa.String(200), nullable=False),
        sa.Column("recommended_plan_id", sa.String(200)),
        sa.Column("is_override", sa.Boolean(), nullable=False),
        sa.Column("decided_by", sa.String(200), nullable=False),
        sa.Column("reason", sa.String(2000)),
        sa.Column("engine_version", sa.String(200), nullable=False),
        sa.Column("snapshot_hash", sa.String(64), nullable=False),
        sa.Column("snapshot_json", sa.Text(), nullable=False),
        sa.Column("result_json", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(
            ["shop_id", "job_id"],
            ["jobs.shop_id", "jobs.id"],
            name="fk_decisions_shop_id_job_id",
        ),
        check("ck_decisions_override_has_reason", "NOT is_override OR reason IS NOT NULL"),
    )
    owned("decisions", "shop_id")
    index("decisions", "shop_id", "job_id", "id")


def ident() -> sa.String:
    """Ids sort by code point, on PostgreSQL too."""
    return sa.String(64).with_variant(sa.String(64, collation="C"), "postgresql")


def moment() -> sa.DateTime:
    return sa.DateTime(timezone=True)


def document() -> sa.JSON:
    return sa.JSON().with_variant(JSONB(), "postgresql")


def sequence() -> sa.BigInteger:
    return sa.BigInteger().with_variant(sa.Integer(), "sqlite")


def check(name: str, sql: str) -> sa.CheckConstraint:
    return sa.CheckConstraint(sql, name=op.f(name))


def points(table: str, column: str, target: str) -> sa.ForeignKeyConstraint:
    """Let a column name a record of another table."""
    return sa.ForeignKeyConstraint([column], [f"{target}.id"], name=f"fk_{table}_{column}")


def index(table: str, *columns: str) -> None:
    op.create_index(f"ix_{table}_{'_'.join(columns)}", table, list(columns))


def owned(table: str, owner: str) -> None:
    """Let other tables point at (owner, id), so that they stay within one shop."""
    op.create_index(f"ix_{table}_{owner}_id", table, [owner, "id"], unique=True)


def words(table: str, column: str, allowed: str) -> sa.CheckConstraint:
    """Hold a column to a set of words."""
    listed = ", ".join(f"'{word}'" for word in allowed.split())
    return check(f"ck_{table}_{column}", f"{column} IN ({listed})")


def head(table: str, owner: str) -> list:
    """What every record has: identity, the shop it belongs to, version, times."""
    return [
        sa.Column("id", ident(), nullable=False),
        sa.Column(owner, ident(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("created_at", moment(), nullable=False),
        sa.Column("updated_at", moment(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=f"pk_{table}"),
        sa.ForeignKeyConstraint([owner], ["shops.id"], name=f"fk_{table}_{owner}"),
    ]


def money(table: str, name: str, optional: bool = False) -> list:
    """An amount: both columns or neither, never below zero."""
    minor, currency = f"{name}_minor", f"{name}_currency"
    return [
        sa.Column(minor, sa.BigInteger(), nullable=optional),
        sa.Column(currency, sa.String(3), nullable=optional),
        check(
            f"ck_{table}_{name}",
            f"({minor} IS NULL) = ({currency} IS NULL) AND ({minor} IS NULL OR {minor} >= 0)",
        ),
    ]


def quantity(table: str, name: str) -> list:
    """A quantity as entered, with at most one statement of doubt, and its canonical value."""
    standard, expanded = f"{name}_standard_uncertainty", f"{name}_expanded_uncertainty"
    factor, half_width = f"{name}_coverage_factor", f"{name}_plus_minus"
    return [
        sa.Column(f"{name}_value", sa.String(48)),
        sa.Column(f"{name}_unit", sa.String(16)),
        sa.Column(standard, sa.String(48)),
        sa.Column(expanded, sa.String(48)),
        sa.Column(factor, sa.String(48)),
        sa.Column(half_width, sa.String(48)),
        sa.Column(f"{name}_canonical", sa.BigInteger()),
        check(
            f"ck_{table}_{name}_states_doubt_once",
            f"({standard} IS NULL OR {expanded} IS NULL)"
            f" AND ({standard} IS NULL OR {half_width} IS NULL)"
            f" AND ({expanded} IS NULL OR {half_width} IS NULL)"
            f" AND ({factor} IS NULL OR {expanded} IS NOT NULL)",
        ),
    ]
