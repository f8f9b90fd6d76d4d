"""What the bench and the workshop's network need: set-ups, rework, scrap, meetings, devices.

Why: a crimp waits for its set-up; a tick says that something is made again or cut again, and what
was measured on it; two tablets that tick the same step are both told; over the network only
paired tablets and people with a password are let in.
"""

import sqlalchemy as sa
from alembic import op

revision = "20261130_bench"
down_revision = "20261125_views"
branch_labels = None
depends_on = None

OLD_STATES = "state IN ('done', 'undone', 'held', 'waived', 'superseded')"
NEW_STATES = "state IN ('done', 'undone', 'held', 'waived', 'superseded', 'rework', 'scrapped')"


def upgrade() -> None:
    _ticks_know_rework_and_scrap()
    op.execute("ALTER TABLE tick ADD COLUMN height_mm REAL")
    op.execute("ALTER TABLE tick ADD COLUMN pull_n REAL")
    op.execute("ALTER TABLE person ADD COLUMN password_hash TEXT NOT NULL DEFAULT ''")
    op.execute("ALTER TABLE workshop ADD COLUMN pause_gap_s INTEGER NOT NULL DEFAULT 600")
    _meetings()
    _set_ups()
    _devices()


def _ticks_know_rework_and_scrap() -> None:
    """A CHECK cannot be changed in place: the journal moves, row by row, into a table with it."""
    connection = op.get_bind()
    made_by = connection.exec_driver_sql(
        "SELECT sql FROM sqlite_master WHERE type = 'table' AND name = 'tick'"
    ).scalar_one()
    indexes = list(
        connection.exec_driver_sql(
            "SELECT sql FROM sqlite_master "
            "WHERE type = 'index' AND tbl_name = 'tick' AND sql NOT NULL"
        ).scalars()
    )
    if OLD_STATES not in made_by:
        raise RuntimeError("The table tick is not as the migration before made it")
    op.execute(made_by.replace(OLD_STATES, NEW_STATES).replace("tick", "tick_new", 1))
    op.execute("INSERT INTO tick_new SELECT * FROM tick ORDER BY id")
    op.execute("DROP TABLE tick")
    op.execute("ALTER TABLE tick_new RENAME TO tick")
    for index in indexes:
        op.execute(index)
    _append_only("tick")


def _meetings() -> None:
    op.create_table(
        "tick_meeting",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("key", sa.Text(), nullable=False),
        sa.Column("tick_id", sa.Integer(), nullable=False),
        sa.Column("unit_id", sa.Integer(), nullable=False),
        sa.Column("step_uid", sa.Text(), nullable=False),
        sa.Column("state", sa.Text(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("outcome", sa.Text(), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=False),
        sa.Column("device", sa.Text(), nullable=False),
        sa.Column("client_at", sa.Text(), nullable=True),
        sa.Column("at", sa.Text(), nullable=False),
        sa.CheckConstraint(
            "outcome IN ('same', 'refused')", name=op.f("ck_tick_meeting_outcome_known")
        ),
        sa.ForeignKeyConstraint(
            ["person_id"], ["person.id"], name=op.f("fk_tick_meeting_person_id")
        ),
        sa.ForeignKeyConstraint(["tick_id"], ["tick.id"], name=op.f("fk_tick_meeting_tick_id")),
        sa.ForeignKeyConstraint(["unit_id"], ["unit.id"], name=op.f("fk_tick_meeting_unit_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_tick_meeting")),
        sa.UniqueConstraint("key", name=op.f("uq_tick_meeting_key")),
        sqlite_strict=True,
    )
    op.create_index(op.f("ix_tick_meeting_unit_id"), "tick_meeting", ["unit_id"])
    _append_only("tick_meeting")


def _set_ups() -> None:
    op.create_table(
        "crimp_setup",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("key", sa.Text(), nullable=False),
        sa.Column("loom_id", sa.Integer(), nullable=False),
        sa.Column("unit_id", sa.Integer(), nullable=False),
        sa.Column("terminal_uid", sa.Text(), nullable=False),
        sa.Column("csa_mm2", sa.REAL(), nullable=False),
        sa.Column("tool", sa.Text(), nullable=False),
        sa.Column("die", sa.Text(), nullable=False),
        sa.Column("wire_lot", sa.Text(), nullable=False),
        sa.Column("terminal_lot", sa.Text(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=False),
        sa.Column("at", sa.Text(), nullable=False),
        sa.CheckConstraint("length(trim(tool)) > 0", name=op.f("ck_crimp_setup_tool_given")),
        sa.ForeignKeyConstraint(["loom_id"], ["loom.id"], name=op.f("fk_crimp_setup_loom_id")),
        sa.ForeignKeyConstraint(
            ["person_id"], ["person.id"], name=op.f("fk_crimp_setup_person_id")
        ),
        sa.ForeignKeyConstraint(["unit_id"], ["unit.id"], name=op.f("fk_crimp_setup_unit_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_crimp_setup")),
        sa.UniqueConstraint("key", name=op.f("uq_crimp_setup_key")),
        sqlite_strict=True,
    )
    op.create_index(op.f("ix_crimp_setup_loom_id"), "crimp_setup", ["loom_id"])
    _append_only("crimp_setup")
    op.create_table(
        "crimp_waiver",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("key", sa.Text(), nullable=False),
        sa.Column("crimp_setup_id", sa.Integer(), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=False),
        sa.Column("at", sa.Text(), nullable=False),
        sa.CheckConstraint("length(trim(reason)) > 0", name=op.f("ck_crimp_waiver_reason_given")),
        sa.ForeignKeyConstraint(
            ["crimp_setup_id"], ["crimp_setup.id"], name=op.f("fk_crimp_waiver_crimp_setup_id")
        ),
        sa.ForeignKeyConstraint(
            ["person_id"], ["person.id"], name=op.f("fk_crimp_waiver_person_id")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_crimp_waiver")),
        sa.UniqueConstraint("key", name=op.f("uq_crimp_waiver_key")),
        sqlite_strict=True,
    )
    op.create_index(op.f("ix_crimp_waiver_crimp_setup_id"), "crimp_waiver", ["crimp_setup_id"])
    _append_only("crimp_waiver")
    op.execute(
        "ALTER TABLE reading ADD COLUMN crimp_setup_id INTEGER "
        "CONSTRAINT fk_reading_crimp_setup_id REFERENCES crimp_setup (id)"
    )
    op.create_index(op.f("ix_reading_crimp_setup_id"), "reading", ["crimp_setup_id"])


def _devices() -> None:
    op.create_table(
        "device",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=True),
        sa.Column("token_hash", sa.Text(), nullable=False),
        sa.Column("address", sa.Text(), nullable=False),
        sa.Column("made_at", sa.Text(), nullable=False),
        sa.Column("seen_at", sa.Text(), nullable=False),
        sa.Column("revoked_at", sa.Text(), nullable=True),
        sa.CheckConstraint("kind IN ('tablet', 'log-in')", name=op.f("ck_device_kind_known")),
        sa.CheckConstraint(
            "(kind = 'log-in') = (person_id IS NOT NULL)",
            name=op.f("ck_device_log_in_names_a_person"),
        ),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name=op.f("fk_device_person_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_device")),
        sa.UniqueConstraint("token_hash", name=op.f("uq_device_token_hash")),
        sqlite_strict=True,
    )
    op.create_table(
        "pairing_code",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("code_hash", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=False),
        sa.Column("made_at", sa.Text(), nullable=False),
        sa.Column("expires_at", sa.Text(), nullable=False),
        sa.Column("used_at", sa.Text(), nullable=True),
        sa.Column("device_id", sa.Integer(), nullable=True),
        sa.ForeignKeyConstraint(
            ["device_id"], ["device.id"], name=op.f("fk_pairing_code_device_id")
        ),
        sa.ForeignKeyConstraint(
            ["person_id"], ["person.id"], name=op.f("fk_pairing_code_person_id")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_pairing_code")),
        sa.UniqueConstraint("code_hash", name=op.f("uq_pairing_code_code_hash")),
        sqlite_strict=True,
    )


def _append_only(table: str) -> None:
    for verb in ("UPDATE", "DELETE"):
        op.execute(
            f"CREATE TRIGGER {table}_refuse_{verb.lower()} BEFORE {verb} ON {table} "
            f"BEGIN SELECT RAISE(ABORT, '{table} is append-only'); END"
        )


def downgrade() -> None:
    raise NotImplementedError("Journals are never taken back: restore a backup instead.")
