"""Soundings on deck: one tank a screen, the answer at once with the rows it was taken from, next."""

from functools import partial
from typing import Any, Final
from urllib.parse import urlencode

from fastapi import APIRouter, Request
from starlette.datastructures import FormData
from starlette.responses import JSONResponse, Response

from service.pages.environment import figures_for
from service.pages.page import PageRoute, WhoReads, go_to, page, page_parts_of, posted, text_of
from service.pages.session import Reader
from service.pages.sheet import sounding_round as rounds
from service.pages.sheet import start, unfinished
from service.pages.sheet.form import fields_of, read
from service.pages.sheet.judge import judge
from service.pages.sheet.numbers import NotANumber
from service.pages.sheet.start import Sheet
from service.pages.sheet.unfinished import Newer
from service.pages.wording import tank_names
from service.web.addresses import VesselAddress, identifier
from service.web.caller import in_thread

router = APIRouter(route_class=PageRoute, include_in_schema=False)
Row = dict[str, Any]
_NOT_STORED: Final = {"Cache-Control": "no-store"}


@router.get("/vessels/{vessel}/soundings/{name}")
async def get_soundings(request: Request, reader: WhoReads, vessel: VesselAddress, name: str) -> Response:
    """The screen of one tank."""
    sheet = await _sheet(request, reader, vessel, name)
    asked = request.query_params
    here = rounds.round_at(sheet.vessel, asked.get("tank", ""), asked.get("taken", ""))
    return await _screen(request, reader, sheet, here, _document(sheet), just=asked.get("just", ""))


@router.post("/vessels/{vessel}/soundings/{name}")
async def post_soundings(request: Request, reader: WhoReads, vessel: VesselAddress, name: str) -> Response:
    """Write a reading down and go to the next tank, or show what it says (`do` show and live)."""
    form = await posted(request)
    sheet = await _sheet(request, reader, vessel, name)
    here = rounds.round_at(sheet.vessel, text_of(form, "tank"), text_of(form, "taken"))
    way, text, do = text_of(form, "way"), text_of(form, "reading"), text_of(form, "do")
    if do == "late":
        return await _late(request, reader, sheet, here, form)
    if do in ("back", "skip"):
        return _to(request, sheet, here, here.before if do == "back" else here.following)
    document, wrong = _document(sheet), ""
    before = next((line for line in document["tanks"] if line.get("tank") == here.tank["id"]), None)
    line: Row | None = before
    if way not in rounds.ways_of(here.tank):
        way = rounds.ways_of(here.tank)[0]
    if not text and way != rounds.EMPTY:
        wrong = "" if do == "live" else "Type what was read, or choose “empty”."
    else:
        try:
            line = rounds.line_for(here.tank, way, text, before, sheet.base["units"])
        except NotANumber as fault:
            wrong = str(fault)
    tried = rounds.with_line(document, here.tank["id"], line)
    if do in ("live", "show") or wrong:
        says = not wrong and (bool(text) or way == rounds.EMPTY)
        shown = partial(_screen, request, reader, sheet, here, tried, alone=do == "live")
        return await shown(way=way, text=text, wrong=wrong, says=says)
    await in_thread(request, _keep, request, reader, sheet, here.tank["id"], line)
    return _to(request, sheet, here.with_taken(), here.following, just=here.tank["id"])


async def _late(
    request: Request, reader: Reader, sheet: Sheet, here: rounds.Round, form: FormData
) -> Response:
    """Take a reading that waited in a browser for a signal (JSON). The same one again changes nothing; where the tank
    was written meanwhile (`before` is what the browser saw), nothing is taken and both are named, unless `mine` is
    sent."""
    document, tank = _document(sheet), here.tank["id"]
    line = next((one for one in document["tanks"] if one.get("tank") == tank), None)
    way, text = text_of(form, "way"), text_of(form, "reading")
    try:
        if way not in rounds.ways_of(here.tank) or (not text and way != rounds.EMPTY):
            raise NotANumber("Nothing was read.")
        wanted = rounds.line_for(here.tank, way, text, line, sheet.base["units"])
    except NotANumber as fault:
        return JSONResponse({"wrong": str(fault)}, 422, headers=_NOT_STORED)
    if line != wanted:
        seen = rounds.line_as_text(line)
        if text_of(form, "mine") != "yes" and seen != text_of(form, "before"):
            said = rounds.line_in_words(line, sheet.base["units"])
            return JSONResponse({"now": said, "before": seen}, 409, headers=_NOT_STORED)
        await in_thread(request, _keep, request, reader, sheet, tank, wanted)
    return JSONResponse({"kept": tank}, headers=_NOT_STORED)


async def _sheet(request: Request, reader: Reader, vessel: str, name: str) -> Sheet:
    """The sheet under that name: of a revision (`<condition>.<revision>`), or of a new condition."""
    id = identifier(vessel, "vessel")
    condition, _, number = name.rpartition(".")
    if condition and number.isdecimal():
        sheet = await in_thread(
            request, start.sheet_of_condition, request, reader, identifier(condition, "condition")
        )
        if sheet.vessel_id == id:
            return sheet
    return await in_thread(request, start.sheet_of_vessel, request, reader, id, {"name": name})


def _document(sheet: Sheet) -> Row:
    """What the round goes on with; quantities that are half typed on the sheet are not read yet."""
    document = sheet.unfinished.document if sheet.unfinished else sheet.base
    return {**document, "tanks": [rounds.read_so_far(line) for line in document["tanks"]]}


def _keep(request: Request, reader: Reader, sheet: Sheet, tank: str, line: Row | None) -> None:
    """Write one line into what is kept, whatever else was typed there meanwhile."""
    records, kept = page_parts_of(request).records, sheet.unfinished
    while True:
        document = rounds.with_line(kept.document if kept else sheet.base, tank, line)
        try:
            unfinished.keep(
                records, reader.caller, sheet.vessel_id, sheet.name, document, kept.tag if kept else ""
            )
            return
        except Newer as newer:
            kept = newer.kept


def _to(request: Request, sheet: Sheet, here: rounds.Round, at: int, just: str = "") -> Response:
    query = {"tank": here.tanks[at]["id"], "taken": here.mask} | ({"just": just} if just else {})
    return go_to(f"{request.url.path}?{urlencode(query)}")


async def _screen(
    request: Request,
    reader: Reader,
    sheet: Sheet,
    here: rounds.Round,
    document: Row,
    *,
    way: str = "",
    text: str | None = None,
    wrong: str = "",
    just: str = "",
    alone: bool = False,
    says: bool = False,
) -> Response:
    """The screen, or what stands under the field alone (JSON)."""
    parts, system = page_parts_of(request), sheet.base["units"]

    def judged() -> dict[str, Any]:
        fields = fields_of(document, sheet.vessel)
        found = read(fields, document, sheet.vessel)
        asked = {"vessel_id": sheet.vessel_id}
        answer = judge(
            found,
            fields,
            lambda d: parts.assessor.assessment({**asked, "condition": d}),
            tank_names(sheet.vessel),
        )
        return {
            "states": {t["tank"]: t for t in answer.answer["tanks"]} if answer.answer else {},
            "refused": answer.wrong.get(f"q:{here.tank['id']}", ""),
        }

    line = next((one for one in document["tanks"] if one.get("tank") == here.tank["id"]), None)
    own = next((basis for basis in ("sounding", "ullage", "volume") if line and basis in line), "")
    ways = rounds.ways_of(here.tank)
    taken = here.at in here.taken
    if text is None:
        text = f"{line[own]:g}" if taken and line and own in ways else ""
        way = (own if own in ways else ways[0]) if line or not taken else rounds.EMPTY
    found = await parts.slots.run(judged)
    old = {t["tank"]: t for t in sheet.before["tanks"]} if sheet.before else {}
    context = {
        "sheet": sheet,
        "here": here,
        "ways": ways,
        "way": way,
        "text": text,
        "wrong": wrong or found["refused"],
        "says": says or taken,
        "line": line,
        "rows": rounds.rows_in_words(here.tank, line, system),
        "before": old.get(here.tank["id"]),
        "just": next((t for t in here.tanks if t["id"] == just), None),
        "taken": rounds.taken_lines(here, document, found["states"]),
        "states": found["states"],
        "written": {one.get("tank") for one in document["tanks"]},
    }
    if alone:
        template = parts.pages.environment.get_template("_sounding_answer.html")
        html = await parts.slots.run_chunk(lambda: template.render(figures_for(system) | context))
        return JSONResponse({"html": html}, headers=_NOT_STORED)
    status = 422 if wrong else 200
    context["action"] = request.url.path
    context["round_text"] = rounds.round_as_text(here, document, system)
    return page(request, "soundings.html", reader, system=system, status=status, **context)
