"""Which rows of the outbox of mail go in one mail: tried again, they go together, under the same Message-ID.

Works while the previous release runs: the column may be null, and that release puts together whatever is due.
"""

import sqlalchemy as sa
from alembic import op

from service.storage import append_only

revision: str = "letters"
down_revision: str | None = "sign_ins"


def upgrade() -> None:
    op.add_column("mails", sa.Column("letter", sa.Text(), nullable=True))


def downgrade() -> None:
    append_only.require_empty(op.get_bind())
    op.drop_column("mails", "letter")
