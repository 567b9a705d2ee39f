"""The client: every operation of the service as a call."""

from service.client.asynchronous.assessments import AsyncAssessmentCalls
from service.client.asynchronous.conditions import AsyncConditionCalls
from service.client.asynchronous.feed import AsyncFeedCalls
from service.client.asynchronous.installation import AsyncInstallationCalls
from service.client.asynchronous.states import AsyncStateCalls
from service.client.asynchronous.vessels import AsyncVesselCalls
from service.client.asynchronous.webhooks import AsyncWebhookCalls
from service.client.asynchronous.workbooks import AsyncWorkbookCalls


class AsyncServiceClient(
    AsyncAssessmentCalls,
    AsyncVesselCalls,
    AsyncConditionCalls,
    AsyncStateCalls,
    AsyncWorkbookCalls,
    AsyncFeedCalls,
    AsyncWebhookCalls,
    AsyncInstallationCalls,
):
    """Talks to one service. Use it as a context manager, or call `close`.

    Each operation of the description is a call of the same name. Where the service is busy, the key asks too often or
    the connection is lost, a call is made again, four times in all; between two it waits as long as `Retry-After`
    says, and gives up at once where that is more than a minute. No change is made twice: each goes out under a name of
    its own (`Idempotency-Key`).
    """
