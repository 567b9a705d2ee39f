"""Addresses of the feed for people's readers, and mail to readers with its outbox.

Works while the previous release runs: the tables are new ones. What that release keeps meanwhile is told to nobody.
"""

import sqlalchemy as sa
from alembic import op

from service.storage import append_only

revision: str = "notices"
down_revision: str | None = "fleets"

WHOLE = sa.BigInteger().with_variant(sa.Integer(), "sqlite")


def text(name: str, *, nullable: bool = False) -> sa.Column[str]:
    return sa.Column(name, sa.Text(), nullable=nullable)


def upgrade() -> None:
    op.create_table(
        "feed_addresses",
        *map(text, ("key_id", "id", "secret_hash", "created")),
        sa.PrimaryKeyConstraint("key_id", name="pk_feed_addresses"),
        sa.UniqueConstraint("id", name="uq_feed_addresses_id"),
        sqlite_strict=True,
    )
    op.create_table(
        "mail_readers",
        *map(text, ("key_id", "address", "kinds", "salt")),
        sa.Column("tries", WHOLE, nullable=False),
        text("created"),
        text("confirmed", nullable=True),
        sa.PrimaryKeyConstraint("key_id", name="pk_mail_readers"),
        sqlite_strict=True,
    )
    op.create_table(
        "mails",
        *map(text, ("id", "key_id")),
        sa.Column("change", WHOLE, nullable=True),
        text("vessel", nullable=True),
        text("kinds"),
        text("previous_verdict", nullable=True),
        *map(text, ("created", "state")),
        sa.Column("attempts", WHOLE, nullable=False),
        text("next_attempt"),
        *(text(name, nullable=True) for name in ("lease_owner", "lease_until", "error")),
        sa.PrimaryKeyConstraint("id", name="pk_mails"),
        sa.CheckConstraint("state IN ('waiting', 'sent', 'dead')", name=op.f("ck_mails_state")),
        sqlite_strict=True,
    )
    for columns in (("state", "next_attempt"), ("key_id", "id")):
        op.create_index(f"ix_mails_{'_'.join(columns)}", "mails", list(columns))


def downgrade() -> None:
    append_only.require_empty(op.get_bind())
    for table in ("mails", "mail_readers", "feed_addresses"):
        op.drop_table(table)
