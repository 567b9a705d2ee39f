"""Pieces of the published description that routes of kept records share."""

from typing import Any

_ETAG = {
    "ETag": {
        "description": "Tag of this state, to be named in `If-Match` by a change.",
        "schema": {"type": "string"},
    }
}
_LINK = {"Link": {"description": 'Address of the next page, `rel="next"`.', "schema": {"type": "string"}}}
_LOCATION = {"Location": {"description": "Where it is kept.", "schema": {"type": "string"}}}
_REPLAYED = {
    "Idempotency-Replayed": {
        "description": "`true` when the same request made it before.",
        "schema": {"type": "string"},
    }
}

READ: dict[str, Any] = {"description": "What is kept.", "headers": {**_ETAG, **_LINK}}
_SHOWN = {
    "Content-Location": {
        "description": "Address of the revision in the answer, the same for ever.",
        "schema": {"type": "string"},
    }
}
_MADE = {**_ETAG, **_LOCATION, **_SHOWN, **_REPLAYED}
KEPT: dict[str, Any] = {"description": "The new revision, stored.", "headers": _MADE}
STATE_SET: dict[str, Any] = {
    "description": "The state, stored.",
    "headers": {**_ETAG, **_LOCATION, **_REPLAYED},
}
CREATED: dict[str, Any] = {"description": "Kept.", "headers": _MADE}
UNCHANGED: dict[int | str, dict[str, Any]] = {304: {"description": "The sender has this state already."}}

IF_MATCH: dict[str, Any] = {
    "name": "If-Match",
    "in": "header",
    "required": True,
    "description": "The `ETag` of the state that was seen; 428 without, 412 when its revision is not the present one. "
    "A review or a state since does no harm. A condition's tag is `revision.state`, as `7.2`; its `digest` will do "
    "too.",
    "schema": {"type": "string"},
}
IF_MATCH_STATE: dict[str, Any] = {
    **IF_MATCH,
    "description": "The `ETag` of the condition that was seen, as `7.2`: revision 7, state set twice. 428 without, 412 "
    "when revision or state is not the present one. A review since does no harm.",
}
IF_MATCH_UNFINISHED: dict[str, Any] = {
    **IF_MATCH,
    "required": False,
    "description": "The `ETag` of what was seen; 412 when it was written since. The first write of a name needs none, "
    "later ones do (428).",
}
IF_MATCH_FLEET: dict[str, Any] = {
    **IF_MATCH,
    "required": False,
    "description": "The `ETag` of the fleet that was seen; 412 when it was set since. Making one needs none, setting "
    "one does (428).",
}
IF_MATCH_OPTIONAL: dict[str, Any] = {
    **IF_MATCH,
    "required": False,
    "description": "The `ETag` of the vessel that was seen; 412 when its revision is not the present one.",
}
IDEMPOTENCY_KEY: dict[str, Any] = {
    "name": "Idempotency-Key",
    "in": "header",
    "required": False,
    "description": "A name for this request, unique for the key that sends it. The same request sent again under "
    "it within two days gets the same answer and makes nothing new.",
    "schema": {"type": "string", "minLength": 1, "maxLength": 255, "pattern": "^[!#-~]+$"},
}


def headers_of(*parameters: dict[str, Any]) -> dict[str, Any]:
    """Header parameters of a route that reads them itself."""
    return {"parameters": list(parameters)}
