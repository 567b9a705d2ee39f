"""Lists stay in the order of entry where ids are chosen by whoever enters a vessel or a condition.

Works while the previous release runs: indexes alone.
"""

from alembic import op

from service.storage import append_only

revision: str = "chosen_ids"
down_revision: str | None = "pepper_checks"

NEW = (
    ("vessels", ("created", "id")),
    ("conditions", ("created", "id")),
    ("conditions", ("vessel", "created", "id")),
    ("conditions", ("verdict", "created", "id")),
    ("conditions", ("review_state", "created", "id")),
)
OLD = (("conditions", ("verdict", "id")), ("conditions", ("review_state", "id")))


def _name(table: str, columns: tuple[str, ...]) -> str:
    return f"ix_{table}_" + "_".join(columns)


def upgrade() -> None:
    for table, columns in NEW:
        op.create_index(_name(table, columns), table, columns)
    for table, columns in OLD:
        op.drop_index(_name(table, columns), table)


def downgrade() -> None:
    append_only.require_empty(op.get_bind())
    for table, columns in OLD:
        op.create_index(_name(table, columns), table, columns)
    for table, columns in reversed(NEW):
        op.drop_index(_name(table, columns), table)
