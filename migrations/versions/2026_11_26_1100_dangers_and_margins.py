"""What lists, the fleet and the feed show without opening an answer: dangers and both margins.

Works while the previous release runs: the columns may be null, the older code names its columns and does not write
them. `figures_number` of a head says which revision its figures are of, so that a head which the older code moved
does not show those of the revision before.
"""

import sqlalchemy as sa
from alembic import op

from service.storage import append_only

revision: str = "dangers_and_margins"
down_revision: str | None = "address_and_age"

WHOLE = sa.BigInteger().with_variant(sa.Integer(), "sqlite")
NUMBER = sa.Double().with_variant(sa.REAL(), "sqlite")
COLUMNS = (
    ("dangers", WHOLE),
    ("least_margin", NUMBER),
    ("least_margin_unit", sa.Text()),
    ("least_margin_criterion", sa.Text()),
    ("least_margin_gm", NUMBER),
    ("least_margin_side", sa.Text()),
    ("load_line_draft", NUMBER),
    ("load_line_mass", NUMBER),
)


def upgrade() -> None:
    op.add_column("conditions", sa.Column("figures_number", WHOLE, nullable=True))
    for table in ("conditions", "condition_revisions"):
        for name, kind in COLUMNS:
            op.add_column(table, sa.Column(name, kind, nullable=True))


def downgrade() -> None:
    append_only.require_empty(op.get_bind())
    # ALTER TABLE ... DROP COLUMN, not rebuilt tables: the triggers stay.
    for table in ("condition_revisions", "conditions"):
        for name, _ in reversed(COLUMNS):
            op.drop_column(table, name)
    op.drop_column("conditions", "figures_number")
