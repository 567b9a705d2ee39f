"""Every name of the package, imported when the first of them is asked for. None is that of a module here: what the
package calls by a name would be the module once it is imported."""

from .audit import AuditEntry, AuditLine
from .backup_file import backup, restore
from .canonical import canonical
from .change import Change, Head
from .condition import ListedCondition
from .condition_figures import ConditionFigures, FleetFigures
from .condition_filter import Filter
from .condition_records import (
    Condition,
    ConditionEntry,
    ConditionHistoryLine,
    ConditionRevision,
    ConditionRevisionLine,
    TextFacts,
)
from .delivery import EVENTS, TEST, VERDICT_CHANGED, Delivery
from .digest import sha256
from .engine import EngineFacts, missing_file
from .errors import (
    Broken,
    Busy,
    Conflict,
    Full,
    NotFound,
    OwnRevision,
    ReadOnly,
    Stale,
    StorageError,
    Unavailable,
)
from .feed_address import FeedAddress
from .fleet import BY_ENTRY, NEVER, NO_VERDICT, FleetLine, WorkedOn
from .fleet_columns import fleet_figures, fleet_figures_of
from .history import Imported, export_history, import_history
from .idempotency import RepeatableAnswer
from .key import Key
from .mail import (
    ANOTHER_VERDICT,
    CONFIRM,
    IN_FORCE,
    MAIL_KINDS,
    NEEDS_REVIEW,
    RENEW,
    RETURNED,
    Mail,
    MailReader,
    ReaderInScope,
)
from .migration import migrate, migrate_for, newest, usable
from .named_fleet import NamedFleet
from .pepper import PepperCheck
from .proof import KeptProof
from .reference import reference_of
from .review import Review, ReviewEntry
from .row_digest import cover
from .sign_in import SignIn
from .sorting import Sorting
from .state import ConditionState, StateEntry, VesselState
from .table import as_text, later, now
from .transaction import Storage, Transaction
from .unfinished import Unfinished, UnfinishedEntry
from .unfinished_booklet import UnfinishedBooklet
from .verification import Verified, verify
from .vessel import Vessel, VesselEntry, VesselRevision, VesselRevisionLine
from .visit import Visit
from .webhook import Listener, Webhook

__all__ = [
    "ANOTHER_VERDICT",
    "BY_ENTRY",
    "CONFIRM",
    "EVENTS",
    "IN_FORCE",
    "MAIL_KINDS",
    "NEEDS_REVIEW",
    "NEVER",
    "NO_VERDICT",
    "RENEW",
    "RETURNED",
    "TEST",
    "VERDICT_CHANGED",
    "AuditEntry",
    "AuditLine",
    "Broken",
    "Busy",
    "Change",
    "Condition",
    "ConditionEntry",
    "ConditionFigures",
    "ConditionHistoryLine",
    "ConditionRevision",
    "ConditionRevisionLine",
    "ConditionState",
    "Conflict",
    "Delivery",
    "EngineFacts",
    "FeedAddress",
    "Filter",
    "FleetFigures",
    "FleetLine",
    "Full",
    "Head",
    "Imported",
    "KeptProof",
    "Key",
    "ListedCondition",
    "Listener",
    "Mail",
    "MailReader",
    "NamedFleet",
    "NotFound",
    "OwnRevision",
    "PepperCheck",
    "ReadOnly",
    "ReaderInScope",
    "RepeatableAnswer",
    "Review",
    "ReviewEntry",
    "SignIn",
    "Sorting",
    "Stale",
    "StateEntry",
    "Storage",
    "StorageError",
    "TextFacts",
    "Transaction",
    "Unavailable",
    "Unfinished",
    "UnfinishedBooklet",
    "UnfinishedEntry",
    "Verified",
    "Vessel",
    "VesselEntry",
    "VesselRevision",
    "VesselRevisionLine",
    "VesselState",
    "Visit",
    "Webhook",
    "WorkedOn",
    "as_text",
    "backup",
    "canonical",
    "cover",
    "export_history",
    "fleet_figures",
    "fleet_figures_of",
    "import_history",
    "later",
    "migrate",
    "migrate_for",
    "missing_file",
    "newest",
    "now",
    "reference_of",
    "restore",
    "sha256",
    "usable",
    "verify",
]
