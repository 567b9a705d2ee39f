"""Ports and drafts of heads of conditions, and the proofs of booklets: what the fleet lists and searches.

Works while the previous release runs: the columns may be null, and what it keeps meanwhile is filled by this release.
The table is new.
"""

import sqlalchemy as sa
from alembic import op

from service.storage import append_only

revision: str = "fleet_columns"
down_revision: str | None = "list_indexes"

WHOLE = sa.BigInteger().with_variant(sa.Integer(), "sqlite")
NUMBER = sa.Double().with_variant(sa.REAL(), "sqlite")
COLUMNS = (
    ("port_from", sa.Text()),
    ("port_to", sa.Text()),
    ("draft_aft", NUMBER),
    ("draft_forward", NUMBER),
    ("shown_number", WHOLE),
)


def upgrade() -> None:
    for name, kind in COLUMNS:
        op.add_column("conditions", sa.Column(name, kind, nullable=True))
    op.create_table(
        "vessel_proofs",
        sa.Column("vessel", sa.Text(), nullable=False),
        sa.Column("revision", WHOLE, nullable=False),
        *(sa.Column(name, sa.Text(), nullable=False) for name in ("digest", "calculation_version", "state")),
        *(sa.Column(name, WHOLE, nullable=False) for name in ("conditions", "off")),
        sa.Column("created", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("vessel", name="pk_vessel_proofs"),
        sa.ForeignKeyConstraint(["vessel"], ["vessels.id"], name="fk_vessel_proofs_vessel_vessels"),
        sqlite_strict=True,
    )


def downgrade() -> None:
    append_only.require_empty(op.get_bind())
    op.drop_table("vessel_proofs")
    for name, _ in reversed(COLUMNS):
        # ALTER TABLE ... DROP COLUMN, not rebuilt tables: the triggers stay.
        op.drop_column("conditions", name)
