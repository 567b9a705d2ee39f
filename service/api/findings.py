"""GET /v1/findings: what an assessment may point out besides the criteria."""

from fastapi import APIRouter, Depends

from service.api.description.answers import problems_of
from service.translation.finding_kinds import list_finding_kinds
from service.web.caller import caller_of
from service.wire.finding import FindingKinds

router = APIRouter(tags=["Findings"], dependencies=[Depends(caller_of)], responses=problems_of(401, 429))


@router.get("/v1/findings", summary="What an assessment may point out besides the criteria")
async def get_findings() -> FindingKinds:
    """Every code with its severities, words and source."""
    return list_finding_kinds()
