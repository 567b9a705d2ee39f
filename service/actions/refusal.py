"""A request that is understood and refused, with the reason and the places."""

from service.wire.problem import ProblemError


class Refusal(Exception):
    """Refused under a stable `code`; `detail` is a sentence, `errors` name the places."""

    def __init__(self, code: str, detail: str, errors: list[ProblemError] | None = None) -> None:
        super().__init__(detail)
        self.code = code
        self.detail = detail
        self.errors = errors or []
