"""States of conditions and vessels: which condition a ship sails with, what was put aside or withdrawn.

Works while the previous release runs: it does not name the new columns of the heads, which have defaults, and nothing
that it keeps has a state. Its `verify` stops at the two triggers that guard more than it knows.
"""

import sqlalchemy as sa
from alembic import op

from service.storage import append_only

revision: str = "states"
down_revision: str | None = "references"

WHOLE = sa.BigInteger().with_variant(sa.Integer(), "sqlite")
HEADS = (("conditions", "worked_on", ("id", "vessel", "created")), ("vessels", "active", ("id", "created")))
EVENTS = (
    ("condition", "condition_revisions", "'worked_on', 'in_force', 'put_aside', 'withdrawn'"),
    ("vessel", "vessel_revisions", "'active', 'withdrawn'"),
)
IN_FORCE = sa.text("state = 'in_force'")
NEW = (
    ("conditions", ("vessel", "state", "updated", "id")),
    ("conditions", ("state", "created", "id")),
    ("conditions", ("vessel", "state", "verdict", "review_state")),
    ("vessels", ("state", "created", "id")),
)


def upgrade() -> None:
    dialect = op.get_bind().dialect.name
    for table, state, fixed in HEADS:
        op.add_column(table, sa.Column("state", sa.Text(), nullable=False, server_default=state))
        op.add_column(table, sa.Column("states", WHOLE, nullable=False, server_default="0"))
        op.add_column(table, sa.Column("state_digest", sa.Text(), nullable=True))
        _guard(dialect, table, fixed, ("states", "state_digest"))
    for kind, revisions, states in EVENTS:
        _events(kind, revisions, states)
        for event in ("update", "delete"):
            for statement in append_only.refuse(dialect, f"{kind}_states", event):
                op.execute(sa.text(statement))
    op.add_column("changes", sa.Column("state", sa.Text(), nullable=True))
    op.add_column("changes", sa.Column("state_number", WHOLE, nullable=True))
    for table, columns in NEW:
        op.create_index(f"ix_{table}_" + "_".join(columns), table, columns)
    op.create_index(
        "uq_conditions_in_force",
        "conditions",
        ["vessel"],
        unique=True,
        sqlite_where=IN_FORCE,
        postgresql_where=IN_FORCE,
    )
    op.drop_index("ix_conditions_vessel_updated_id", "conditions")


def _events(kind: str, revisions: str, states: str) -> None:
    extra = [sa.Column("replaced_by", sa.Text(), nullable=True)] if kind == "condition" else []
    op.create_table(
        f"{kind}_states",
        sa.Column("state", sa.Text(), nullable=False),
        sa.Column("reason", sa.Text(), nullable=True),
        sa.Column("author_key", sa.Text(), nullable=False),
        sa.Column("author_name", sa.Text(), nullable=False),
        sa.Column("request_id", sa.Text(), nullable=True),
        sa.Column("revision", WHOLE, nullable=False),
        sa.Column("revision_digest", sa.Text(), nullable=False),
        sa.Column("created", sa.Text(), nullable=False),
        sa.Column("form", WHOLE, nullable=False),
        sa.Column("previous", sa.Text(), nullable=True),
        sa.Column("digest", sa.Text(), nullable=False),
        sa.Column(kind, sa.Text(), nullable=False),
        sa.Column("number", WHOLE, nullable=False),
        *extra,
        sa.PrimaryKeyConstraint(kind, "number", name=f"pk_{kind}_states"),
        sa.ForeignKeyConstraint(
            [kind, "revision"],
            [f"{revisions}.{kind}", f"{revisions}.number"],
            name=f"fk_{kind}_states_{kind}_revision",
        ),
        sa.CheckConstraint(f"state IN ({states})", name=f"ck_{kind}_states_state"),
        sqlite_strict=True,
    )


def _guard(dialect: str, table: str, fixed: tuple[str, ...], *more: tuple[str, str]) -> None:
    """The trigger of a table of heads anew, with `more` pairs of number and digest that only move forward."""
    heads = [("head_number", "head_digest")]
    if table == "conditions":
        heads.append(("reviews", "review_digest"))
    for statement in append_only.drop(dialect, table, f"{table}_refuses_step_back"):
        op.execute(sa.text(statement))
    for statement in append_only.refuse_step_back(dialect, table, fixed, [*heads, *more]):
        op.execute(sa.text(statement))


def downgrade() -> None:
    append_only.require_empty(op.get_bind())
    dialect = op.get_bind().dialect.name
    op.create_index("ix_conditions_vessel_updated_id", "conditions", ("vessel", "updated", "id"))
    op.drop_index("uq_conditions_in_force", "conditions")
    for table, columns in reversed(NEW):
        op.drop_index(f"ix_{table}_" + "_".join(columns), table)
    # ALTER TABLE ... DROP COLUMN, not rebuilt tables: the triggers stay.
    for name in ("state_number", "state"):
        op.drop_column("changes", name)
    for kind, _, _ in EVENTS:
        append_only.drop_table(op.execute, dialect, f"{kind}_states", ("update", "delete"))
    for table, _, fixed in HEADS:
        _guard(dialect, table, fixed)
        for name in ("state_digest", "states", "state"):
            op.drop_column(table, name)
