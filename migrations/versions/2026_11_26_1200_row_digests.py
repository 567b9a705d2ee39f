"""Digests of keys, audit lines and kept answers in a chain of their own; what is there already is covered now.

Works while the previous release runs: the table is a new one. Rows that the older code keeps meanwhile have no digest:
`verify` names them, and `verify --cover` takes them over.
"""

import sqlalchemy as sa
from alembic import op

from service.storage import append_only
from service.storage.row_digest import cover
from service.storage.table import now

revision: str = "row_digests"
down_revision: str | None = "dangers_and_margins"

WHOLE = sa.BigInteger().with_variant(sa.Integer(), "sqlite")


def upgrade() -> None:
    op.create_table(
        "row_digests",
        sa.Column("id", WHOLE, nullable=False, autoincrement=False),
        sa.Column("created", sa.Text(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("subject", sa.Text(), nullable=False),
        sa.Column("content", sa.Text(), nullable=True),
        sa.Column("form", WHOLE, nullable=False),
        sa.Column("previous", sa.Text(), nullable=True),
        sa.Column("digest", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_row_digests"),
        sqlite_strict=True,
    )
    dialect = op.get_bind().dialect.name
    for event in ("update", "delete"):
        for statement in append_only.refuse(dialect, "row_digests", event):
            op.execute(sa.text(statement))
    cover(op.get_bind(), now(), ("key", "audit", "kept_answer"))


def downgrade() -> None:
    append_only.require_empty(op.get_bind())
    append_only.drop_table(op.execute, op.get_bind().dialect.name, "row_digests", ("update", "delete"))
