"""GET /v1/rule-sets: what is checked, with clauses and limits."""

from typing import Annotated

from fastapi import APIRouter, Depends, Path, Response

from service.api.description.answers import problems_of
from service.api.record_exchange import FRESH, NO_QUERY
from service.translation.rule_sets import get_rule_set, list_rule_sets
from service.web.caller import caller_of
from service.wire.rule_set import RuleSetDescription, RuleSetList

_CACHED = {"Cache-Control": FRESH, "Vary": "Authorization"}
RuleSetAddress = Annotated[str, Path(description="Public name of the rule set.")]
router = APIRouter(
    tags=["Rule sets"], dependencies=[Depends(caller_of), NO_QUERY], responses=problems_of(400, 401, 429)
)


@router.get("/v1/rule-sets", summary="The rule sets a condition can be checked against")
async def get_rule_sets(response: Response) -> RuleSetList:
    """Every rule set with its clauses and limits."""
    response.headers.update(_CACHED)
    return list_rule_sets()


@router.get("/v1/rule-sets/{name}", summary="One rule set", responses=problems_of(404))
async def get_one_rule_set(name: RuleSetAddress, response: Response) -> RuleSetDescription:
    """Its criteria with clauses and limits, by its public name."""
    response.headers.update(_CACHED)
    return get_rule_set(name)
