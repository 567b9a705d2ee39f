"""Fleets: named sets of ships, which access keys may have as their scope.

Works while the previous release runs: the table and the column are new ones. A key of a fleet names its other ships, or
none, in the column that release reads, so there it sees less and never more.
"""

import sqlalchemy as sa
from alembic import op

from service.storage import append_only

revision: str = "fleets"
down_revision: str | None = "fleet_columns"

WHOLE = sa.BigInteger().with_variant(sa.Integer(), "sqlite")


def upgrade() -> None:
    op.create_table(
        "fleets",
        *(sa.Column(name, sa.Text(), nullable=False) for name in ("id", "name", "vessels")),
        sa.Column("number", WHOLE, nullable=False),
        *(sa.Column(name, sa.Text(), nullable=False) for name in ("created", "updated")),
        sa.PrimaryKeyConstraint("id", name="pk_fleets"),
        sqlite_strict=True,
    )
    for statement in append_only.refuse(op.get_bind().dialect.name, "fleets", "delete"):
        op.execute(sa.text(statement))
    op.add_column("keys", sa.Column("fleets", sa.Text(), nullable=True))


def downgrade() -> None:
    append_only.require_empty(op.get_bind())
    op.drop_column("keys", "fleets")
    append_only.drop_table(op.execute, op.get_bind().dialect.name, "fleets", ("delete",))
