"""The published description of the service: its routes, and the documents that they read by hand."""

from pathlib import Path
from typing import Any

from fastapi import FastAPI
from fastapi.openapi.utils import get_openapi
from pydantic import TypeAdapter
from pydantic.json_schema import JsonSchemaMode

from service.api.deprecation import DEPRECATIONS, mark_deprecated
from service.api.description.answers import DESCRIBED, problems_of
from service.api.description.examples import add_examples
from service.api.description.member_words import add_words
from service.api.operation_ids import name_operations
from service.wire.assessment import AssessmentSummary
from service.wire.batch import LineProblem, StreamEnd
from service.wire.bulk import BulkLine
from service.wire.copy import CopyRequest
from service.wire.inclining import IncliningRequest
from service.wire.key import KeyRequest, KeyScopeRequest
from service.wire.named_fleet import NamedFleetRequest
from service.wire.problem import Problem
from service.wire.reassessment import ReassessmentRequest
from service.wire.remedy import RemediesRequest
from service.wire.request import AssessmentRequest, StoredConditionRequest
from service.wire.review import ReviewRequest
from service.wire.sensitivity import SensitivitiesRequest
from service.wire.state import ConditionStateRequest, VesselStateRequest
from service.wire.uncertainty import UncertaintyRequest
from service.wire.vcg_limit import VcgLimitsRequest
from service.wire.webhook import (
    Event,
    RedeliveryRequest,
    SecretRequest,
    TestEvent,
    WebhookChange,
    WebhookRequest,
)

TITLE = "Loading conditions"
TAGS = {
    "Assessments": "Questions about a vessel and a condition. Nothing is kept.",
    "Changelog": "What changed in the published language, and what will.",
    "Changes": "The feed of everything that is kept, for office systems.",
    "Conditions": "What is aboard, as numbered revisions, each with its assessment.",
    "Findings": "What an assessment may point out besides the criteria.",
    "Fleet": "Every vessel at a glance.",
    "Fleets": "Named sets of ships, as scopes of keys.",
    "Keys": "Access keys, and what was written with them.",
    "Operations": "Whether the service lives, and what it is.",
    "Problems": "What each kind of refusal means.",
    "Reviews": "A person's decision on one revision of a condition.",
    "Rule sets": "What is checked, with clauses and limits.",
    "States": "Which condition she sails with, what is put aside or withdrawn.",
    "Unfinished conditions": "What is being typed, complete or not, kept for 30 days.",
    "Vessels": "A ship's booklet as data, as numbered revisions.",
    "Webhooks": "Addresses that are told of changes, by the rules of Standard Webhooks.",
    "Workbooks": "Booklets and condition sheets as workbooks, and the proof of a booklet.",
}
DESCRIPTION = """\
A ship's loading condition in, every figure of it out: free surface with its reason per tank, displacement, KG and
corrected GM, drafts, trim and list, the righting lever curve, and the criteria that bind her.

**Units.** Every document with dimensions says `units`: `metric` (m, t, m³) or `us` (ft, long ton, ft³). Density is
t/m³ and angles are degrees in both. `x-units` in each schema names the unit of a figure in either system.

**Axes and signs.** x from the aft perpendicular, forward positive; y port positive; z up from the baseline. Trim is
positive by the stern, heel and list are positive to port. A request may use its booklet's axes and say so.

**What is kept.** Vessels' data and conditions are kept as numbered revisions that nothing ever changes or removes. A
change names the state it was made from: send the record's `ETag` as `If-Match` (428 without it, 412 when somebody else
was faster). A POST, PUT or PATCH may be sent again under the same `Idempotency-Key`: it makes nothing twice.
`reason` goes into the query. Times are RFC 3339 in UTC. Lists come in pages: follow `next`.

**Digests.** Each kept record has the SHA-256 digest of: all its fields but `digest`, `document` and `assessment` each
replaced by the SHA-256 of its UTF-8 bytes, absent values null, and `kind` (vessel_revision, condition_revision, review,
change) added, written as canonical JSON (RFC 8785). `previous` is the digest of the record before it. An exported
history (`python -m service export`) shows the fields by their kept names, so anybody can check it; `form` says which
fields a record has: a condition's revision of form 1 was kept without fields of its own for dangers and margins.

**Keys.** `Authorization: Bearer <key>`. A vessel that a key may not see is answered like one that is not there.

**On the wire.** Every address that answers GET answers HEAD; OPTIONS names the methods of an address in `Allow`.
Bodies may be sent with `Content-Encoding: gzip`; limits count the unpacked bytes. To a request with a key in its
header, answers above 1 kB are sent as gzip where `Accept-Encoding` takes it; a packed answer keeps the record's `ETag`.

**Limits of use.** An aid: the approved stability booklet, the flag, the class society and the master's judgement
stand above every answer.
"""


ALSO_DESCRIBED: tuple[Any, ...] = (
    StoredConditionRequest,
    ReviewRequest,
    KeyRequest,
    KeyScopeRequest,
    NamedFleetRequest,
    CopyRequest,
    ConditionStateRequest,
    VesselStateRequest,
    ReassessmentRequest,
    VcgLimitsRequest,
    IncliningRequest,
    SensitivitiesRequest,
    RemediesRequest,
    UncertaintyRequest,
    AssessmentSummary,
    LineProblem,
    StreamEnd,
    WebhookRequest,
    WebhookChange,
    SecretRequest,
    RedeliveryRequest,
    Event,
    TestEvent,
    BulkLine,
)
"""What routes read by themselves, and what else is sent or answered."""


def openapi_of(app: FastAPI, version: str, examples: Path) -> dict[str, Any]:
    """The OpenAPI document of `app`, with the example requests and answers found in the folder `examples`."""
    document = get_openapi(title=TITLE, version=version, description=DESCRIPTION, routes=app.routes)
    schemas = document.setdefault("components", {}).setdefault("schemas", {})
    # FastAPI adds its own refusal of parameters to every route; ours is a problem document.
    for name in ("HTTPValidationError", "ValidationError"):
        schemas.pop(name, None)
    for name, answer in DESCRIBED.items():
        schemas.update(_with_parts(name, TypeAdapter(answer), "serialization"))
    schemas.update(_with_parts("AssessmentRequest", TypeAdapter(AssessmentRequest)))
    schemas.update(_with_parts("Problem", TypeAdapter(Problem)))
    for document_type in ALSO_DESCRIBED:
        schemas.update(_with_parts(document_type.__name__, TypeAdapter(document_type)))
    name_operations(document, app.routes)
    add_words(schemas)
    document["components"] = _absent_not_null(document["components"])
    document["paths"] = _absent_not_null(document["paths"])
    _add_refusals_of_all(document)
    _add_keys(document)
    for path in document["paths"].values():
        for operation in path.values():
            refused = operation["responses"].get("422", {}).get("content", {})
            if "application/json" in refused:
                del operation["responses"]["422"]
    _add_tags(document)
    mark_deprecated(document, DEPRECATIONS)
    add_examples(document, examples)
    return document


def _absent_not_null(part: Any) -> Any:
    """The description without nulls in requests: what a sender does not know is left out.

    A member of a request that may be left out has null as its default, a parameter may be null; no answer has either.
    """
    if isinstance(part, list):
        return [_absent_not_null(each) for each in part]
    if not isinstance(part, dict):
        return part
    part = {name: _absent_not_null(value) for name, value in part.items()}
    if part.get("in") == "query" and "schema" in part:
        part["schema"] = _without_null(part["schema"])
    if "default" in part and part["default"] is None and "anyOf" in part:
        part = _without_null({name: value for name, value in part.items() if name != "default"})
    return part


def _without_null(schema: dict[str, Any]) -> dict[str, Any]:
    kinds = [kind for kind in schema.get("anyOf", ()) if kind != {"type": "null"}]
    rest = {name: value for name, value in schema.items() if name not in ("anyOf", "default")}
    if "anyOf" not in schema:
        return schema
    return {**kinds[0], **rest} if len(kinds) == 1 else {"anyOf": kinds, **rest}


def _add_tags(document: dict[str, Any]) -> None:
    """What each resource is, who answers for the service, and that its addresses are those of the description."""
    used = {tag for path in document["paths"].values() for each in path.values() for tag in each["tags"]}
    document["tags"] = [{"name": name, "description": TAGS[name]} for name in sorted(used)]
    document["servers"] = [{"url": "/", "description": "The installation that gives this description."}]
    document["info"]["contact"] = {"name": "The administrator of this installation"}


def _add_refusals_of_all(document: dict[str, Any]) -> None:
    """Every address that asks for a key looks at ids, query and Accept; none is answered where it is too long."""
    for path, operations in document["paths"].items():
        refusals = problems_of(400, 406, 414) if path.startswith("/v1/") else problems_of(414)
        for operation in operations.values():
            operation["responses"] |= {str(status): text for status, text in refusals.items()}


def _add_keys(document: dict[str, Any]) -> None:
    """How a key is shown, and where: everywhere under the version, once an installation has keys."""
    scheme = {"type": "http", "scheme": "bearer", "description": "An access key of this installation."}
    document["components"]["securitySchemes"] = {"key": scheme}
    for path, operations in document["paths"].items():
        if path.startswith("/v1/"):
            for operation in operations.values():
                operation["security"] = [{"key": []}]


def _with_parts(name: str, adapter: TypeAdapter[Any], mode: JsonSchemaMode = "validation") -> dict[str, Any]:
    schema = adapter.json_schema(ref_template="#/components/schemas/{model}", mode=mode)
    parts: dict[str, Any] = schema.pop("$defs", {})
    return {name: schema, **parts}
