"""Templates of a ship: conditions kept under a name, that a new one begins with. Kept beside what is being typed."""

import re
import unicodedata
from collections.abc import Mapping, Sequence
from typing import Any, Final

from fastapi import APIRouter, Request
from starlette.responses import Response

from service.actions.access import Caller
from service.actions.keep_unfinished import list_unfinished
from service.actions.records.transactions import Records
from service.actions.show_condition import read_condition
from service.pages.condition import Typed, condition_page
from service.pages.page import PageRoute, WhoReads, go_to, page_parts_of, posted, text_of
from service.pages.sheet import unfinished
from service.pages.sheet.start import copied
from service.pages.sheet.unfinished import FULL, Newer
from service.web.addresses import ConditionAddress, VesselAddress, identifier
from service.web.caller import in_thread
from service.wire.refusal import Refusal
from service.wire.unfinished import TEMPLATE, UnfinishedLine

router = APIRouter(route_class=PageRoute, include_in_schema=False)
LONGEST: Final = 64 - len(TEMPLATE)
NOT_COPIED: Final = ("voyage",)
"""Members of a condition that a template leaves out besides what is never copied."""
_OTHER: Final = re.compile(r"[^a-z0-9]+")


def name_of_template(title: str) -> str:
    """The name that a template of that title is kept under; empty where no letter or digit is left."""
    plain = unicodedata.normalize("NFKD", title).encode("ascii", "ignore").decode().lower()
    word = _OTHER.sub("-", plain).strip("-")[:LONGEST].strip("-")
    return f"{TEMPLATE}{word}" if word else ""


def templates_among(lines: Sequence[UnfinishedLine]) -> list[UnfinishedLine]:
    """The templates among what is kept unfinished of a vessel, by title."""
    found = [line for line in lines if line["name"].startswith(TEMPLATE)]
    return sorted(found, key=lambda line: (line["title"] or "").casefold())


def being_typed(lines: Sequence[UnfinishedLine]) -> list[UnfinishedLine]:
    """The others."""
    return [line for line in lines if not line["name"].startswith(TEMPLATE)]


def template_of(document: Mapping[str, Any], title: str) -> dict[str, Any]:
    """What a template keeps of a condition: everything aboard and how it is judged, under its own title."""
    kept = {name: value for name, value in copied(dict(document)).items() if name not in NOT_COPIED}
    return {**kept, "title": title}


@router.post("/conditions/{condition}/template")
async def post_template(request: Request, reader: WhoReads, condition: ConditionAddress) -> Response:
    """Keep the latest revision as a template; one of the same name is written over."""
    form = await posted(request)
    reader.caller.require("write_condition")
    id, records = identifier(condition, "condition"), page_parts_of(request).records
    title = " ".join(text_of(form, "template").split())
    typed = Typed("template", {"template": title})
    name = name_of_template(title)
    if not name or len(title) > 200:
        wrong = "Give it a name with letters or digits, of at most 200 characters."
        return await condition_page(request, reader, id, None, typed.but(wrong))
    try:
        vessel = await in_thread(request, _keep, records, reader.caller, id, name, title)
    except Refusal as refused:
        if refused.code not in FULL:
            raise
        return await condition_page(request, reader, id, None, typed.but(refused.detail))
    return go_to(f"/vessels/{vessel}/conditions#templates")


def _keep(records: Records, caller: Caller, condition: str, name: str, title: str) -> str:
    record, _ = read_condition(records, caller, condition)
    vessel: str = record["vessel"]
    document = template_of(record["document"], title)
    kept = unfinished.find(records, caller, vessel, name, document["units"])
    while True:
        try:
            unfinished.keep(records, caller, vessel, name, document, kept.tag if kept else "")
            return vessel
        except Newer as newer:
            kept = newer.kept


@router.post("/vessels/{vessel}/templates/{name}/remove")
async def post_removal(request: Request, reader: WhoReads, vessel: VesselAddress, name: str) -> Response:
    """Remove a template; conditions made from it stay."""
    await posted(request)
    id = identifier(vessel, "vessel")
    if name.startswith(TEMPLATE) and unfinished.is_name(name):
        records = page_parts_of(request).records
        await in_thread(request, unfinished.forget, records, reader.caller, id, name)
    return go_to(f"/vessels/{id}/conditions#templates")


def starts_from_templates(records: Records, caller: Caller, vessel: str) -> list[tuple[str, str]]:
    """What a new condition may begin with: address and name of each template."""
    found = templates_among(list_unfinished(records, caller, vessel)["items"])
    return [(address_of_template(line), f"{line['title']}, a template") for line in found]


def address_of_template(line: UnfinishedLine) -> str:
    """The sheet of a new condition that begins with it."""
    return f"/vessels/{line['vessel']}/conditions/new?template={line['name'].removeprefix(TEMPLATE)}"
