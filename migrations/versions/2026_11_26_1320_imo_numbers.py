"""Vessels are found by their IMO number, to keep one number for one ship.

Not a unique index: vessels that were entered twice before are kept as they are.

Works while the previous release runs: an index alone.
"""

from alembic import op

from service.storage import append_only

revision: str = "imo_numbers"
down_revision: str | None = "chosen_ids"


def upgrade() -> None:
    op.create_index("ix_vessels_imo_number", "vessels", ["imo_number"])


def downgrade() -> None:
    append_only.require_empty(op.get_bind())
    op.drop_index("ix_vessels_imo_number", "vessels")
