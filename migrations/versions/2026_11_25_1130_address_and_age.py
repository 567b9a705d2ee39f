"""Where an audited write came from; kept answers found by age when they are forgotten.

Works while the previous release runs: the column may be null, and the older code names its columns.
"""

import sqlalchemy as sa
from alembic import op

from service.storage import append_only

revision: str = "address_and_age"
down_revision: str | None = "records"


def upgrade() -> None:
    op.add_column("audit", sa.Column("address", sa.Text(), nullable=True))
    op.create_index("ix_kept_answers_created", "kept_answers", ["created"])


def downgrade() -> None:
    append_only.require_empty(op.get_bind())
    op.drop_index("ix_kept_answers_created", "kept_answers")
    # ALTER TABLE ... DROP COLUMN, not a rebuilt table: the triggers of `audit` stay.
    op.drop_column("audit", "address")
