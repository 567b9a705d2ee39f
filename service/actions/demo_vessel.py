"""The demonstration ships as vessels that the service holds."""

import json
from typing import Any

from service.demo import demo_vessel_ids, read_vessel
from service.translation.prepared_vessel import PreparedVessel, prepare_vessel
from service.wire.problem import error
from service.wire.refusal import Refusal

_prepared: dict[str, PreparedVessel] = {}


def find_demo_vessel(vessel_id: str, revision: int | None) -> PreparedVessel:
    """A demonstration ship, prepared at the first request. Refuses every other id and any revision but 1."""
    if vessel_id not in demo_vessel_ids() or revision not in (None, 1):
        place = "vessel_id" if revision is None else "vessel_revision"
        wrong = [error((place,), "unknown_vessel", "There is none here.")]
        raise Refusal("unknown_vessel", "There is no vessel with this id, or no such revision of it.", wrong)
    if vessel_id not in _prepared:
        document = json.loads(read_vessel(vessel_id))
        _prepared[vessel_id] = prepare_vessel(document, ("vessel",), vessel_id, 1)
    return _prepared[vessel_id]


def demo_vessel_document(vessel_id: str, revision: int) -> dict[str, Any]:
    """The document of a demonstration ship."""
    find_demo_vessel(vessel_id, revision)
    document: dict[str, Any] = json.loads(read_vessel(vessel_id))
    return document


def ready_demo_vessel(vessel_id: str, revision: int | None) -> PreparedVessel | None:
    """The same where she is prepared already."""
    return _prepared.get(vessel_id) if revision in (None, 1) else None
