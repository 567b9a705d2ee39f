"""Booklets that are being typed in part by part, kept for a while.

Works while the previous release runs: the table is a new one.
"""

import sqlalchemy as sa
from alembic import op

from service.storage import append_only

revision: str = "unfinished_booklets"
down_revision: str | None = "visits"

WHOLE = sa.BigInteger().with_variant(sa.Integer(), "sqlite")


def upgrade() -> None:
    op.create_table(
        "unfinished_booklets",
        *(
            sa.Column(name, sa.Text(), nullable=False)
            for name in ("id", "owner_key", "name", "document", "typed", "accepted")
        ),
        sa.Column("number", WHOLE, nullable=False),
        sa.Column("bytes", WHOLE, nullable=False),
        sa.Column("created", sa.Text(), nullable=False),
        sa.Column("updated", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_unfinished_booklets"),
        sqlite_strict=True,
    )
    op.create_index(
        "ix_unfinished_booklets_owner_key_updated", "unfinished_booklets", ["owner_key", "updated"]
    )
    op.create_index("ix_unfinished_booklets_updated", "unfinished_booklets", ["updated"])


def downgrade() -> None:
    append_only.require_empty(op.get_bind())
    op.drop_table("unfinished_booklets")
