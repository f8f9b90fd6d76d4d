"""What richer proposals and findings need: cables, splices along runs, grommets, own colours.

Why: a proposal now knows more ways of control, cables of several cores and where splices lie;
findings look at bends and openings and can be accepted with a reason; a change in mid-build is
priced against the revision that it starts from; ticks that a revision undoes are marked so.
"""

import sqlalchemy as sa
from alembic import op

revision = "20261125_richer"
down_revision = "20261124_first"
branch_labels = None
depends_on = None

# Column, definition. A column that points at another table may only be added empty.
NEW_COLUMNS = {
    "basis": ("fuse_sharing TEXT NOT NULL DEFAULT 'own'",),
    "run": (
        "through_part_uid TEXT CONSTRAINT fk_run_through_part_uid REFERENCES part (uid)",
        "bend_at_mm INTEGER",
        "bend_radius_mm INTEGER",
    ),
    "need": (
        "relay_place_uid TEXT",
        "also_with_uid TEXT",
        "live_when TEXT NOT NULL DEFAULT 'always'",
        "apart_from_uid TEXT",
        "laid_as TEXT NOT NULL DEFAULT 'single wires'",
        "feeds INTEGER NOT NULL DEFAULT 1",
        "extra_sizes INTEGER NOT NULL DEFAULT 0",
    ),
    "fitting": (
        "along_run_uid TEXT",
        "along_mm INTEGER",
        "blanked INTEGER NOT NULL DEFAULT 0",
    ),
    "bridge": ("resistance_ohm REAL",),
    "link": ("cable_uid TEXT", "core TEXT NOT NULL DEFAULT ''"),
    "workshop": ("only_stocked_colours INTEGER NOT NULL DEFAULT 0",),
    "quote": (
        "change_from_id INTEGER CONSTRAINT fk_quote_change_from_id REFERENCES revision (id)",
        "design_revision_id INTEGER "
        "CONSTRAINT fk_quote_design_revision_id REFERENCES revision (id)",
    ),
}


def upgrade() -> None:
    for table, columns in NEW_COLUMNS.items():
        for column in columns:
            op.execute(f"ALTER TABLE {table} ADD COLUMN {column}")
    _rename_second_place()
    _new_tables()
    _ticks_may_be_superseded()


def _rename_second_place() -> None:
    """A second place is more than where an override sits; the commands that undo replays say so."""
    op.execute("ALTER TABLE need RENAME COLUMN override_place_uid TO second_place_uid")
    op.execute("DROP TRIGGER design_command_refuse_update")
    op.execute(
        "UPDATE design_command "
        "SET changes = replace(changes, '\"override_place_uid\"', '\"second_place_uid\"')"
    )
    _append_only("design_command", ("UPDATE",))


def _new_tables() -> None:
    op.create_table(
        "cable",
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("part_uid", sa.Text(), nullable=True),
        sa.Column("revision_id", sa.Integer(), nullable=False),
        sa.Column("uid", sa.Text(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("origin", sa.Text(), nullable=False),
        sa.Column("by_hand", sa.Text(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["part_uid"], ["part.uid"], name=op.f("fk_cable_part_uid")),
        sa.ForeignKeyConstraint(
            ["revision_id"], ["revision.id"], name=op.f("fk_cable_revision_id")
        ),
        sa.PrimaryKeyConstraint("revision_id", "uid", name=op.f("pk_cable")),
        sqlite_strict=True,
    )
    for verb, row in (("INSERT", "NEW"), ("UPDATE", "OLD"), ("DELETE", "OLD")):
        op.execute(
            f"CREATE TRIGGER cable_frozen_{verb.lower()} BEFORE {verb} ON cable "
            f"WHEN (SELECT signed_off_at FROM revision WHERE id = {row}.revision_id) "
            f"IS NOT NULL "
            f"BEGIN SELECT RAISE(ABORT, 'This revision is signed off for the bench'); END"
        )
    op.create_table(
        "finding_answer",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("loom_id", sa.Integer(), nullable=False),
        sa.Column("revision_id", sa.Integer(), nullable=False),
        sa.Column("rule", sa.Text(), nullable=False),
        sa.Column("row_table", sa.Text(), nullable=False),
        sa.Column("row_uid", sa.Text(), nullable=False),
        sa.Column("sentence", sa.Text(), nullable=False),
        sa.Column("what", sa.Text(), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=False),
        sa.Column("at", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["loom_id"], ["loom.id"], name=op.f("fk_finding_answer_loom_id")),
        sa.ForeignKeyConstraint(
            ["person_id"], ["person.id"], name=op.f("fk_finding_answer_person_id")
        ),
        sa.ForeignKeyConstraint(
            ["revision_id"], ["revision.id"], name=op.f("fk_finding_answer_revision_id")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_finding_answer")),
        sqlite_strict=True,
    )
    op.create_index(op.f("ix_finding_answer_loom_id"), "finding_answer", ["loom_id"])
    _append_only("finding_answer", ("UPDATE", "DELETE"))
    op.create_table(
        "function_colour",
        sa.Column("function", sa.Text(), nullable=False),
        sa.Column("main", sa.Text(), nullable=False),
        sa.Column("tracer", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("function", name=op.f("pk_function_colour")),
        sqlite_strict=True,
    )
    op.create_table(
        "stocked_colour",
        sa.Column("main", sa.Text(), nullable=False),
        sa.Column("tracer", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("main", "tracer", name=op.f("pk_stocked_colour")),
        sqlite_strict=True,
    )


def _ticks_may_be_superseded() -> None:
    """A CHECK cannot be changed in place: the journal moves, row by row, into a table with it."""
    old = "state IN ('done', 'undone', 'held', 'waived')"
    connection = op.get_bind()
    made_by = connection.exec_driver_sql(
        "SELECT sql FROM sqlite_master WHERE type = 'table' AND name = 'tick'"
    ).scalar_one()
    indexes = connection.exec_driver_sql(
        "SELECT sql FROM sqlite_master WHERE type = 'index' AND tbl_name = 'tick' AND sql NOT NULL"
    ).scalars()
    if old not in made_by:
        raise RuntimeError("The table tick is not as the first migration made it")
    new = made_by.replace(old, "state IN ('done', 'undone', 'held', 'waived', 'superseded')")
    remade = list(indexes)
    op.execute(new.replace("tick", "tick_new", 1))
    op.execute("INSERT INTO tick_new SELECT * FROM tick ORDER BY id")
    op.execute("DROP TABLE tick")
    op.execute("ALTER TABLE tick_new RENAME TO tick")
    for index in remade:
        op.execute(index)
    _append_only("tick", ("UPDATE", "DELETE"))


def _append_only(table: str, verbs: tuple[str, ...]) -> None:
    for verb in verbs:
        op.execute(
            f"CREATE TRIGGER {table}_refuse_{verb.lower()} BEFORE {verb} ON {table} "
            f"BEGIN SELECT RAISE(ABORT, '{table} is append-only'); END"
        )


def downgrade() -> None:
    raise NotImplementedError("Journals are never taken back: restore a backup instead.")
