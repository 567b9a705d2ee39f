"""Indexes for lists by title, voyage, author and name, and in these orders.

Works while the previous release runs: indexes alone.
"""

from alembic import op

from service.storage import append_only

revision: str = "list_indexes"
down_revision: str | None = "unfinished_booklets"

INDEXES = (
    ("conditions", "title"),
    ("conditions", "voyage"),
    ("conditions", "author_name"),
    ("conditions", "author_key"),
    ("vessels", "name"),
    ("vessels", "updated"),
)


def upgrade() -> None:
    for table, column in INDEXES:
        op.create_index(f"ix_{table}_{column}_id", table, [column, "id"])


def downgrade() -> None:
    append_only.require_empty(op.get_bind())
    for table, column in reversed(INDEXES):
        op.drop_index(f"ix_{table}_{column}_id", table)
