"""The kinds of findings as the wire shows them."""

from typing import Any, cast

from service.core.finding_kinds import FINDING_KINDS
from service.wire.finding import FindingKinds


def list_finding_kinds() -> FindingKinds:
    """Every kind of finding with its severities, words and source."""
    return {
        "items": [
            {
                "code": kind.code,
                "severities": cast(Any, list(kind.severities)),
                "words": kind.words,
                "source": kind.source,
            }
            for kind in FINDING_KINDS.values()
        ]
    }
