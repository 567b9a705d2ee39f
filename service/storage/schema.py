"""All tables in one place, for the migrations and their check against the table classes."""

from .audit import AUDIT
from .change import CHANGES
from .condition import CONDITION_REVISIONS, CONDITIONS
from .idempotency import KEPT_ANSWERS
from .key import KEYS
from .reference import POSTED_REFERENCES
from .review import REVIEWS
from .table import Row
from .vessel import VESSEL_REVISIONS, VESSELS

METADATA = Row.metadata
TABLES = (
    *(VESSELS, VESSEL_REVISIONS, CONDITIONS, CONDITION_REVISIONS, REVIEWS),
    *(CHANGES, KEYS, KEPT_ANSWERS, AUDIT, POSTED_REFERENCES),
)
