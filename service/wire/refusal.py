"""A request that is understood and refused, with the reason and the places."""

from service.wire.problem import ProblemError
from service.wire.record import FeedHead


class Refusal(Exception):
    """Refused under a stable `code`; `detail` is a sentence, `errors` name the places.

    `etag` is the present tag of what a writer took for older, `retry_after` the seconds after which the same
    request may be granted, `not_listed` the number of further places that `errors` leaves out, `head` the end of
    the feed for somebody who believes it to be further on, `reference` the sender's own name for the request,
    `headers` further fields of an answer over HTTP.
    """

    def __init__(
        self,
        code: str,
        detail: str,
        errors: list[ProblemError] | None = None,
        *,
        etag: str | None = None,
        retry_after: int | None = None,
        not_listed: int = 0,
        head: FeedHead | None = None,
    ) -> None:
        super().__init__(detail)
        self.code = code
        self.detail = detail
        self.errors = errors or []
        self.etag = etag
        self.retry_after = retry_after
        self.not_listed = not_listed
        self.head = head
        self.reference: str | None = None
        self.headers: dict[str, str] = {}

    def __reduce__(self) -> tuple[type["Refusal"], tuple[str, str, list[ProblemError]], dict[str, object]]:
        """So that a worker process can hand it on."""
        return Refusal, (self.code, self.detail, self.errors), vars(self)


def foreign_cursor() -> Refusal:
    """What every cursor gets that the list did not give out: forged, of another list, or naming what is not there."""
    words = "This is not a cursor of this list with these filters; follow `next` of the page before."
    wrong: ProblemError = {"pointer": "", "code": "foreign_cursor", "detail": words, "parameter": "cursor"}
    return Refusal("invalid_query", words, [wrong])
