"""What a call of the client may raise.

ServiceError
+-- Refused        the service answered with a problem document
+-- Unreachable    there is no service at the address, or it went away
+-- CutOff         a batch ended before its closing line
"""

from service.wire.problem import Problem


class ServiceError(Exception):
    """The service did not give what was asked for."""


class Refused(ServiceError):
    """The service answered with a problem document."""

    def __init__(self, problem: Problem) -> None:
        super().__init__(f"{problem['title']}: {problem['detail']}")
        self.problem = problem


class Unreachable(ServiceError):
    """There is no service at the address, or it went away."""


class CutOff(ServiceError):
    """A batch ended before its closing line: some answers are missing."""
