"""The last sign-in of people with the identity provider, which mail to them follows.

Works while the previous release runs: the table is a new one. That release knows no reader without a key: it notes no
sign-in, and what it takes to be sent to such a reader it strikes out.
"""

import sqlalchemy as sa
from alembic import op

from service.storage import append_only

revision: str = "sign_ins"
down_revision: str | None = "notices"


def upgrade() -> None:
    op.create_table(
        "sign_ins",
        *(sa.Column(name, sa.Text(), nullable=False) for name in ("key_id", "issuer", "name")),
        *(sa.Column(name, sa.Text(), nullable=True) for name in ("role", "role_said", "vessels")),
        *(sa.Column(name, sa.Text(), nullable=False) for name in ("fleets", "signed_in", "good_until")),
        *(sa.Column(name, sa.Text(), nullable=True) for name in ("lapsed_from", "reminded")),
        sa.PrimaryKeyConstraint("key_id", name="pk_sign_ins"),
        sqlite_strict=True,
    )


def downgrade() -> None:
    append_only.require_empty(op.get_bind())
    op.drop_table("sign_ins")
