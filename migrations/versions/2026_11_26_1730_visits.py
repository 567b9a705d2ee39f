"""When readers of the pages were last here.

Works while the previous release runs: the table is a new one.
"""

import sqlalchemy as sa
from alembic import op

from service.storage import append_only

revision: str = "visits"
down_revision: str | None = "webhooks"


def upgrade() -> None:
    op.create_table(
        "visits",
        sa.Column("key_id", sa.Text(), nullable=False),
        sa.Column("seen", sa.Text(), nullable=False),
        sa.Column("before", sa.Text(), nullable=True),
        sa.PrimaryKeyConstraint("key_id", name="pk_visits"),
        sqlite_strict=True,
    )


def downgrade() -> None:
    append_only.require_empty(op.get_bind())
    op.drop_table("visits")
