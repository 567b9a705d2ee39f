# mypy: ignore-errors
"""Calls through the client that openapi-python-client generates: python calls.py ADDRESS KEY VESSEL CONDITION.

The last two are files. Prints one line of JSON with what was answered. It runs in an environment of its own.
"""

import json
import sys
from pathlib import Path

from generated import AuthenticatedClient
from generated.api.assessments import assess, assess_batch, get_vcg_limits
from generated.api.changes import list_changes
from generated.api.conditions import add_condition, get_condition, list_conditions, patch_condition
from generated.api.fleet import get_fleet
from generated.api.rule_sets import list_rule_sets
from generated.api.vessels import add_vessel, list_vessels
from generated.api.workbooks import add_vessel_from_workbook, get_vessel_workbook
from generated.models import (
    Assessment,
    AssessmentRequest,
    Condition,
    ConditionList,
    ConditionRecord,
    ListConditionsVerdictItem,
    PatchConditionBody,
    Problem,
    VcgLimitsRequest,
    Vessel,
)
from generated.types import UNSET, File

address, key, vessel_file, condition_file = sys.argv[1:]
client = AuthenticatedClient(base_url=address, token=key, raise_on_unexpected_status=True, timeout=60)
vessel = Vessel.from_dict(json.loads(Path(vessel_file).read_text("utf-8")))
condition = Condition.from_dict(json.loads(Path(condition_file).read_text("utf-8")))
told = {}

kept = add_vessel.sync(client=client, body=vessel, reason="Her booklet", idempotency_key="python-1")
told["vessel"] = kept.vessel
told["rule_sets"] = len(list_rule_sets.sync(client=client).items)

request = AssessmentRequest(vessel_id=kept.vessel, condition=condition)
answer = assess.sync(client=client, body=request)
assert isinstance(answer, Assessment)
told["verdict"] = answer.verdict.value
told["gm_corrected"] = answer.stability.gm_corrected
told["criteria"] = [[row.id, row.verdict.value] for row in answer.criteria]
told["draft"] = answer.flotation.draft_at_lcf

condition.reference = UNSET
made = add_condition.sync_detailed(kept.vessel, client=client, body=condition, reason="Departure")
assert made.status_code == 201
tag = made.headers["etag"]
change = PatchConditionBody.from_dict({"title": "Changed by a generated client"})
patched = patch_condition.sync(made.parsed.condition, client=client, body=change, if_match=tag)
told["revision"] = patched.revision
stale = patch_condition.sync(made.parsed.condition, client=client, body=change, if_match=tag)
assert isinstance(stale, Problem)
told["stale"] = [int(stale.status), stale.code]
record = get_condition.sync(made.parsed.condition, client=client)
assert isinstance(record, ConditionRecord)
told["title"] = record.title
listed = list_conditions.sync(
    client=client, vessel=[kept.vessel], verdict=[ListConditionsVerdictItem(answer.verdict.value)]
)
assert isinstance(listed, ConditionList)
told["listed"] = [line.title for line in listed.items]
told["vessels"] = len(list_vessels.sync(client=client).items)
told["fleet"] = [line.vessel for line in get_fleet.sync(client=client).items]
told["events"] = [line.event.value for line in list_changes.sync(client=client).items]

line = json.dumps(request.to_dict()).encode() + b"\n"
lines = assess_batch.sync(client=client, body=File(payload=line * 3)).payload.read().splitlines()
told["batch"] = [json.loads(each).get("verdict") for each in lines[:3]]
asked = VcgLimitsRequest.from_dict(
    {"vessel_id": kept.vessel, "units": "metric", "drafts": [2.0], "water_density": 1.025}
)
told["vcg_rows"] = len(get_vcg_limits.sync(client=client, body=asked).rows)
book = get_vessel_workbook.sync(kept.vessel, client=client)
sent = File(payload=book.payload.read())
told["same_as_kept"] = add_vessel_from_workbook.sync(client=client, body=sent, dry_run=True).document_digest
print(json.dumps(told))
