"""What a call of the client may raise.

ServiceError
+-- Refused           the service answered with a problem document
|   +-- FeedRewound   the feed of changes does not hold what was taken from it
+-- Unreachable       there is no service at the address, or it went away
+-- CutOff            a stream of lines ended before its closing line
    +-- StreamStopped the same, and the service says that the rest may be sent again: the client does so by itself

WebhookRefused        a webhook that is not from the service, or not from now
"""

from service.wire.problem import Problem
from service.wire.record import FeedHead


class ServiceError(Exception):
    """The service did not give what was asked for."""


class Refused(ServiceError):
    """The service answered with a problem document."""

    def __init__(self, problem: Problem) -> None:
        places = "".join(f" {error['pointer']}: {error['detail']}" for error in problem.get("errors", [])[:3])
        super().__init__(f"{problem['title']}: {problem['detail']}{places}")
        self.problem = problem


class FeedRewound(Refused):
    """The feed ends before the change that was taken last, or holds another one in its place: the service runs on a
    restored backup. `head` is where the feed ends now."""

    def __init__(self, problem: Problem, head: FeedHead) -> None:
        super().__init__(problem)
        self.head = head


class Unreachable(ServiceError):
    """There is no service at the address, or it went away."""


class CutOff(ServiceError):
    """A stream of lines ended before its closing line: some answers are missing."""


class StreamStopped(CutOff):
    """A stream of lines that the service ended because it stops."""


class WebhookRefused(Exception):
    """A webhook whose signature or time does not hold."""
