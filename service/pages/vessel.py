"""The vessel page: what is held of her booklet, drawn so that a slip is seen, and her conditions."""

from functools import partial
from typing import Any

from fastapi import APIRouter, Request
from pydantic_core import from_json
from starlette.responses import Response

from service.actions.booklet_tables import parts_held, place_of_doubt
from service.actions.keep_unfinished import list_unfinished
from service.actions.show_condition import ConditionChoice, list_conditions
from service.actions.show_vessel import list_vessel_revisions, show_vessel
from service.pages.environment import figures_for
from service.pages.kept_booklet import check_of, proof_of
from service.pages.page import PageRoute, WhoReads, page, page_parts_of
from service.pages.session import Reader
from service.pages.sheet.templates import being_typed
from service.pages.sheet.unfinished import address_of
from service.pages.vessel_plots import small_plots
from service.pages.vessel_tables import address_of_part, part_of_doubt, revision_asked
from service.web.addresses import VesselAddress, identifier
from service.web.caller import in_thread

router = APIRouter(route_class=PageRoute, include_in_schema=False)


@router.get("/vessels/{vessel}")
async def get_vessel(request: Request, reader: WhoReads, vessel: VesselAddress) -> Response:
    """One revision of her data, the latest unless the address asks for another."""
    number = revision_asked(request.query_params.get("revision", ""))
    found = await in_thread(request, _context, request, reader, identifier(vessel, "vessel"), number)
    document = found["kept"]["document"]
    suffix = "" if number is None else f"/revisions/{number}"
    return page(
        request,
        "vessel.html",
        reader,
        system=document["units"],
        twin=f"/v1/vessels/{vessel}{suffix}",
        id=vessel,
        document=document,
        may_write=reader.may("write_condition"),
        may_revise=reader.may("write_vessel"),
        **found,
    )


def _context(request: Request, reader: Reader, vessel: str, number: int | None) -> dict[str, Any]:
    parts, caller = page_parts_of(request), reader.caller
    records, pages = parts.records, parts.pages
    text, digest = show_vessel(records, caller, vessel, number)
    kept = from_json(text)
    check = check_of(parts, caller, vessel, kept["revision"], digest)
    conditions = list_conditions(
        records,
        caller,
        vessel=vessel,
        wanted=ConditionChoice(),
        units=kept["document"]["units"],
        before=None,
        limit=100,
    )
    proof = proof_of(parts, caller, vessel, kept["revision"], digest)
    document = kept["document"]
    typed = list_unfinished(records, caller, vessel)["items"]
    context = {
        "document": document,
        "check": check,
        **small_plots(document, check["doubts"]),
        "tables_at": partial(address_of_part, vessel, number),
        **figures_for(document["units"]),
    }
    return {
        "kept": kept,
        "check": check,
        "proof": proof,
        "parts": parts_held(document, check["doubts"]),
        "address": partial(address_of_part, vessel, number),
        "part_of_doubt": lambda doubt: part_of_doubt(document, doubt),
        "place": lambda doubt: place_of_doubt(document, doubt),
        "conditions": conditions,
        "typed": [{**line, "address": address_of(line)} for line in being_typed(typed)],
        "revisions": list_vessel_revisions(records, caller, vessel, before=None, limit=100),
        "body": pages.piece(("vessel", digest, number), "_booklet.html", context),
    }
