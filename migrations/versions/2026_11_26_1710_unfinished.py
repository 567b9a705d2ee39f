"""Conditions that are being typed, kept for a while so that ship, phone and office see the same.

Works while the previous release runs: the table is a new one.
"""

import sqlalchemy as sa
from alembic import op

from service.storage import append_only

revision: str = "unfinished"
down_revision: str | None = "states"

WHOLE = sa.BigInteger().with_variant(sa.Integer(), "sqlite")


def upgrade() -> None:
    op.create_table(
        "unfinished",
        sa.Column("vessel", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("title", sa.Text(), nullable=True),
        sa.Column("document", sa.Text(), nullable=True),
        sa.Column("author_key", sa.Text(), nullable=False),
        sa.Column("author_name", sa.Text(), nullable=False),
        sa.Column("number", WHOLE, nullable=False),
        sa.Column("bytes", WHOLE, nullable=False),
        sa.Column("created", sa.Text(), nullable=False),
        sa.Column("updated", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("vessel", "name", name="pk_unfinished"),
        sa.ForeignKeyConstraint(["vessel"], ["vessels.id"], name="fk_unfinished_vessel"),
        sqlite_strict=True,
    )
    op.create_index("ix_unfinished_updated", "unfinished", ["updated"])


def downgrade() -> None:
    append_only.require_empty(op.get_bind())
    op.drop_table("unfinished")
