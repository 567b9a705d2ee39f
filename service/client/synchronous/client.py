"""The client: every operation of the service as a call."""

from service.client.synchronous.assessments import AssessmentCalls
from service.client.synchronous.conditions import ConditionCalls
from service.client.synchronous.feed import FeedCalls
from service.client.synchronous.installation import InstallationCalls
from service.client.synchronous.states import StateCalls
from service.client.synchronous.vessels import VesselCalls
from service.client.synchronous.webhooks import WebhookCalls
from service.client.synchronous.workbooks import WorkbookCalls


class ServiceClient(
    AssessmentCalls,
    VesselCalls,
    ConditionCalls,
    StateCalls,
    WorkbookCalls,
    FeedCalls,
    WebhookCalls,
    InstallationCalls,
):
    """Talks to one service. Use it as a context manager, or call `close`.

    Each operation of the description is a call of the same name. Where the service is busy, the key asks too often or
    the connection is lost, a call is made again, four times in all; between two it waits as long as `Retry-After`
    says, and gives up at once where that is more than a minute. No change is made twice: each goes out under a name of
    its own (`Idempotency-Key`).
    """
