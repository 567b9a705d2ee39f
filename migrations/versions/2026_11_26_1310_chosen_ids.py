"""Lists stay in the order of entry where ids are chosen by whoever enters a vessel or a condition.

Works while the previous release runs: indexes alone.
"""

from alembic import op

revision: str = "chosen_ids"
down_revision: str | None = "dangers_and_margins"

INDEXES = (
    ("vessels", ("created", "id")),
    ("conditions", ("created", "id")),
    ("conditions", ("vessel", "created", "id")),
)


def upgrade() -> None:
    for table, columns in INDEXES:
        op.create_index(f"ix_{table}_" + "_".join(columns), table, columns)


def downgrade() -> None:
    for table, columns in reversed(INDEXES):
        op.drop_index(f"ix_{table}_" + "_".join(columns), table)
