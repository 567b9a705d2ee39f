"""JSON pointers (RFC 6901) from the paths that parsers and validators report."""

from collections.abc import Iterable


def pointer_of(path: Iterable[str | int]) -> str:
    """The pointer of a path such as `("condition", "tanks", 3, "fill")`; empty for the whole document."""
    return "".join(
        [
            f"/{step}" if isinstance(step, int) else "/" + step.replace("~", "~0").replace("/", "~1")
            for step in path
        ]
    )
