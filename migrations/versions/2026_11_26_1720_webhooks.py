"""Webhooks and their outbox.

Works while the previous release runs: the tables are new ones. What that release keeps meanwhile is told to no webhook.
"""

import sqlalchemy as sa
from alembic import op

from service.storage import append_only

revision: str = "webhooks"
down_revision: str | None = "unfinished"

WHOLE = sa.BigInteger().with_variant(sa.Integer(), "sqlite")


def text(name: str, *, nullable: bool = False) -> sa.Column[str]:
    return sa.Column(name, sa.Text(), nullable=nullable)


def upgrade() -> None:
    op.create_table(
        "webhooks",
        *map(text, ("id", "key_id", "url", "events")),
        *(text(name, nullable=True) for name in ("vessels", "description")),
        text("state"),
        text("reason", nullable=True),
        text("salt"),
        *(text(name, nullable=True) for name in ("former_salt", "former_until")),
        *map(text, ("created", "updated")),
        *(text(name, nullable=True) for name in ("last_success", "last_failure")),
        sa.PrimaryKeyConstraint("id", name="pk_webhooks"),
        sa.CheckConstraint("state IN ('active', 'paused', 'stopped')", name=op.f("ck_webhooks_state")),
        sqlite_strict=True,
    )
    op.create_index("ix_webhooks_key_id_id", "webhooks", ["key_id", "id"])
    op.create_table(
        "webhook_deliveries",
        *map(text, ("id", "webhook")),
        sa.Column("change", WHOLE, nullable=False),
        *map(text, ("type", "vessel")),
        text("previous_verdict", nullable=True),
        *map(text, ("created", "state")),
        sa.Column("attempts", WHOLE, nullable=False),
        text("next_attempt"),
        *(text(name, nullable=True) for name in ("lease_owner", "lease_until", "last_attempt")),
        sa.Column("status", WHOLE, nullable=True),
        text("error", nullable=True),
        sa.PrimaryKeyConstraint("id", name="pk_webhook_deliveries"),
        sa.ForeignKeyConstraint(["webhook"], ["webhooks.id"], name="fk_webhook_deliveries_webhook_webhooks"),
        sa.CheckConstraint(
            "state IN ('waiting', 'delivered', 'dead')", name=op.f("ck_webhook_deliveries_state")
        ),
        sqlite_strict=True,
    )
    for columns in (("webhook", "state", "next_attempt"), ("webhook", "id"), ("state", "created")):
        op.create_index(f"ix_webhook_deliveries_{'_'.join(columns)}", "webhook_deliveries", list(columns))


def downgrade() -> None:
    append_only.require_empty(op.get_bind())
    op.drop_table("webhook_deliveries")
    op.drop_table("webhooks")
