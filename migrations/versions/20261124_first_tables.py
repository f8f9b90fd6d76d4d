"""The first tables, and the triggers that keep journals and signed-off revisions as they are.

Why: journals (ticks, readings, stage moves, quotes, commands) are append-only, and rows of a
revision that was signed off for the bench never change. The database refuses, whoever asks.
"""

import sqlalchemy as sa
from alembic import op

revision = "20261124_first"
down_revision = None
branch_labels = None
depends_on = None


JOURNALS = (
    "stage_move",
    "journal_entry",
    "quote",
    "quote_event",
    "tick",
    "reading",
    "design_command",
)
DESIGN_TABLES = (
    "basis",
    "place",
    "run",
    "need",
    "fitting",
    "way",
    "bridge",
    "circuit",
    "link",
    "crossing",
    "wire_end",
    "removed",
)


def upgrade() -> None:
    op.create_table(
        "customer",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("contact", sa.Text(), nullable=False),
        sa.Column("address", sa.Text(), nullable=False),
        sa.Column("phone", sa.Text(), nullable=False),
        sa.Column("email", sa.Text(), nullable=False),
        sa.Column("notes", sa.Text(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.CheckConstraint("length(trim(name)) > 0", name=op.f("ck_customer_name_given")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_customer")),
        sa.UniqueConstraint("name", name=op.f("uq_customer_name")),
        sqlite_strict=True,
    )
    op.create_table(
        "instrument",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("serial", sa.Text(), nullable=False),
        sa.Column("calibrated_on", sa.Text(), nullable=True),
        sa.Column("calibration_due_on", sa.Text(), nullable=True),
        sa.Column("active", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_instrument")),
        sa.UniqueConstraint("name", name=op.f("uq_instrument_name")),
        sqlite_strict=True,
    )
    op.create_table(
        "label_sheet",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("page_width_mm", sa.REAL(), nullable=False),
        sa.Column("page_height_mm", sa.REAL(), nullable=False),
        sa.Column("width_mm", sa.REAL(), nullable=False),
        sa.Column("height_mm", sa.REAL(), nullable=False),
        sa.Column("columns", sa.Integer(), nullable=False),
        sa.Column("rows", sa.Integer(), nullable=False),
        sa.Column("margin_left_mm", sa.REAL(), nullable=False),
        sa.Column("margin_top_mm", sa.REAL(), nullable=False),
        sa.Column("pitch_x_mm", sa.REAL(), nullable=False),
        sa.Column("pitch_y_mm", sa.REAL(), nullable=False),
        sa.Column("offset_x_mm", sa.REAL(), nullable=False),
        sa.Column("offset_y_mm", sa.REAL(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_label_sheet")),
        sa.UniqueConstraint("name", name=op.f("uq_label_sheet_name")),
        sqlite_strict=True,
    )
    op.create_table(
        "operation_time",
        sa.Column("code", sa.Text(), nullable=False),
        sa.Column("title", sa.Text(), nullable=False),
        sa.Column("seconds", sa.Integer(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.CheckConstraint("seconds >= 0", name=op.f("ck_operation_time_seconds_not_negative")),
        sa.PrimaryKeyConstraint("code", name=op.f("pk_operation_time")),
        sqlite_strict=True,
    )
    op.create_table(
        "part",
        sa.Column("uid", sa.Text(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("facts", sa.Text(), nullable=False),
        sa.Column("price_minor", sa.Integer(), nullable=False),
        sa.Column("price_per", sa.Integer(), nullable=False),
        sa.Column("price_unit", sa.Text(), nullable=False),
        sa.Column("price_note", sa.Text(), nullable=False),
        sa.Column("source", sa.Text(), nullable=False),
        sa.Column("confirmed", sa.Integer(), nullable=False),
        sa.Column("stocked", sa.Integer(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.CheckConstraint("price_minor >= 0", name=op.f("ck_part_price_not_negative")),
        sa.PrimaryKeyConstraint("uid", name=op.f("pk_part")),
        sa.UniqueConstraint("name", name=op.f("uq_part_name")),
        sqlite_strict=True,
    )
    with op.batch_alter_table("part", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_part_kind"), ["kind"], unique=False)

    op.create_table(
        "person",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("initials", sa.Text(), nullable=False),
        sa.Column("role", sa.Text(), nullable=False),
        sa.Column("active", sa.Integer(), nullable=False),
        sa.CheckConstraint(
            "role IN ('owner', 'office', 'bench')", name=op.f("ck_person_role_known")
        ),
        sa.CheckConstraint("length(trim(name)) > 0", name=op.f("ck_person_name_given")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_person")),
        sa.UniqueConstraint("name", name=op.f("uq_person_name")),
        sqlite_strict=True,
    )
    op.create_table(
        "rates",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("labour_minor_per_hour", sa.Integer(), nullable=False),
        sa.Column("set_up_s", sa.Integer(), nullable=False),
        sa.Column("design_s", sa.Integer(), nullable=False),
        sa.Column("scrap_percent", sa.REAL(), nullable=False),
        sa.Column("overhead_percent", sa.REAL(), nullable=False),
        sa.Column("margin_percent", sa.REAL(), nullable=False),
        sa.Column("discount_percent", sa.REAL(), nullable=False),
        sa.Column("vat_percent", sa.REAL(), nullable=False),
        sa.Column("deposit_percent", sa.REAL(), nullable=False),
        sa.Column("validity_days", sa.Integer(), nullable=False),
        sa.CheckConstraint("id = 1", name=op.f("ck_rates_single_row")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_rates")),
        sqlite_strict=True,
    )
    op.create_table(
        "workshop",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("address", sa.Text(), nullable=False),
        sa.Column("phone", sa.Text(), nullable=False),
        sa.Column("email", sa.Text(), nullable=False),
        sa.Column("vat_number", sa.Text(), nullable=False),
        sa.Column("currency", sa.Text(), nullable=False),
        sa.Column("address_url", sa.Text(), nullable=False),
        sa.Column("step_depth", sa.Text(), nullable=False),
        sa.Column("demo", sa.Integer(), nullable=False),
        sa.CheckConstraint("id = 1", name=op.f("ck_workshop_single_row")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_workshop")),
        sqlite_strict=True,
    )
    op.create_table(
        "project",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Text(), nullable=False),
        sa.Column("code", sa.Text(), nullable=False),
        sa.Column("customer_id", sa.Integer(), nullable=False),
        sa.Column("title", sa.Text(), nullable=False),
        sa.Column("equipment", sa.Text(), nullable=False),
        sa.Column("setting", sa.Text(), nullable=False),
        sa.Column("nominal_v", sa.Integer(), nullable=False),
        sa.Column("polarity", sa.Text(), nullable=False),
        sa.Column("due_on", sa.Text(), nullable=True),
        sa.Column("notes", sa.Text(), nullable=False),
        sa.Column("started_from_id", sa.Integer(), nullable=True),
        sa.Column("created_at", sa.Text(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.CheckConstraint(
            "polarity IN ('negative earth', 'positive earth', 'insulated return')",
            name=op.f("ck_project_polarity_known"),
        ),
        sa.CheckConstraint("nominal_v IN (6, 12, 24, 48)", name=op.f("ck_project_voltage_known")),
        sa.ForeignKeyConstraint(
            ["customer_id"], ["customer.id"], name=op.f("fk_project_customer_id")
        ),
        sa.ForeignKeyConstraint(
            ["started_from_id"], ["project.id"], name=op.f("fk_project_started_from_id")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_project")),
        sa.UniqueConstraint("code", name=op.f("uq_project_code")),
        sa.UniqueConstraint("number", name=op.f("uq_project_number")),
        sqlite_strict=True,
    )
    with op.batch_alter_table("project", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_project_customer_id"), ["customer_id"], unique=False)

    op.create_table(
        "loom",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("project_id", sa.Integer(), nullable=False),
        sa.Column("code", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("quantity", sa.Integer(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.CheckConstraint("quantity BETWEEN 1 AND 999", name=op.f("ck_loom_quantity_sensible")),
        sa.ForeignKeyConstraint(["project_id"], ["project.id"], name=op.f("fk_loom_project_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_loom")),
        sa.UniqueConstraint("code", name=op.f("uq_loom_code")),
        sa.UniqueConstraint("project_id", "name", name=op.f("uq_loom_project_id_name")),
        sqlite_strict=True,
    )
    with op.batch_alter_table("loom", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_loom_project_id"), ["project_id"], unique=False)

    op.create_table(
        "received_part",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("project_id", sa.Integer(), nullable=False),
        sa.Column("code", sa.Text(), nullable=False),
        sa.Column("what", sa.Text(), nullable=False),
        sa.Column("quantity", sa.Integer(), nullable=False),
        sa.Column("from_whom", sa.Text(), nullable=False),
        sa.Column("received_on", sa.Text(), nullable=False),
        sa.Column("condition", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(
            ["project_id"], ["project.id"], name=op.f("fk_received_part_project_id")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_received_part")),
        sa.UniqueConstraint("code", name=op.f("uq_received_part_code")),
        sqlite_strict=True,
    )
    with op.batch_alter_table("received_part", schema=None) as batch_op:
        batch_op.create_index(
            batch_op.f("ix_received_part_project_id"), ["project_id"], unique=False
        )

    op.create_table(
        "quote",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("loom_id", sa.Integer(), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("number", sa.Text(), nullable=False),
        sa.Column("code", sa.Text(), nullable=False),
        sa.Column("issued_on", sa.Text(), nullable=False),
        sa.Column("valid_until", sa.Text(), nullable=False),
        sa.Column("total_minor", sa.Integer(), nullable=False),
        sa.Column("snapshot", sa.Text(), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=False),
        sa.Column("at", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["loom_id"], ["loom.id"], name=op.f("fk_quote_loom_id")),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name=op.f("fk_quote_person_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_quote")),
        sa.UniqueConstraint("code", name=op.f("uq_quote_code")),
        sa.UniqueConstraint("loom_id", "revision", name=op.f("uq_quote_loom_id_revision")),
        sa.UniqueConstraint("number", name=op.f("uq_quote_number")),
        sqlite_strict=True,
    )
    with op.batch_alter_table("quote", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_quote_loom_id"), ["loom_id"], unique=False)

    op.create_table(
        "quote_extra",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("loom_id", sa.Integer(), nullable=False),
        sa.Column("what", sa.Text(), nullable=False),
        sa.Column("quantity", sa.Integer(), nullable=False),
        sa.Column("each_minor", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["loom_id"], ["loom.id"], name=op.f("fk_quote_extra_loom_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_quote_extra")),
        sqlite_strict=True,
    )
    with op.batch_alter_table("quote_extra", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_quote_extra_loom_id"), ["loom_id"], unique=False)

    op.create_table(
        "quote_terms",
        sa.Column("loom_id", sa.Integer(), nullable=False),
        sa.Column("margin_percent", sa.REAL(), nullable=True),
        sa.Column("discount_percent", sa.REAL(), nullable=True),
        sa.Column("vat_percent", sa.REAL(), nullable=True),
        sa.Column("deposit_percent", sa.REAL(), nullable=True),
        sa.Column("validity_days", sa.Integer(), nullable=True),
        sa.Column("delivery", sa.Text(), nullable=False),
        sa.Column("rests_on", sa.Text(), nullable=False),
        sa.Column("customer_supplies", sa.Text(), nullable=False),
        sa.Column("not_included", sa.Text(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["loom_id"], ["loom.id"], name=op.f("fk_quote_terms_loom_id")),
        sa.PrimaryKeyConstraint("loom_id", name=op.f("pk_quote_terms")),
        sqlite_strict=True,
    )
    op.create_table(
        "revision",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("loom_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("created_at", sa.Text(), nullable=False),
        sa.Column("signed_off_at", sa.Text(), nullable=True),
        sa.Column("signed_off_by_id", sa.Integer(), nullable=True),
        sa.Column("figures", sa.Text(), nullable=True),
        sa.ForeignKeyConstraint(["loom_id"], ["loom.id"], name=op.f("fk_revision_loom_id")),
        sa.ForeignKeyConstraint(
            ["signed_off_by_id"], ["person.id"], name=op.f("fk_revision_signed_off_by_id")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_revision")),
        sa.UniqueConstraint("loom_id", "number", name=op.f("uq_revision_loom_id_number")),
        sqlite_strict=True,
    )
    with op.batch_alter_table("revision", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_revision_loom_id"), ["loom_id"], unique=False)

    op.create_table(
        "design_command",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("revision_id", sa.Integer(), nullable=False),
        sa.Column("sentence", sa.Text(), nullable=False),
        sa.Column("changes", sa.Text(), nullable=False),
        sa.Column("undoes_id", sa.Integer(), nullable=True),
        sa.Column("redoes_id", sa.Integer(), nullable=True),
        sa.Column("person_id", sa.Integer(), nullable=True),
        sa.Column("at", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(
            ["person_id"], ["person.id"], name=op.f("fk_design_command_person_id")
        ),
        sa.ForeignKeyConstraint(
            ["redoes_id"], ["design_command.id"], name=op.f("fk_design_command_redoes_id")
        ),
        sa.ForeignKeyConstraint(
            ["revision_id"], ["revision.id"], name=op.f("fk_design_command_revision_id")
        ),
        sa.ForeignKeyConstraint(
            ["undoes_id"], ["design_command.id"], name=op.f("fk_design_command_undoes_id")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_design_command")),
        sqlite_strict=True,
    )
    with op.batch_alter_table("design_command", schema=None) as batch_op:
        batch_op.create_index(
            batch_op.f("ix_design_command_revision_id"), ["revision_id"], unique=False
        )

    op.create_table(
        "place",
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("revision_id", sa.Integer(), nullable=False),
        sa.Column("uid", sa.Text(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("origin", sa.Text(), nullable=False),
        sa.Column("by_hand", sa.Text(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["revision_id"], ["revision.id"], name=op.f("fk_place_revision_id")
        ),
        sa.PrimaryKeyConstraint("revision_id", "uid", name=op.f("pk_place")),
        sqlite_strict=True,
    )
    op.create_table(
        "quote_event",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("quote_id", sa.Integer(), nullable=False),
        sa.Column("what", sa.Text(), nullable=False),
        sa.Column("by_whom", sa.Text(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=False),
        sa.Column("at", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(
            ["person_id"], ["person.id"], name=op.f("fk_quote_event_person_id")
        ),
        sa.ForeignKeyConstraint(["quote_id"], ["quote.id"], name=op.f("fk_quote_event_quote_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_quote_event")),
        sqlite_strict=True,
    )
    with op.batch_alter_table("quote_event", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_quote_event_quote_id"), ["quote_id"], unique=False)

    op.create_table(
        "removed",
        sa.Column("what", sa.Text(), nullable=False),
        sa.Column("revision_id", sa.Integer(), nullable=False),
        sa.Column("uid", sa.Text(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("origin", sa.Text(), nullable=False),
        sa.Column("by_hand", sa.Text(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["revision_id"], ["revision.id"], name=op.f("fk_removed_revision_id")
        ),
        sa.PrimaryKeyConstraint("revision_id", "uid", name=op.f("pk_removed")),
        sqlite_strict=True,
    )
    op.create_table(
        "unit",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("loom_id", sa.Integer(), nullable=False),
        sa.Column("revision_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("serial", sa.Text(), nullable=False),
        sa.Column("code", sa.Text(), nullable=False),
        sa.Column("depth", sa.Text(), nullable=False),
        sa.Column("created_at", sa.Text(), nullable=False),
        sa.CheckConstraint("depth IN ('short', 'full')", name=op.f("ck_unit_depth_known")),
        sa.ForeignKeyConstraint(["loom_id"], ["loom.id"], name=op.f("fk_unit_loom_id")),
        sa.ForeignKeyConstraint(["revision_id"], ["revision.id"], name=op.f("fk_unit_revision_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_unit")),
        sa.UniqueConstraint("code", name=op.f("uq_unit_code")),
        sa.UniqueConstraint("loom_id", "number", name=op.f("uq_unit_loom_id_number")),
        sa.UniqueConstraint("serial", name=op.f("uq_unit_serial")),
        sqlite_strict=True,
    )
    with op.batch_alter_table("unit", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_unit_loom_id"), ["loom_id"], unique=False)

    op.create_table(
        "basis",
        sa.Column("supply_place_uid", sa.Text(), nullable=True),
        sa.Column("isolator_place_uid", sa.Text(), nullable=True),
        sa.Column("fuse_board_place_uid", sa.Text(), nullable=True),
        sa.Column("plug_place_uids", sa.Text(), nullable=False),
        sa.Column("battery", sa.Text(), nullable=False),
        sa.Column("supply_mohm_new", sa.REAL(), nullable=False),
        sa.Column("supply_mohm_old_cold", sa.REAL(), nullable=False),
        sa.Column("heat_at_v", sa.REAL(), nullable=False),
        sa.Column("drop_at_v", sa.REAL(), nullable=False),
        sa.Column("ambient_c", sa.REAL(), nullable=False),
        sa.Column("standard", sa.Text(), nullable=False),
        sa.Column("colour_code", sa.Text(), nullable=False),
        sa.Column("cable_kind", sa.Text(), nullable=False),
        sa.Column("cable_finish", sa.Text(), nullable=False),
        sa.Column("insulation", sa.Text(), nullable=False),
        sa.Column("limit_c", sa.REAL(), nullable=False),
        sa.Column("min_section_mm2", sa.REAL(), nullable=False),
        sa.Column("terminal_finish", sa.Text(), nullable=False),
        sa.Column("revision_id", sa.Integer(), nullable=False),
        sa.Column("uid", sa.Text(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("origin", sa.Text(), nullable=False),
        sa.Column("by_hand", sa.Text(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["revision_id", "supply_place_uid"],
            ["place.revision_id", "place.uid"],
            name=op.f("fk_basis_revision_id_supply_place_uid"),
            initially="DEFERRED",
            deferrable=True,
        ),
        sa.ForeignKeyConstraint(
            ["revision_id"], ["revision.id"], name=op.f("fk_basis_revision_id")
        ),
        sa.PrimaryKeyConstraint("revision_id", "uid", name=op.f("pk_basis")),
        sqlite_strict=True,
    )
    op.create_table(
        "journal_entry",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("project_id", sa.Integer(), nullable=False),
        sa.Column("loom_id", sa.Integer(), nullable=True),
        sa.Column("unit_id", sa.Integer(), nullable=True),
        sa.Column("sentence", sa.Text(), nullable=False),
        sa.Column("details", sa.Text(), nullable=True),
        sa.Column("person_id", sa.Integer(), nullable=True),
        sa.Column("at", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["loom_id"], ["loom.id"], name=op.f("fk_journal_entry_loom_id")),
        sa.ForeignKeyConstraint(
            ["person_id"], ["person.id"], name=op.f("fk_journal_entry_person_id")
        ),
        sa.ForeignKeyConstraint(
            ["project_id"], ["project.id"], name=op.f("fk_journal_entry_project_id")
        ),
        sa.ForeignKeyConstraint(["unit_id"], ["unit.id"], name=op.f("fk_journal_entry_unit_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_journal_entry")),
        sqlite_strict=True,
    )
    with op.batch_alter_table("journal_entry", schema=None) as batch_op:
        batch_op.create_index(
            batch_op.f("ix_journal_entry_project_id"), ["project_id"], unique=False
        )

    op.create_table(
        "need",
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("quantity", sa.Integer(), nullable=False),
        sa.Column("place_uid", sa.Text(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("rating", sa.REAL(), nullable=False),
        sa.Column("rating_unit", sa.Text(), nullable=False),
        sa.Column("rated_at_v", sa.REAL(), nullable=False),
        sa.Column("control", sa.Text(), nullable=False),
        sa.Column("control_place_uid", sa.Text(), nullable=True),
        sa.Column("override_place_uid", sa.Text(), nullable=True),
        sa.Column("switched_with_uid", sa.Text(), nullable=True),
        sa.Column("service", sa.Text(), nullable=False),
        sa.Column("on_s", sa.REAL(), nullable=True),
        sa.Column("off_s", sa.REAL(), nullable=True),
        sa.Column("max_drop_percent", sa.REAL(), nullable=False),
        sa.Column("inrush_a", sa.REAL(), nullable=True),
        sa.Column("inrush_s", sa.REAL(), nullable=True),
        sa.Column("max_fuse_a", sa.REAL(), nullable=True),
        sa.Column("before_isolator", sa.Integer(), nullable=False),
        sa.Column("only_in_neutral", sa.Integer(), nullable=False),
        sa.Column("own_lead", sa.Integer(), nullable=False),
        sa.Column("to_field_terminal", sa.Integer(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("revision_id", sa.Integer(), nullable=False),
        sa.Column("uid", sa.Text(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("origin", sa.Text(), nullable=False),
        sa.Column("by_hand", sa.Text(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.CheckConstraint("quantity BETWEEN 1 AND 100", name=op.f("ck_need_quantity_sensible")),
        sa.ForeignKeyConstraint(
            ["revision_id", "control_place_uid"],
            ["place.revision_id", "place.uid"],
            name=op.f("fk_need_revision_id_control_place_uid"),
            initially="DEFERRED",
            deferrable=True,
        ),
        sa.ForeignKeyConstraint(
            ["revision_id", "override_place_uid"],
            ["place.revision_id", "place.uid"],
            name=op.f("fk_need_revision_id_override_place_uid"),
            initially="DEFERRED",
            deferrable=True,
        ),
        sa.ForeignKeyConstraint(
            ["revision_id", "place_uid"],
            ["place.revision_id", "place.uid"],
            name=op.f("fk_need_revision_id_place_uid"),
            initially="DEFERRED",
            deferrable=True,
        ),
        sa.ForeignKeyConstraint(["revision_id"], ["revision.id"], name=op.f("fk_need_revision_id")),
        sa.PrimaryKeyConstraint("revision_id", "uid", name=op.f("pk_need")),
        sqlite_strict=True,
    )
    op.create_table(
        "reading",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("key", sa.Text(), nullable=False),
        sa.Column("unit_id", sa.Integer(), nullable=False),
        sa.Column("revision_id", sa.Integer(), nullable=False),
        sa.Column("item_uid", sa.Text(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("what", sa.Text(), nullable=False),
        sa.Column("limit_text", sa.Text(), nullable=False),
        sa.Column("value", sa.REAL(), nullable=True),
        sa.Column("value_unit", sa.Text(), nullable=False),
        sa.Column("method", sa.Text(), nullable=False),
        sa.Column("result", sa.Text(), nullable=False),
        sa.Column("instrument_id", sa.Integer(), nullable=True),
        sa.Column("instrument_text", sa.Text(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=False),
        sa.Column("client_at", sa.Text(), nullable=True),
        sa.Column("at", sa.Text(), nullable=False),
        sa.CheckConstraint("result IN ('pass', 'fail')", name=op.f("ck_reading_result_known")),
        sa.ForeignKeyConstraint(
            ["instrument_id"], ["instrument.id"], name=op.f("fk_reading_instrument_id")
        ),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name=op.f("fk_reading_person_id")),
        sa.ForeignKeyConstraint(
            ["revision_id"], ["revision.id"], name=op.f("fk_reading_revision_id")
        ),
        sa.ForeignKeyConstraint(["unit_id"], ["unit.id"], name=op.f("fk_reading_unit_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_reading")),
        sa.UniqueConstraint("key", name=op.f("uq_reading_key")),
        sqlite_strict=True,
    )
    with op.batch_alter_table("reading", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_reading_unit_id"), ["unit_id"], unique=False)

    op.create_table(
        "run",
        sa.Column("from_place_uid", sa.Text(), nullable=False),
        sa.Column("to_place_uid", sa.Text(), nullable=False),
        sa.Column("length_mm", sa.Integer(), nullable=True),
        sa.Column("plus_minus_mm", sa.Integer(), nullable=False),
        sa.Column("measured_how", sa.Text(), nullable=False),
        sa.Column("measured_by", sa.Text(), nullable=False),
        sa.Column("covering", sa.Text(), nullable=False),
        sa.Column("covering_part_uid", sa.Text(), nullable=True),
        sa.Column("surround_c", sa.REAL(), nullable=False),
        sa.Column("through", sa.Text(), nullable=False),
        sa.Column("revision_id", sa.Integer(), nullable=False),
        sa.Column("uid", sa.Text(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("origin", sa.Text(), nullable=False),
        sa.Column("by_hand", sa.Text(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.CheckConstraint(
            "length_mm IS NULL OR length_mm BETWEEN 1 AND 1000000", name=op.f("ck_run_length_mm")
        ),
        sa.ForeignKeyConstraint(
            ["covering_part_uid"], ["part.uid"], name=op.f("fk_run_covering_part_uid")
        ),
        sa.ForeignKeyConstraint(
            ["revision_id", "from_place_uid"],
            ["place.revision_id", "place.uid"],
            name=op.f("fk_run_revision_id_from_place_uid"),
            initially="DEFERRED",
            deferrable=True,
        ),
        sa.ForeignKeyConstraint(
            ["revision_id", "to_place_uid"],
            ["place.revision_id", "place.uid"],
            name=op.f("fk_run_revision_id_to_place_uid"),
            initially="DEFERRED",
            deferrable=True,
        ),
        sa.ForeignKeyConstraint(["revision_id"], ["revision.id"], name=op.f("fk_run_revision_id")),
        sa.PrimaryKeyConstraint("revision_id", "uid", name=op.f("pk_run")),
        sqlite_strict=True,
    )
    op.create_table(
        "stage_move",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("loom_id", sa.Integer(), nullable=False),
        sa.Column("unit_id", sa.Integer(), nullable=True),
        sa.Column("to_stage", sa.Text(), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=False),
        sa.Column("at", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["loom_id"], ["loom.id"], name=op.f("fk_stage_move_loom_id")),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name=op.f("fk_stage_move_person_id")),
        sa.ForeignKeyConstraint(["unit_id"], ["unit.id"], name=op.f("fk_stage_move_unit_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_stage_move")),
        sqlite_strict=True,
    )
    with op.batch_alter_table("stage_move", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_stage_move_loom_id"), ["loom_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_stage_move_unit_id"), ["unit_id"], unique=False)

    op.create_table(
        "tick",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("key", sa.Text(), nullable=False),
        sa.Column("unit_id", sa.Integer(), nullable=False),
        sa.Column("revision_id", sa.Integer(), nullable=False),
        sa.Column("step_uid", sa.Text(), nullable=False),
        sa.Column("state", sa.Text(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=False),
        sa.Column("device", sa.Text(), nullable=False),
        sa.Column("client_at", sa.Text(), nullable=True),
        sa.Column("at", sa.Text(), nullable=False),
        sa.CheckConstraint(
            "state IN ('done', 'undone', 'held', 'waived')", name=op.f("ck_tick_state_known")
        ),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name=op.f("fk_tick_person_id")),
        sa.ForeignKeyConstraint(["revision_id"], ["revision.id"], name=op.f("fk_tick_revision_id")),
        sa.ForeignKeyConstraint(["unit_id"], ["unit.id"], name=op.f("fk_tick_unit_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_tick")),
        sa.UniqueConstraint("key", name=op.f("uq_tick_key")),
        sqlite_strict=True,
    )
    with op.batch_alter_table("tick", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_tick_unit_id"), ["unit_id"], unique=False)

    op.create_table(
        "circuit",
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("service", sa.Text(), nullable=False),
        sa.Column("need_uid", sa.Text(), nullable=True),
        sa.Column("revision_id", sa.Integer(), nullable=False),
        sa.Column("uid", sa.Text(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("origin", sa.Text(), nullable=False),
        sa.Column("by_hand", sa.Text(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["revision_id", "need_uid"],
            ["need.revision_id", "need.uid"],
            name=op.f("fk_circuit_revision_id_need_uid"),
            initially="DEFERRED",
            deferrable=True,
        ),
        sa.ForeignKeyConstraint(
            ["revision_id"], ["revision.id"], name=op.f("fk_circuit_revision_id")
        ),
        sa.PrimaryKeyConstraint("revision_id", "uid", name=op.f("pk_circuit")),
        sqlite_strict=True,
    )
    op.create_table(
        "fitting",
        sa.Column("place_uid", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("part_uid", sa.Text(), nullable=True),
        sa.Column("mate_uid", sa.Text(), nullable=True),
        sa.Column("run_uid", sa.Text(), nullable=True),
        sa.Column("supplied_by", sa.Text(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("revision_id", sa.Integer(), nullable=False),
        sa.Column("uid", sa.Text(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("origin", sa.Text(), nullable=False),
        sa.Column("by_hand", sa.Text(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["part_uid"], ["part.uid"], name=op.f("fk_fitting_part_uid")),
        sa.ForeignKeyConstraint(
            ["revision_id", "mate_uid"],
            ["fitting.revision_id", "fitting.uid"],
            name=op.f("fk_fitting_revision_id_mate_uid"),
            initially="DEFERRED",
            deferrable=True,
        ),
        sa.ForeignKeyConstraint(
            ["revision_id", "place_uid"],
            ["place.revision_id", "place.uid"],
            name=op.f("fk_fitting_revision_id_place_uid"),
            initially="DEFERRED",
            deferrable=True,
        ),
        sa.ForeignKeyConstraint(
            ["revision_id", "run_uid"],
            ["run.revision_id", "run.uid"],
            name=op.f("fk_fitting_revision_id_run_uid"),
            initially="DEFERRED",
            deferrable=True,
        ),
        sa.ForeignKeyConstraint(
            ["revision_id"], ["revision.id"], name=op.f("fk_fitting_revision_id")
        ),
        sa.PrimaryKeyConstraint("revision_id", "uid", name=op.f("pk_fitting")),
        sqlite_strict=True,
    )
    op.create_table(
        "way",
        sa.Column("fitting_uid", sa.Text(), nullable=False),
        sa.Column("label", sa.Text(), nullable=False),
        sa.Column("contact", sa.Text(), nullable=False),
        sa.Column("takes", sa.Integer(), nullable=False),
        sa.Column("max_a", sa.REAL(), nullable=True),
        sa.Column("revision_id", sa.Integer(), nullable=False),
        sa.Column("uid", sa.Text(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("origin", sa.Text(), nullable=False),
        sa.Column("by_hand", sa.Text(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["revision_id", "fitting_uid"],
            ["fitting.revision_id", "fitting.uid"],
            name=op.f("fk_way_revision_id_fitting_uid"),
            initially="DEFERRED",
            deferrable=True,
        ),
        sa.ForeignKeyConstraint(["revision_id"], ["revision.id"], name=op.f("fk_way_revision_id")),
        sa.PrimaryKeyConstraint("revision_id", "uid", name=op.f("pk_way")),
        sqlite_strict=True,
    )
    op.create_table(
        "bridge",
        sa.Column("fitting_uid", sa.Text(), nullable=False),
        sa.Column("way_a_uid", sa.Text(), nullable=False),
        sa.Column("way_b_uid", sa.Text(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("need_uid", sa.Text(), nullable=True),
        sa.Column("load_a", sa.REAL(), nullable=True),
        sa.Column("fuse_a", sa.REAL(), nullable=True),
        sa.Column("fuse_kind", sa.Text(), nullable=True),
        sa.Column("fuse_part_uid", sa.Text(), nullable=True),
        sa.Column("max_fuse_a", sa.REAL(), nullable=True),
        sa.Column("revision_id", sa.Integer(), nullable=False),
        sa.Column("uid", sa.Text(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("origin", sa.Text(), nullable=False),
        sa.Column("by_hand", sa.Text(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["fuse_part_uid"], ["part.uid"], name=op.f("fk_bridge_fuse_part_uid")
        ),
        sa.ForeignKeyConstraint(
            ["revision_id", "fitting_uid"],
            ["fitting.revision_id", "fitting.uid"],
            name=op.f("fk_bridge_revision_id_fitting_uid"),
            initially="DEFERRED",
            deferrable=True,
        ),
        sa.ForeignKeyConstraint(
            ["revision_id", "need_uid"],
            ["need.revision_id", "need.uid"],
            name=op.f("fk_bridge_revision_id_need_uid"),
            initially="DEFERRED",
            deferrable=True,
        ),
        sa.ForeignKeyConstraint(
            ["revision_id", "way_a_uid"],
            ["way.revision_id", "way.uid"],
            name=op.f("fk_bridge_revision_id_way_a_uid"),
            initially="DEFERRED",
            deferrable=True,
        ),
        sa.ForeignKeyConstraint(
            ["revision_id", "way_b_uid"],
            ["way.revision_id", "way.uid"],
            name=op.f("fk_bridge_revision_id_way_b_uid"),
            initially="DEFERRED",
            deferrable=True,
        ),
        sa.ForeignKeyConstraint(
            ["revision_id"], ["revision.id"], name=op.f("fk_bridge_revision_id")
        ),
        sa.PrimaryKeyConstraint("revision_id", "uid", name=op.f("pk_bridge")),
        sqlite_strict=True,
    )
    op.create_table(
        "link",
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("circuit_uid", sa.Text(), nullable=False),
        sa.Column("from_way_uid", sa.Text(), nullable=True),
        sa.Column("to_way_uid", sa.Text(), nullable=True),
        sa.Column("route", sa.Text(), nullable=True),
        sa.Column("csa_mm2", sa.REAL(), nullable=True),
        sa.Column("main", sa.Text(), nullable=False),
        sa.Column("tracer", sa.Text(), nullable=False),
        sa.Column("cable_part_uid", sa.Text(), nullable=True),
        sa.Column("lengths_mm", sa.Text(), nullable=False),
        sa.Column("starter_cable", sa.Integer(), nullable=False),
        sa.Column("own_lead", sa.Integer(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("revision_id", sa.Integer(), nullable=False),
        sa.Column("uid", sa.Text(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("origin", sa.Text(), nullable=False),
        sa.Column("by_hand", sa.Text(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["cable_part_uid"], ["part.uid"], name=op.f("fk_link_cable_part_uid")
        ),
        sa.ForeignKeyConstraint(
            ["revision_id", "circuit_uid"],
            ["circuit.revision_id", "circuit.uid"],
            name=op.f("fk_link_revision_id_circuit_uid"),
            initially="DEFERRED",
            deferrable=True,
        ),
        sa.ForeignKeyConstraint(
            ["revision_id", "from_way_uid"],
            ["way.revision_id", "way.uid"],
            name=op.f("fk_link_revision_id_from_way_uid"),
            initially="DEFERRED",
            deferrable=True,
        ),
        sa.ForeignKeyConstraint(
            ["revision_id", "to_way_uid"],
            ["way.revision_id", "way.uid"],
            name=op.f("fk_link_revision_id_to_way_uid"),
            initially="DEFERRED",
            deferrable=True,
        ),
        sa.ForeignKeyConstraint(["revision_id"], ["revision.id"], name=op.f("fk_link_revision_id")),
        sa.PrimaryKeyConstraint("revision_id", "uid", name=op.f("pk_link")),
        sqlite_strict=True,
    )
    op.create_table(
        "crossing",
        sa.Column("link_uid", sa.Text(), nullable=False),
        sa.Column("way_a_uid", sa.Text(), nullable=False),
        sa.Column("way_b_uid", sa.Text(), nullable=False),
        sa.Column("revision_id", sa.Integer(), nullable=False),
        sa.Column("uid", sa.Text(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("origin", sa.Text(), nullable=False),
        sa.Column("by_hand", sa.Text(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["revision_id", "link_uid"],
            ["link.revision_id", "link.uid"],
            name=op.f("fk_crossing_revision_id_link_uid"),
            initially="DEFERRED",
            deferrable=True,
        ),
        sa.ForeignKeyConstraint(
            ["revision_id", "way_a_uid"],
            ["way.revision_id", "way.uid"],
            name=op.f("fk_crossing_revision_id_way_a_uid"),
            initially="DEFERRED",
            deferrable=True,
        ),
        sa.ForeignKeyConstraint(
            ["revision_id", "way_b_uid"],
            ["way.revision_id", "way.uid"],
            name=op.f("fk_crossing_revision_id_way_b_uid"),
            initially="DEFERRED",
            deferrable=True,
        ),
        sa.ForeignKeyConstraint(
            ["revision_id"], ["revision.id"], name=op.f("fk_crossing_revision_id")
        ),
        sa.PrimaryKeyConstraint("revision_id", "uid", name=op.f("pk_crossing")),
        sqlite_strict=True,
    )
    op.create_table(
        "wire_end",
        sa.Column("link_uid", sa.Text(), nullable=False),
        sa.Column("terminal_part_uid", sa.Text(), nullable=True),
        sa.Column("shrink_part_uid", sa.Text(), nullable=True),
        sa.Column("shrink_mm", sa.Integer(), nullable=True),
        sa.Column("strip_mm", sa.REAL(), nullable=True),
        sa.Column("solder", sa.Integer(), nullable=False),
        sa.Column("loose_mm", sa.Integer(), nullable=True),
        sa.Column("allowance_mm", sa.Integer(), nullable=False),
        sa.Column("tag", sa.Text(), nullable=False),
        sa.Column("revision_id", sa.Integer(), nullable=False),
        sa.Column("uid", sa.Text(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("origin", sa.Text(), nullable=False),
        sa.Column("by_hand", sa.Text(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["revision_id", "link_uid"],
            ["link.revision_id", "link.uid"],
            name=op.f("fk_wire_end_revision_id_link_uid"),
            initially="DEFERRED",
            deferrable=True,
        ),
        sa.ForeignKeyConstraint(
            ["revision_id"], ["revision.id"], name=op.f("fk_wire_end_revision_id")
        ),
        sa.ForeignKeyConstraint(
            ["shrink_part_uid"], ["part.uid"], name=op.f("fk_wire_end_shrink_part_uid")
        ),
        sa.ForeignKeyConstraint(
            ["terminal_part_uid"], ["part.uid"], name=op.f("fk_wire_end_terminal_part_uid")
        ),
        sa.PrimaryKeyConstraint("revision_id", "uid", name=op.f("pk_wire_end")),
        sqlite_strict=True,
    )
    for table in JOURNALS:
        for verb in ("UPDATE", "DELETE"):
            op.execute(
                f"CREATE TRIGGER {table}_refuse_{verb.lower()} BEFORE {verb} ON {table} "
                f"BEGIN SELECT RAISE(ABORT, '{table} is append-only'); END"
            )
    for table in DESIGN_TABLES:
        for verb, row in (("INSERT", "NEW"), ("UPDATE", "OLD"), ("DELETE", "OLD")):
            op.execute(
                f"CREATE TRIGGER {table}_frozen_{verb.lower()} BEFORE {verb} ON {table} "
                f"WHEN (SELECT signed_off_at FROM revision WHERE id = {row}.revision_id) "
                f"IS NOT NULL "
                f"BEGIN SELECT RAISE(ABORT, 'This revision is signed off for the bench'); END"
            )
    for verb in ("UPDATE", "DELETE"):
        op.execute(
            f"CREATE TRIGGER revision_frozen_{verb.lower()} BEFORE {verb} ON revision "
            f"WHEN OLD.signed_off_at IS NOT NULL "
            f"BEGIN SELECT RAISE(ABORT, 'This revision is signed off for the bench'); END"
        )


def downgrade() -> None:
    raise NotImplementedError("The first tables are never taken away: restore a backup instead.")
