"""What follows the typing: the pieces of the sheet that changed, as JSON for its script."""

import json
from typing import Any

from fastapi import Request
from starlette.responses import JSONResponse

from service.pages.environment import figures_for
from service.pages.page import page_parts_of
from service.pages.session import Reader
from service.pages.sheet import form, unfinished
from service.pages.sheet.posting import Typing, context, keep_unfinished, view
from service.web.caller import in_thread

Row = dict[str, Any]


async def answer(request: Request, reader: Reader, typing: Typing, base: Row) -> JSONResponse:
    """The verdict and the cells, figures that are others now, and what came of keeping it.

    Fields of the request: `keep` asks to keep what was typed as unfinished; `synced` are the fields as they were when
    the page and the service held the same, sent where somebody else kept something since."""
    sent = typing.sent
    told: dict[str, Any] = {}
    if sent.get("keep"):
        synced = _document(sent.get("synced"), base, typing)
        records, sheet = page_parts_of(request).records, typing.sheet
        place = sheet.vessel_id, sheet.name, sheet.base["units"]
        now = await in_thread(request, unfinished.find, records, reader.caller, *place)
        if (now.tag if now else "") != sent.get("draft", "") and now is not None and synced is None:
            return JSONResponse({"newer": True})
        await in_thread(request, keep_unfinished, request, reader, typing, synced)
        told["both"] = [[c.label, c.theirs, c.mine] for c in typing.both]
        told["not_kept"] = typing.not_kept
        told["theirs"] = [[c.label, c.was, c.theirs] for c in typing.theirs]
    seen = await view(request, typing)
    pieces = await page_parts_of(request).slots.run_chunk(lambda: _pieces(request, typing, seen))
    figures = {
        f"{p}:{t.tank['id']}": v
        for g in seen.groups
        for t in g.tanks
        for p, v in (("q", t.text), ("k", t.kept))
    }
    figures = {**typing.fields, **figures}
    values = {name: value for name, value in figures.items() if value != sent.get(name, "")}
    emptied = {name: "" for name in sent if name not in figures and ":" in name}
    told |= {
        "html": pieces,
        "wrong": dict(seen.wrong),
        "was": dict(seen.was),
        "values": emptied | values,
        "draft": typing.fields.get("draft", ""),
        "changed": len(seen.was),
    }
    return JSONResponse(told, headers={"Cache-Control": "no-store"})


def _document(synced: str | None, base: Row, typing: Typing) -> Row | None:
    if not synced:
        return None
    try:
        pairs = json.loads(synced)
        fields = {str(name): str(value) for name, value in pairs}
    except (ValueError, TypeError):
        return None
    return form.read(fields, base, typing.sheet.vessel).document


def _pieces(request: Request, typing: Typing, seen: Any) -> str:
    pages = page_parts_of(request).pages
    given = figures_for(typing.sheet.base["units"]) | context(typing, seen)
    return pages.environment.get_template("_sheet_live.html").render(
        given | {"wrong": seen.wrong, "has_errors": False}
    )
