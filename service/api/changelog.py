"""GET /v1/changelog: what changed in the published language."""

from datetime import date
from typing import NamedTuple

from fastapi import APIRouter, Depends, Response

from service.api.deprecation import DEPRECATIONS, Deprecation
from service.api.description.answers import problems_of
from service.api.operations import API_VERSION
from service.api.record_exchange import FRESH, NO_QUERY
from service.web.caller import caller_of
from service.wire.changelog import ChangeKind, Changelog, ChangelogEntry

router = APIRouter(
    tags=["Changelog"], dependencies=[Depends(caller_of), NO_QUERY], responses=problems_of(400, 401, 429)
)


class Entry(NamedTuple):
    """One change."""

    date: date
    kind: ChangeKind
    what: str
    operations: tuple[str, ...] = ()
    instead: str | None = None


_FIRST, _SECOND, _THIRD = date(2026, 11, 25), date(2026, 11, 26), date(2026, 11, 27)
ENTRIES = (
    Entry(_FIRST, "added", "Version 1 of the published language."),
    Entry(
        _SECOND,
        "changed",
        "Figures of `flotation`, `righting_lever` and `stability`, and drafts, trim and GM of summaries and lists may "
        "be null: off her tables a condition is answered as far as it goes, and `not_computed` says why.",
        ("assess", "assessBatch", "listConditions", "getFleet"),
    ),
    Entry(
        _SECOND, "added", "`least_stability_margin`, `load_line_margin` and `dangers` beside every verdict."
    ),
    Entry(
        _SECOND, "added", "`reference`, the caller's own name, in vessels, conditions and lines of a batch."
    ),
    Entry(
        _SECOND,
        "added",
        "`id` of a record may be chosen; `imo_number` is of one ship.",
        ("addVessel", "addCondition"),
    ),
    Entry(
        _SECOND,
        "added",
        "PUT and PATCH take `Idempotency-Key`.",
        ("reviseVessel", "reviseCondition", "patchCondition"),
    ),
    Entry(_SECOND, "added", "`head` of the feed, and 409 `feed_rewound` behind its end.", ("listChanges",)),
    Entry(_SECOND, "added", "`plan` of a condition, and points of it.", ("assess", "getPoint")),
    Entry(_SECOND, "added", "The working of every figure.", ("assess",)),
    Entry(
        _SECOND,
        "added",
        "`part=plan` of a report: the whole plan as PDF, CSV or workbook; names of unfinished conditions that begin "
        "with `template-` are templates.",
        ("getReport", "setUnfinished"),
    ),
    Entry(
        _SECOND,
        "added",
        "Further questions about a vessel or a condition.",
        ("getVcgLimits", "assessIncliningTest", "getSensitivities", "getRemedies", "assessUncertainty"),
    ),
    Entry(
        _SECOND,
        "added",
        "Booklets and condition sheets as workbooks, and the proof of a booklet by its printed conditions.",
        ("addVesselFromWorkbook", "getVesselWorkbook", "addConditionFromWorkbook", "getVesselProof"),
    ),
    Entry(
        _SECOND,
        "added",
        "States of conditions and vessels: which one she sails with, what is put aside or withdrawn.",
        ("getConditionState", "setConditionState", "getVesselState", "setVesselState"),
    ),
    Entry(
        _SECOND,
        "added",
        "Copies of a condition, and any two conditions of a vessel compared.",
        ("addCopy", "compareConditions"),
    ),
    Entry(
        _SECOND,
        "added",
        "Conditions that are being typed, complete or not.",
        ("listUnfinished", "getUnfinished", "setUnfinished", "removeUnfinished"),
    ),
    Entry(
        _SECOND,
        "added",
        "Webhooks, by the rules of Standard Webhooks.",
        ("addWebhook", "listWebhooks", "patchWebhook", "listDeliveries", "redeliver", "setWebhookSecret"),
    ),
    Entry(_SECOND, "added", "`wait` of the feed, and the feed as Atom.", ("listChanges",)),
    Entry(_SECOND, "added", "Many conditions kept in one stream.", ("addConditionsBulk",)),
    Entry(
        _SECOND,
        "changed",
        'The tag of a condition names its revision and how often its state was set, `"7.2"`; a digest is still taken.',
        ("getCondition", "reviseCondition", "patchCondition"),
    ),
    Entry(
        _SECOND,
        "changed",
        "`vessel` and `vessel_revision` of the report are null where a whole fleet is judged again; before, a vessel "
        "had to be named.",
        ("reassess",),
    ),
    Entry(
        _SECOND,
        "changed",
        "`working` is in its compact form where `working=compact` asks for it, as before otherwise.",
        ("assess",),
    ),
    Entry(_SECOND, "added", "`working` of a point of a plan.", ("assess", "getPoint")),
    Entry(
        _SECOND,
        "changed",
        "Rows of the compact working: figures as typed name a row of `columns`, and a copy has no value of its own.",
        ("assess",),
    ),
    Entry(_SECOND, "added", "`curves=true`: the curves of longitudinal strength.", ("assess",)),
    Entry(
        _SECOND,
        "added",
        "Lists with an order, several values of a filter, as CSV and as workbooks; a revision's report as PDF, CSV "
        "and workbook.",
        ("listConditions", "listVesselConditions", "listVessels", "getReport"),
    ),
    Entry(_SECOND, "added", "This changelog.", ("getChangelog",)),
    Entry(
        _SECOND,
        "added",
        "Ports, drafts and the `proof` of her booklet beside each ship; `search` and `proof` narrow the list.",
        ("getFleet",),
    ),
    Entry(
        _SECOND,
        "added",
        "Lines of a batch may name stored conditions by `condition_id`; their answers carry it with the `revision`.",
        ("assessBatch",),
    ),
    Entry(_SECOND, "added", "A test of a webhook, and the message `test`.", ("testWebhook",)),
    Entry(
        _SECOND,
        "added",
        "Fleets: named sets of ships that keys may have as their scope; `fleets` of a key.",
        ("listNamedFleets", "getNamedFleet", "setNamedFleet", "addKey", "setKeyScope"),
    ),
    Entry(_SECOND, "added", "Several values, more filters and `sort` of the fleet.", ("getFleet",)),
    Entry(
        _SECOND,
        "changed",
        "The description offers JSON no more where only files are answered, nor CSV for a condition sheet; neither was "
        "ever answered.",
        ("getBookletTemplate", "getVesselWorkbook", "getConditionSheet", "getConditionWorkbook", "getReport"),
    ),
    Entry(
        _THIRD,
        "added",
        "`failing` of a tank that is pressed up or emptied: the criteria that fail then, with their margins.",
        ("getSensitivities",),
    ),
    Entry(
        _THIRD,
        "changed",
        "A parameter of one value that is given more than once is refused; before, the last one counted.",
        ("listConditions", "listVessels", "getFleet", "listChanges", "assess", "assessBatch"),
    ),
    Entry(
        _THIRD,
        "added",
        "`deflection` of a point of a plan: her sag or hog amidships there, which its load line counts.",
        ("assess", "getPoint"),
    ),
)
"""By date; what is deprecated stands in `deprecation.py`."""


def changelog_of(entries: tuple[Entry, ...], deprecations: tuple[Deprecation, ...]) -> Changelog:
    """All changes, newest first; of one day in the order they are told."""
    rows = [_entry(each) for each in entries] + [_announcement(each) for each in deprecations]
    return {"api_version": API_VERSION, "items": sorted(rows, key=lambda row: row["date"], reverse=True)}


def _entry(entry: Entry) -> ChangelogEntry:
    return {
        "date": entry.date.isoformat(),
        "kind": entry.kind,
        "what": entry.what,
        "operations": list(entry.operations),
        "sunset": None,
        "instead": entry.instead,
    }


def _announcement(row: Deprecation) -> ChangelogEntry:
    return {
        "date": row.since.isoformat(),
        "kind": "deprecated",
        "what": row.what,
        "operations": [f"{method} {path}" for method, path in row.operations],
        "sunset": None if row.sunset is None else row.sunset.isoformat(),
        "instead": row.instead,
    }


@router.get(
    "/v1/changelog",
    summary="What changed in the published language",
    description="Newest first. Version 1 only grows: a member, value or address is announced here as deprecated, and "
    "in the headers `Deprecation` (RFC 9745) and `Sunset` (RFC 8594) of the answers concerned, a year before it goes.",
)
async def get_changelog(response: Response) -> Changelog:
    """The same for everybody."""
    response.headers.update({"Cache-Control": FRESH, "Vary": "Authorization"})
    return changelog_of(ENTRIES, DEPRECATIONS)
