"""All tables in one place, for the migrations and their check against the table classes."""

from .audit import AUDIT
from .change import CHANGES
from .condition import CONDITION_REVISIONS, CONDITIONS
from .delivery import DELIVERIES
from .feed_address import FEED_ADDRESSES
from .idempotency import REPEATABLE_ANSWERS
from .key import KEYS
from .mail import MAIL_READERS, MAILS
from .named_fleet import FLEETS
from .pepper import PEPPER_CHECKS
from .proof import PROOFS
from .reference import POSTED_REFERENCES
from .review import REVIEWS
from .row_digest import ROW_DIGESTS
from .sign_in import SIGN_INS
from .state import CONDITION_STATES, VESSEL_STATES
from .table import Record
from .unfinished import UNFINISHED
from .unfinished_booklet import UNFINISHED_BOOKLETS
from .vessel import VESSEL_REVISIONS, VESSELS
from .visit import VISITS
from .webhook import WEBHOOKS

METADATA = Record.metadata
TABLES = (
    *(VESSELS, VESSEL_REVISIONS, CONDITIONS, CONDITION_REVISIONS, REVIEWS),
    *(CONDITION_STATES, VESSEL_STATES, UNFINISHED, UNFINISHED_BOOKLETS),
    *(CHANGES, KEYS, FLEETS, REPEATABLE_ANSWERS, AUDIT, POSTED_REFERENCES, ROW_DIGESTS, PEPPER_CHECKS),
    *(WEBHOOKS, DELIVERIES, VISITS, PROOFS, FEED_ADDRESSES, MAIL_READERS, MAILS, SIGN_INS),
)
