"""GET /v1/fleet: every vessel with the condition she sails with."""

from typing import Annotated, Literal

from fastapi import APIRouter, Query, Request
from pydantic import Field
from starlette.responses import Response

from service.actions.list_files import FLEET
from service.actions.show_condition import record_units
from service.actions.show_fleet import FleetChoice, fleet_position, list_fleet
from service.api.description.answers import answer_of, problems_of
from service.api.description.record_answers import READ
from service.api.paging import PageQuery, Several, TextQuery, limit_of, list_answer, position
from service.api.table_files import LIST_CONTENT
from service.web.caller import WhoAsks, in_thread
from service.web.parts import record_parts_of
from service.wire.fields import ImoNumber, Reference, UnitSystem, VesselId
from service.wire.fleet import Fleet
from service.wire.proof import ProofState
from service.wire.record import Phase, ReviewState, Verdict
from service.wire.state import VesselState

FleetSort = Literal["created", "-created", "name", "-name", "updated", "-updated", "verdict", "-verdict"]
router = APIRouter(tags=["Fleet"])


class FleetQuery(PageQuery):
    """Query of the fleet. Filters that are lists may be given more than once: any of the values does."""

    verdict: Annotated[list[Verdict], Several] | None = Field(
        default=None, description="Of the condition shown."
    )
    review_state: Annotated[list[ReviewState], Several] | None = Field(
        default=None, description="Of the condition shown."
    )
    phase: Annotated[list[Phase], Several] | None = Field(
        default=None, description="Part of the voyage, of the condition shown."
    )
    voyage: Annotated[list[TextQuery], Several] | None = Field(
        default=None, description="Number of the voyage, of the condition shown."
    )
    vessel: Annotated[list[VesselId], Several] | None = Field(default=None, description="Id of the vessel.")
    imo_number: Annotated[list[ImoNumber], Several] | None = Field(
        default=None, description="Her IMO number."
    )
    reference: Annotated[list[Reference], Several] | None = Field(
        default=None, description="The sender's own name for her."
    )
    proof: Annotated[list[ProofState], Several] | None = Field(
        default=None, description="State of the proof of her booklet."
    )
    search: str | None = Field(
        default=None,
        min_length=1,
        max_length=80,
        description="A part of her name or of a port of the condition shown, or her IMO number.",
    )
    name: TextQuery | None = Field(default=None, description="Part of her name.")
    state: Annotated[list[VesselState], Several] = Field(
        default=["active"], description="Of the vessel. Withdrawn ones are listed when asked for."
    )
    sort: FleetSort | None = Field(
        default=None,
        description="Order; `-` for the other way round. `created`, as the vessels were entered, when absent. "
        "`updated`: of the condition shown. `verdict`: fail, incomplete, pass, then those without a condition.",
    )
    units: UnitSystem = Field(default="metric", description="Units of the figures.")


@router.get(
    "/v1/fleet",
    summary="Every vessel with the condition she sails with",
    description="Where none is in force, the one being worked on that was changed last.",
    responses={200: answer_of(Fleet, READ, LIST_CONTENT), **problems_of(400, 401, 404, 406, 429, 503)},
)
async def get_fleet(request: Request, caller: WhoAsks, query: Annotated[FleetQuery, Query()]) -> Response:
    """With verdict, dangers, margins, review state and age."""
    parts = record_parts_of(request)
    as_of, items = await in_thread(
        request,
        list_fleet,
        parts.records,
        caller,
        wanted=FleetChoice(
            verdicts=query.verdict,
            review_states=query.review_state,
            phases=query.phase,
            voyages=query.voyage,
            vessels=query.vessel,
            imo_numbers=query.imo_number,
            references=query.reference,
            name=query.name,
            search=query.search,
            proofs=query.proof,
            states=query.state,
            sort=query.sort,
        ),
        units=query.units,
        after=position(request, query),
        limit=limit_of(request, query),
    )
    members = {"as_of": as_of, "units": record_units(query.units)}
    last = fleet_position(items[-1], query.sort) if items else None
    return await list_answer(request, query, items, last, FLEET, members)
