"""The check value of the pepper that access keys are made with, so that a restored backup can say that it is missing.

Works while the previous release runs: the table is a new one.
"""

import sqlalchemy as sa
from alembic import op

from service.storage import append_only

revision: str = "pepper_checks"
down_revision: str | None = "row_digests"

WHOLE = sa.BigInteger().with_variant(sa.Integer(), "sqlite")


def upgrade() -> None:
    op.create_table(
        "pepper_checks",
        sa.Column("id", WHOLE, nullable=False, autoincrement=False),
        sa.Column("created", sa.Text(), nullable=False),
        sa.Column("value", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_pepper_checks"),
        sqlite_strict=True,
    )
    dialect = op.get_bind().dialect.name
    for event in ("update", "delete"):
        for statement in append_only.refuse(dialect, "pepper_checks", event):
            op.execute(sa.text(statement))


def downgrade() -> None:
    append_only.require_empty(op.get_bind())
    append_only.drop_table(op.execute, op.get_bind().dialect.name, "pepper_checks", ("update", "delete"))
