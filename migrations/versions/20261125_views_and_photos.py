"""What people see and how: columns chosen, plan angles, photos, units of length and date style.

Why: two people want different columns of one table; a plan is turned to lie as the vehicle does
without touching the design; an old loom is copied with a photo of each plug.
"""

import sqlalchemy as sa
from alembic import op

revision = "20261125_views"
down_revision = "20261125_richer"
branch_labels = None
depends_on = None


def upgrade() -> None:
    for column in (
        "length_unit TEXT NOT NULL DEFAULT 'mm'",
        "decimal_mark TEXT NOT NULL DEFAULT '.'",
        "date_style TEXT NOT NULL DEFAULT '13 Dec 2026'",
    ):
        op.execute(f"ALTER TABLE workshop ADD COLUMN {column}")
    op.create_table(
        "table_view",
        sa.Column("person_id", sa.Integer(), nullable=False),
        sa.Column("table_name", sa.Text(), nullable=False),
        sa.Column("columns", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name=op.f("fk_table_view_person_id")),
        sa.PrimaryKeyConstraint("person_id", "table_name", name=op.f("pk_table_view")),
        sqlite_strict=True,
    )
    op.create_table(
        "plan_angle",
        sa.Column("loom_id", sa.Integer(), nullable=False),
        sa.Column("run_uid", sa.Text(), nullable=False),
        sa.Column("angle_deg", sa.REAL(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["loom_id"], ["loom.id"], name=op.f("fk_plan_angle_loom_id")),
        sa.PrimaryKeyConstraint("loom_id", "run_uid", name=op.f("pk_plan_angle")),
        sqlite_strict=True,
    )
    op.create_table(
        "photo",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("key", sa.Text(), nullable=False),
        sa.Column("loom_id", sa.Integer(), nullable=False),
        sa.Column("unit_id", sa.Integer(), nullable=True),
        sa.Column("about", sa.Text(), nullable=False),
        sa.Column("about_uid", sa.Text(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("width_px", sa.Integer(), nullable=False),
        sa.Column("height_px", sa.Integer(), nullable=False),
        sa.Column("removed", sa.Integer(), nullable=False),
        sa.Column("jpeg", sa.LargeBinary(), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=False),
        sa.Column("at", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["loom_id"], ["loom.id"], name=op.f("fk_photo_loom_id")),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name=op.f("fk_photo_person_id")),
        sa.ForeignKeyConstraint(["unit_id"], ["unit.id"], name=op.f("fk_photo_unit_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_photo")),
        sa.UniqueConstraint("key", name=op.f("uq_photo_key")),
        sqlite_strict=True,
    )
    op.create_index(op.f("ix_photo_loom_id"), "photo", ["loom_id"])


def downgrade() -> None:
    raise NotImplementedError("Photos are never taken away: restore a backup instead.")
