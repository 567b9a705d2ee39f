"""A caller's own reference: shown and filtered by at vessels and conditions, and given once by each key.

Works while the previous release runs: the columns may be null, and the older code neither takes a document with a
reference nor knows the new table.
"""

import sqlalchemy as sa
from alembic import op

from service.storage import append_only

revision: str = "references"
down_revision: str | None = "imo_numbers"

TABLES = ("vessels", "conditions")


def upgrade() -> None:
    for table in TABLES:
        op.add_column(table, sa.Column("reference", sa.Text(), nullable=True))
        op.create_index(f"ix_{table}_reference_id", table, ["reference", "id"])
    op.create_table(
        "posted_references",
        sa.Column("key_id", sa.Text(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("reference", sa.Text(), nullable=False),
        sa.Column("subject", sa.Text(), nullable=False),
        sa.Column("created", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("key_id", "kind", "reference", name="pk_posted_references"),
        sqlite_strict=True,
    )


def downgrade() -> None:
    append_only.require_empty(op.get_bind())
    op.drop_table("posted_references")
    for table in reversed(TABLES):
        op.drop_index(f"ix_{table}_reference_id", table)
        # ALTER TABLE ... DROP COLUMN, not rebuilt tables: the triggers stay.
        op.drop_column(table, "reference")
