"""Names of the operations, for generated clients: a verb and what it is about.

An endpoint that is not in the table has its own name, in camel case.
"""

from collections.abc import Iterable
from typing import Any

from fastapi.routing import APIRoute

_NAMES = {
    "post_assessment": "assess",
    "post_batch": "assessBatch",
    "post_reassessment": "reassess",
    "post_vcg_limits": "getVcgLimits",
    "post_inclining_test": "assessIncliningTest",
    "post_sensitivities": "getSensitivities",
    "post_remedies": "getRemedies",
    "post_uncertainty": "assessUncertainty",
    "get_rule_sets": "listRuleSets",
    "get_one_rule_set": "getRuleSet",
    "get_vessels": "listVessels",
    "post_vessel": "addVessel",
    "put_vessel": "reviseVessel",
    "get_vessel_revisions": "listVesselRevisions",
    "get_vessel_comparison": "compareVesselRevisions",
    "get_vessel_check": "checkVessel",
    "get_vessel_revision_workbook": "getRevisionWorkbook",
    "post_vessel_workbook": "addVesselFromWorkbook",
    "post_vessel_part": "reviseVesselFromWorkbook",
    "post_vessel_proof": "checkVesselProof",
    "post_condition_workbook": "addConditionFromWorkbook",
    "put_condition_workbook": "reviseConditionWorkbook",
    "get_vessel_conditions": "listVesselConditions",
    "get_conditions": "listConditions",
    "post_condition": "addCondition",
    "put_condition": "reviseCondition",
    "post_conditions_bulk": "addConditionsBulk",
    "get_revisions": "listRevisions",
    "get_comparison": "compareRevisions",
    "get_reviews": "listReviews",
    "post_review": "addReview",
    "post_copy": "addCopy",
    "get_any_comparison": "compareConditions",
    "put_condition_state": "setConditionState",
    "put_vessel_state": "setVesselState",
    "get_unfinished_list": "listUnfinished",
    "put_unfinished": "setUnfinished",
    "delete_unfinished": "removeUnfinished",
    "get_changes": "listChanges",
    "get_webhooks": "listWebhooks",
    "post_webhook": "addWebhook",
    "patch_webhook": "patchWebhook",
    "delete_one_webhook": "deleteWebhook",
    "get_deliveries": "listDeliveries",
    "post_redelivery": "redeliver",
    "post_webhook_test": "testWebhook",
    "post_webhook_secret": "setWebhookSecret",
    "get_named_fleets": "listNamedFleets",
    "put_named_fleet": "setNamedFleet",
    "get_keys": "listKeys",
    "post_key": "addKey",
    "put_key_scope": "setKeyScope",
    "delete_key": "revokeKey",
    "get_audit": "listAudit",
    "get_problems": "listProblems",
}


def name_operations(document: dict[str, Any], routes: Iterable[object]) -> None:
    """Give every operation of the OpenAPI document its name."""
    for route in routes:
        if isinstance(route, APIRoute) and route.include_in_schema:
            for method in route.methods or ():
                operation = document["paths"][route.path_format][method.lower()]
                operation["operationId"] = _NAMES.get(route.name) or _camel_case(route.name)


def _camel_case(name: str) -> str:
    first, *others = name.split("_")
    return first + "".join(word.capitalize() for word in others)
