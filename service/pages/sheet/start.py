"""What a sheet starts from: a revision, another condition of hers, her printed conditions, or nothing aboard."""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any, Final
from urllib.parse import urlencode

from fastapi import Request
from pydantic_core import from_json

from service.actions.show_condition import (
    ConditionChoice,
    list_conditions,
    read_condition,
    read_condition_revision,
)
from service.actions.show_vessel import show_vessel
from service.pages.page import page_parts_of
from service.pages.session import Reader
from service.pages.sheet import unfinished
from service.pages.sheet.form import empty_document
from service.pages.sheet.layout import CONSUMABLE, Row
from service.pages.sheet.unfinished import Kept
from service.pages.wording import short_moment
from service.translation.document_units import in_units
from service.wire.assessment import Assessment
from service.wire.condition import Condition
from service.wire.refusal import Refusal
from service.wire.unfinished import TEMPLATE
from service.wire.vessel import Vessel

ONLY_HERE: Final = ("id", "reference", "observed")
"""Members that belong to one condition and are not copied into another."""
MOST_STARTS: Final = 12
"""Conditions that a new one may begin with: the one in force, then the latest."""
MOST_LOOKED_AT: Final = 100
LATER: Final = 5
"""Revisions back in which something unfinished is looked for."""


@dataclass(frozen=True)
class Sheet:
    """What a form is about.

    vessel: her document, in the units of `base`. base: the document it starts from. record: the revision it follows,
    None for a new condition. before: the answer to `base`, where there is one. tag: of the condition as it was seen.
    name: under which what is typed is kept. unfinished: what is kept under it, from which the fields are filled in.
    older: the revision that what is kept was typed on, where a later one stands since."""

    vessel_id: str
    vessel: Row
    base: Row
    record: Row | None
    before: Assessment | None
    tag: str
    name: str
    query: str = ""
    unfinished: Kept | None = None
    older: int | None = None

    @property
    def path(self) -> str:
        """Address of the form."""
        if self.record is None:
            return f"/vessels/{self.vessel_id}/conditions/new{self.query}"
        return f"/conditions/{self.record['condition']}/edit"

    def in_its_units(self, document: Row) -> Row:
        """Another document in the units of this sheet."""
        return in_units(document, Condition, self.base["units"])

    def in_units_of(self, base: Row) -> "Sheet":
        """The sheet as somebody sees it who began with `base`; itself where both have the same units."""
        if base["units"] == self.base["units"]:
            return self
        vessel = in_units(self.vessel, Vessel, base["units"])
        return replace(self, base=base, vessel=vessel, before=None)

    @property
    def compare(self) -> bool:
        """Whether there is something to compare with."""
        return self.record is not None or bool(self.base["tanks"] or self.base["weights"])


def sheet_of_condition(request: Request, reader: Reader, condition: str) -> Sheet:
    """The sheet of the latest revision, with what was typed on it."""
    reader.caller.require("write_condition")
    parts = page_parts_of(request)
    record, tag = read_condition(parts.records, reader.caller, condition)
    vessel = vessel_document(request, reader, record["vessel"])
    name = name_of(condition, record["revision"])
    vessel = in_units(vessel, Vessel, record["document"]["units"])
    found = Sheet(record["vessel"], vessel, record["document"], record, record["assessment"], tag, name)
    for number in range(record["revision"], max(0, record["revision"] - LATER), -1):
        kept = unfinished.find(
            parts.records,
            reader.caller,
            record["vessel"],
            name_of(condition, number),
            record["document"]["units"],
        )
        if kept is not None:
            older = None if number == record["revision"] else number
            return replace(found, unfinished=kept, older=older)
    return found


def name_of(condition: str, revision: int) -> str:
    """The name under which what is typed on a revision is kept."""
    return f"{condition}.{revision}"


def sheet_of_vessel(request: Request, reader: Reader, vessel_id: str, asked: Mapping[str, str]) -> Sheet:
    """The sheet of a new condition. asked: `from` another one of hers (`percent`: consumables that are left), or
    `printed`, the number of one in her booklet, or `template`, the name of one of hers; `name`: what is typed is kept
    under."""
    reader.caller.require("write_condition")
    vessel = vessel_document(request, reader, vessel_id)
    parts = page_parts_of(request)
    base, before, record = empty_document(vessel), None, None
    given = {
        name: asked[name] for name in ("from", "percent", "printed", "template", "name") if asked.get(name)
    }
    name = given.get("name") or "new"
    if "from" in given:
        record, _ = read_condition(parts.records, reader.caller, given["from"])
        if record["vessel"] == vessel_id:
            base, before = copied(record["document"]), record["assessment"]
            name = given.get("name") or f"from-{given['from']}"
            if given.get("percent"):
                base, before = with_consumables(base, before, _percent(given["percent"])), None
                name = given.get("name") or f"arrival-{given['from']}"
    elif unfinished.is_name(TEMPLATE + given.get("template", "")) and "template" in given:
        template = unfinished.find(
            parts.records, reader.caller, vessel_id, TEMPLATE + given["template"], vessel["units"]
        )
        if template is None:
            raise Refusal("not_found", "There is no such template of hers any more.")
        base, name = template.document, given.get("name") or f"of-{given['template']}"[:64]
    elif given.get("printed", "").isdecimal():
        printed = vessel.get("printed_conditions") or []
        number = int(given["printed"][:4])
        if 0 < number <= len(printed):
            base, name = from_printed(printed[number - 1], vessel), given.get("name") or f"printed-{number}"
    if not unfinished.is_name(name):
        raise Refusal("invalid_request", "Nothing can be kept under such a name.")
    kept = unfinished.find(parts.records, reader.caller, vessel_id, name, base["units"])
    query = f"?{urlencode(given)}" if given else ""
    vessel = in_units(vessel, Vessel, base["units"])
    return Sheet(vessel_id, vessel, base, None, before, "", name, query, kept)


def vessel_document(request: Request, reader: Reader, vessel: str) -> Row:
    """Her latest data."""
    text, _ = show_vessel(page_parts_of(request).records, reader.caller, vessel)
    document: Row = from_json(text)["document"]
    return document


def document_of_revision(request: Request, reader: Reader, condition: str, revision: int) -> Row:
    """The document of one revision."""
    found = read_condition_revision(page_parts_of(request).records, reader.caller, condition, revision)
    document: Row = found["document"]
    return document


def copied(document: Row) -> Row:
    """What another condition begins with: everything but what was read and named for this one."""
    return {name: value for name, value in document.items() if name not in ONLY_HERE}


def with_consumables(document: Row, answer: Any, percent: float) -> Row:
    """The condition with its fuel, oils and fresh water at so many percent of what they are, as an arrival."""
    masses = {line["tank"]: line for line in answer["tanks"]}
    tanks = []
    for line in document["tanks"]:
        now = masses.get(line["tank"])
        if now is None or now["contents"] not in CONSUMABLE:
            tanks.append(line)
        elif percent > 0.0:
            beside = {name: line[name] for name in ("contents", "density") if name in line}
            tanks.append({"tank": line["tank"], **beside, "mass": round(now["mass"] * percent / 100.0, 3)})
    changed = {**document, "tanks": tanks, "voyage": {**(document.get("voyage") or {}), "phase": "arrival"}}
    changed["title"] = f"Arrival of: {document['title']}"[:200]
    return changed


def from_printed(printed: Row, vessel: Row) -> Row:
    """A condition that her booklet prints, as one to start from."""
    document: Row = {"units": vessel["units"], "title": printed["name"]}
    for member in ("water_density", "free_surface", "load_line_mark", "weights", "grain", "wind_additions"):
        if printed.get(member) is not None:
            document[member] = printed[member]
    if printed.get("phase"):
        document["voyage"] = {"phase": printed["phase"]}
    document["tanks"] = [
        {name: value for name, value in line.items() if name != "printed"} for line in printed["tanks"]
    ]
    document.setdefault("weights", [])
    return document


def _percent(text: str) -> float:
    try:
        return min(100.0, max(0.0, float(text.replace(",", "."))))
    except ValueError:
        return 10.0


def starts(request: Request, reader: Reader, vessel_id: str, vessel: Row) -> list[tuple[str, str]]:
    """What a new condition of hers may begin with: address and name, with its day where a title comes twice."""
    found = list_conditions(
        page_parts_of(request).records,
        reader.caller,
        vessel=vessel_id,
        wanted=ConditionChoice(),
        units=vessel["units"],
        before=None,
        limit=MOST_LOOKED_AT,
    )
    found = sorted(found, key=lambda line: line["state"] != "in_force")[:MOST_STARTS]
    path = f"/vessels/{vessel_id}/conditions/new"
    titles = Counter(line["title"] for line in found)
    own = [
        (
            f"{path}?{urlencode({'from': line['id']})}",
            line["title"]
            if titles[line["title"]] == 1
            else f"{line['title']}, {short_moment(line['updated'])}",
        )
        for line in found
    ]
    printed = vessel.get("printed_conditions") or []
    return own + [
        (f"{path}?printed={number}", f"{one['name']}, as her booklet prints it")
        for number, one in enumerate(printed, 1)
    ]
