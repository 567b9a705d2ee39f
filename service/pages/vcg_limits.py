"""Greatest VCG and least GM of a vessel: drafts, trims and rule sets chosen, the curves, what governs each point."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import partial
from typing import Any, Final
from urllib.parse import urlencode

from fastapi import APIRouter, Request
from pydantic_core import from_json, to_json
from starlette.responses import Response

from service.actions.show_vessel import show_vessel
from service.actions.vcg_limit_tables import vcg_limits_file
from service.pages.drawings.booklet_plot import Plotted, booklet_plot
from service.pages.drawings.table_plot import Series
from service.pages.kept_revision import answer_or_refusal
from service.pages.page import PageParts, PageRoute, WhoReads, page, page_parts_of
from service.pages.pictures import OWN_CURVES
from service.pages.session import Reader
from service.pages.sheet.numbers import NotANumber, number_in
from service.translation.rule_sets import list_rule_sets, present_name, rule_set_title
from service.translation.vcg_limits import NOT_ASKED, vcg_limits
from service.web.addresses import VesselAddress, identifier
from service.web.caller import in_thread
from service.wire.figures import MINUS, rounded, unit
from service.wire.refusal import Refusal
from service.wire.vcg_limit import MAX_DRAFTS, MAX_TRIMS

router = APIRouter(route_class=PageRoute, include_in_schema=False)
Row = Mapping[str, Any]
DRAFTS: Final = 12
LONGEST: Final = 1e4


@dataclass(frozen=True)
class Asked:
    """What the form holds, as it was typed or as it begins; `wrong` by field."""

    first: str
    last: str
    count: str
    trims: str
    density: str
    sets: tuple[str, ...]
    wrong: dict[str, str]

    def query(self) -> str:
        """The same as an address carries it."""
        fields = [("from", self.first), ("to", self.last), ("count", self.count), ("trims", self.trims)]
        return urlencode([*fields, ("density", self.density), *(("set", name) for name in self.sets)])


@router.get("/vessels/{vessel}/vcg-limits")
async def get_vcg_limits(request: Request, reader: WhoReads, vessel: VesselAddress) -> Response:
    """The form, filled in with her own drafts and rule sets, and what it gives. Nothing is kept."""
    return await _limits_page(request, reader, identifier(vessel, "vessel"))


@router.get("/vessels/{vessel}/vcg-limits.{ending}")
async def get_vcg_limits_file(
    request: Request, reader: WhoReads, vessel: VesselAddress, ending: str
) -> Response:
    """The same answer as a workbook or CSV."""
    if ending not in ("csv", "xlsx"):
        raise Refusal("not_found", "It is sent as CSV or as a workbook.")
    parts, id = page_parts_of(request), identifier(vessel, "vessel")
    _, document = await in_thread(request, _vessel, parts, reader, id)
    asked = asked_in(request, document)
    if asked.wrong:
        raise Refusal("invalid_query", next(iter(asked.wrong.values())))
    answer = await _answer(parts, reader, id, document, asked)
    data = await in_thread(request, vcg_limits_file, answer, "csv" if ending == "csv" else "xlsx")
    media = {
        "csv": "text/csv; charset=utf-8",
        "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
    }
    headers = {
        "Content-Disposition": f'attachment; filename="{id}-vcg-limits.{ending}"',
        "Cache-Control": "private, no-cache",
    }
    return Response(data, headers=headers, media_type=media[ending])


async def _limits_page(request: Request, reader: Reader, id: str) -> Response:
    parts = page_parts_of(request)
    kept, document = await in_thread(request, _vessel, parts, reader, id)
    asked = asked_in(request, document)
    answer, refused = None, None
    if not asked.wrong:
        answer, refused = await answer_or_refusal(_answer(parts, reader, id, document, asked))
    system = document["units"]
    return page(
        request,
        "vcg_limits.html",
        reader,
        system=system,
        status=422 if asked.wrong or refused else 200,
        id=id,
        kept=kept,
        document=document,
        asked=asked,
        answer=answer,
        refused=refused,
        choices=sets_to_choose(document),
        titles=titles_of(answer),
        reason_of=reason_of,
        plots=[] if answer is None else [booklet_plot(plot, height=260.0) for plot in plots_of(answer)],
        own_plot="" if answer is None else booklet_plot(plot_by_criterion(answer), height=300.0),
        numbers={id: i for i, id in enumerate(titles_of(answer), 1)},
        most=(MAX_DRAFTS, MAX_TRIMS),
    )


def _vessel(parts: PageParts, reader: Reader, id: str) -> tuple[Any, Any]:
    kept = from_json(show_vessel(parts.records, reader.caller, id)[0])
    return kept, kept["document"]


async def _answer(parts: PageParts, reader: Reader, id: str, document: Row, asked: Asked) -> Any:
    """The answer of `POST /v1/vcg-limits`, in its turn among the calculations."""
    question = {"vessel_id": id, **question_of(document, asked)}
    text = to_json(question)
    work = partial(parts.assessor.within(reader.caller.vessels).question, text, vcg_limits)
    return await parts.slots.run(work, text=len(text))


def asked_in(request: Request, document: Row) -> Asked:
    """What the address asks for; her own tables and rule sets where it asks for nothing."""
    fields = request.query_params
    drafts = drafts_of(document)
    own = tuple(name for name, _, checked in sets_to_choose(document) if checked)
    asked = Asked(
        fields.get("from", f"{drafts[0]:g}").strip(),
        fields.get("to", f"{drafts[-1]:g}").strip(),
        fields.get("count", str(DRAFTS)).strip(),
        fields.get("trims", "0").strip(),
        fields.get("density", "1.025").strip(),
        tuple(fields.getlist("set")) if "count" in fields else own,
        {},
    )
    for name in ("first", "last", "density"):
        try:
            _number(getattr(asked, name))
        except NotANumber as fault:
            asked.wrong[name] = str(fault)
    if not (asked.count.isdecimal() and 1 < int(asked.count[:4]) <= MAX_DRAFTS):
        asked.wrong["count"] = f"Give a number of drafts from 2 to {MAX_DRAFTS}."
    try:
        if not 0 < len(trims_in(asked.trims)) <= MAX_TRIMS:
            asked.wrong["trims"] = f"Give one trim to {MAX_TRIMS} trims, with spaces between them."
    except NotANumber as fault:
        asked.wrong["trims"] = str(fault)
    if not asked.wrong and _number(asked.first) >= _number(asked.last):
        asked.wrong["last"] = "The last draft is not greater than the first."
    if not asked.sets:
        asked.wrong["sets"] = "Choose at least one rule set."
    return asked


def trims_in(text: str) -> list[float]:
    """Trims as typed: apart by spaces or semicolons, "-" or "−" for by the head. Raises NotANumber."""
    return [_number(word) for word in text.replace(";", " ").split()]


def _number(text: str) -> float:
    sign = -1.0 if text[:1] in ("-", MINUS) else 1.0
    return sign * number_in(text.lstrip("-+" + MINUS), comma=False, most=LONGEST)


def question_of(document: Row, asked: Asked) -> dict[str, Any]:
    """The members of the request, but for the vessel."""
    first, last, count = _number(asked.first), _number(asked.last), int(asked.count)
    return {
        "units": document["units"],
        "drafts": [round(first + (last - first) * i / (count - 1), 4) for i in range(count)],
        "trims": trims_in(asked.trims),
        "water_density": _number(asked.density),
        "rule_sets": list(asked.sets),
    }


def drafts_of(document: Row) -> list[float]:
    """Drafts on an even keel that both her hydrostatic table and her cross curves reach, as they are printed."""
    rows = document["hydrostatics"]["rows"]
    trims = {row.get("trim") or 0.0 for row in rows}
    level = min(trims, key=abs)
    curves = document.get("cross_curves")
    span = (
        (0.0, float("inf")) if curves is None else (curves["displacements"][0], curves["displacements"][-1])
    )
    even = [row for row in rows if (row.get("trim") or 0.0) == level]
    drafts = [row["draft"] for row in even if span[0] <= row["displacement"] <= span[1]]
    return drafts if len(drafts) > 1 else [row["draft"] for row in even]


def sets_to_choose(document: Row) -> list[tuple[str, str, bool]]:
    """Rule sets that can be asked: name, title, and whether they bind her; hers first, without her own curves, which
    are what is being worked out."""
    own = [present_name(name) for name in document.get("rule_sets") or []]
    found = [
        (one["name"], rule_set_title(one["name"]), one["name"] in own and one["name"] != OWN_CURVES)
        for one in list_rule_sets()["items"]
        if one["name"] not in NOT_ASKED
    ]
    return sorted(found, key=lambda row: (not row[2], row[0] not in own))


def titles_of(answer: Any) -> dict[str, str]:
    """The titles of the criteria that were asked, by id, in their order."""
    return {} if answer is None else {one["id"]: one["title"] for one in answer["rows"][0]["criteria"]}


def reason_of(row: Any) -> str:
    """Why nothing was found at a point, by the criterion that governs it; empty where it says none."""
    found = (one["reason"] for one in row["criteria"] if one["id"] == row["governing"])
    return next(found, None) or ""


def plots_of(answer: Any) -> list[Plotted]:
    """Greatest VCG and least GM over draft, a curve a trim."""
    system = answer["units"]["system"]
    trims = list(dict.fromkeys(row["trim"] for row in answer["rows"]))
    plots = []
    for member, title in (("max_vcg", "Greatest VCG of the fluid"), ("min_gm", "Least GM")):
        series, names = [], []
        for trim in trims:
            rows = [row for row in answer["rows"] if row["trim"] == trim and row[member] is not None]
            if len(rows) > 1:
                series.append(Series([row["draft"] for row in rows], [row[member] for row in rows]))
                names.append(rounded(trim, 2))
        along = f"draft amidships, {unit('draft', system)}"
        several = len(series) > 1
        plots.append(
            Plotted(
                f"vcg-{member}",
                f"{title}, {unit('lever', system)}",
                f"{along}; names: trim" if several else along,
                series,
                (),
                names if several else [],
            )
        )
    return plots


def plot_by_criterion(answer: Any) -> Plotted:
    """The greatest VCG of each criterion by itself at the first trim, named by its number in the list."""
    system, first = answer["units"]["system"], answer["rows"][0]["trim"]
    rows = [row for row in answer["rows"] if row["trim"] == first]
    series, names = [], []
    for place in range(len(rows[0]["criteria"])):
        points = [
            (row["draft"], row["criteria"][place]["max_vcg"])
            for row in rows
            if row["criteria"][place]["max_vcg"] is not None
        ]
        if len(points) > 1:
            series.append(Series([x for x, _ in points], [y for _, y in points]))
            names.append(str(place + 1))
    title = f"Greatest VCG by each criterion, {unit('lever', system)}"
    along = f"draft amidships, {unit('draft', system)}; names: number of the criterion"
    return Plotted("vcg-criteria", title, along, series, (), names)
