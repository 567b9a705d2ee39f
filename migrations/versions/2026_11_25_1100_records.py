"""Vessels, conditions, their revisions and reviews; the feed, keys, kept answers and the audit log."""

import sqlalchemy as sa
from alembic import op

from service.storage import append_only

revision: str = "records"
down_revision: str | None = None

WHOLE = sa.BigInteger().with_variant(sa.Integer(), "sqlite")
NUMBER = sa.Double().with_variant(sa.REAL(), "sqlite")


def _text(name: str, null: bool = False) -> sa.Column[str]:
    return sa.Column(name, sa.Text(), nullable=null)


def _whole(name: str, null: bool = False) -> sa.Column[int]:
    return sa.Column(name, WHOLE, nullable=null)


def _number(name: str) -> sa.Column[float]:
    return sa.Column(name, NUMBER, nullable=True)


def _link() -> list[sa.Column[str] | sa.Column[int]]:
    return [_whole("form"), _text("previous", null=True), _text("digest")]


def _author() -> list[sa.Column[str]]:
    return [_text("author_key"), _text("author_name")]


def upgrade() -> None:
    _vessels()
    _conditions()
    _condition_revisions()
    _reviews()
    _others()
    _triggers(op.get_bind().dialect.name)


def _vessels() -> None:
    op.create_table(
        "vessels",
        *(_text("id"), _text("created"), _text("updated"), _whole("head_number"), _text("head_digest")),
        *(_text("name"), _text("imo_number", null=True)),
        sa.PrimaryKeyConstraint("id", name="pk_vessels"),
        sqlite_strict=True,
    )
    # Short columns come before long texts: SQLite reads a row from its start, and lists want the short ones.
    op.create_table(
        "vessel_revisions",
        *(_text("vessel"), _whole("number"), _text("created"), *_link()),
        *(_text("name"), _text("imo_number", null=True), _text("source", null=True), *_author()),
        *(_text("reason", null=True), _text("request_id", null=True), _text("document")),
        sa.PrimaryKeyConstraint("vessel", "number", name="pk_vessel_revisions"),
        sa.ForeignKeyConstraint(["vessel"], ["vessels.id"], name="fk_vessel_revisions_vessel"),
        sqlite_strict=True,
    )


def _conditions() -> None:
    op.create_table(
        "conditions",
        *(_text("id"), _text("vessel"), _text("created"), _text("updated")),
        *(_whole("head_number"), _text("head_digest")),
        *(_text("review_state"), _whole("reviews"), _text("review_digest", null=True)),
        *(_text("title"), _text("phase", null=True), _text("voyage", null=True), _text("verdict")),
        *(_number("smallest_margin"), _text("smallest_margin_criterion", null=True)),
        *(_number("displacement"), _number("gm_corrected"), _whole("vessel_revision")),
        *(_text("calculation_version"), *_author()),
        sa.PrimaryKeyConstraint("id", name="pk_conditions"),
        sa.ForeignKeyConstraint(["vessel"], ["vessels.id"], name="fk_conditions_vessel"),
        sa.CheckConstraint(
            "review_state IN ('unreviewed', 'accepted', 'returned')", name="ck_conditions_review_state"
        ),
        sqlite_strict=True,
    )
    for columns in (
        ("vessel", "updated", "id"),
        ("verdict", "id"),
        ("review_state", "id"),
        ("updated", "id"),
    ):
        op.create_index("ix_conditions_" + "_".join(columns), "conditions", columns)


def _condition_revisions() -> None:
    op.create_table(
        "condition_revisions",
        *(
            _text("condition"),
            _whole("number"),
            _text("vessel"),
            _whole("vessel_revision"),
            _text("vessel_digest"),
        ),
        *(_text("created"), *_link(), _text("title"), _text("phase", null=True), _text("voyage", null=True)),
        *(_text("verdict"), _number("smallest_margin"), _text("smallest_margin_criterion", null=True)),
        *(_number("displacement"), _number("gm_corrected"), _text("rule_sets"), _text("calculation_version")),
        *(*_author(), _text("reason", null=True), _text("request_id", null=True)),
        *(_text("document"), _text("assessment")),
        sa.PrimaryKeyConstraint("condition", "number", name="pk_condition_revisions"),
        sa.ForeignKeyConstraint(["condition"], ["conditions.id"], name="fk_condition_revisions_condition"),
        sa.ForeignKeyConstraint(
            ["vessel", "vessel_revision"],
            ["vessel_revisions.vessel", "vessel_revisions.number"],
            name="fk_condition_revisions_vessel_vessel_revision",
        ),
        sa.CheckConstraint(
            "verdict IN ('pass', 'fail', 'incomplete')", name="ck_condition_revisions_verdict"
        ),
        sqlite_strict=True,
    )


def _reviews() -> None:
    op.create_table(
        "reviews",
        *(
            _text("condition"),
            _whole("number"),
            _whole("revision"),
            _text("revision_digest"),
            _text("created"),
        ),
        *(*_link(), _text("decision"), _text("note", null=True), *_author(), _text("request_id", null=True)),
        sa.PrimaryKeyConstraint("condition", "number", name="pk_reviews"),
        sa.ForeignKeyConstraint(
            ["condition", "revision"],
            ["condition_revisions.condition", "condition_revisions.number"],
            name="fk_reviews_condition_revision",
        ),
        sa.CheckConstraint("decision IN ('accepted', 'returned')", name="ck_reviews_decision"),
        sqlite_strict=True,
    )


def _others() -> None:
    op.create_table(
        "changes",
        sa.Column("id", WHOLE, nullable=False, autoincrement=False),
        *(_text("created"), _text("event"), _text("vessel"), _text("condition", null=True)),
        *(_whole("revision"), _whole("review", null=True), _text("verdict", null=True)),
        *(_text("decision", null=True), _text("subject"), *_link()),
        sa.PrimaryKeyConstraint("id", name="pk_changes"),
        sqlite_strict=True,
    )
    op.create_table(
        "keys",
        *(_text("id"), _text("name"), _text("role"), _text("vessels", null=True), _text("secret_hash")),
        *(_text("created"), _text("created_by", null=True), _text("expires", null=True)),
        *(_text("revoked", null=True), _text("last_used", null=True)),
        sa.PrimaryKeyConstraint("id", name="pk_keys"),
        sqlite_strict=True,
    )
    op.create_table(
        "kept_answers",
        *(_text("key_id"), _text("idempotency_key"), _text("fingerprint"), _whole("status")),
        *(_text("created"), _text("headers"), _text("body")),
        sa.PrimaryKeyConstraint("key_id", "idempotency_key", name="pk_kept_answers"),
        sqlite_strict=True,
    )
    op.create_table(
        "audit",
        sa.Column("id", WHOLE, nullable=False),
        *(_text("created"), _text("key_id"), _text("key_name"), _text("action"), _whole("status")),
        *(_text("request_id", null=True), _text("vessel", null=True), _text("condition", null=True)),
        *(_whole("revision", null=True), _text("digest_before", null=True), _text("digest_after", null=True)),
        _text("reason", null=True),
        sa.PrimaryKeyConstraint("id", name="pk_audit"),
        sqlite_strict=True,
    )
    for columns in (("vessel", "id"), ("key_id", "id")):
        op.create_index("ix_audit_" + "_".join(columns), "audit", columns)


def _triggers(dialect: str) -> None:
    statements = [
        statement
        for table in ("vessel_revisions", "condition_revisions", "reviews", "changes", "audit")
        for event in ("update", "delete")
        for statement in append_only.refuse(dialect, table, event)
    ]
    for table in ("vessels", "conditions", "keys"):
        statements += append_only.refuse(dialect, table, "delete")
    heads = [("head_number", "head_digest")]
    statements += append_only.refuse_step_back(dialect, "vessels", ("id", "created"), heads)
    statements += append_only.refuse_step_back(
        dialect, "conditions", ("id", "vessel", "created"), [*heads, ("reviews", "review_digest")]
    )
    for statement in statements:
        op.execute(sa.text(statement))


TABLES = (
    *("audit", "kept_answers", "keys", "changes", "reviews"),
    *("condition_revisions", "conditions", "vessel_revisions", "vessels"),
)


def downgrade() -> None:
    append_only.require_empty(op.get_bind())
    dialect = op.get_bind().dialect.name
    if dialect != "sqlite":
        for name in sorted(append_only.AT_HEAD):
            table = name.split("_refuses_")[0]
            if table not in TABLES:
                continue
            for statement in append_only.drop(dialect, table, name):
                op.execute(sa.text(statement))
    for table in TABLES:
        op.drop_table(table)
