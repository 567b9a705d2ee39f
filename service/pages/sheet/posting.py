"""One posting of the sheet: what was typed, what it says, what is kept of it, and how it is shown."""

from dataclasses import dataclass, field
from typing import Any

from fastapi import Request

from service.pages.page import page_parts_of
from service.pages.session import Reader
from service.pages.sheet import form, layout, merge, tanks, unfinished, weights
from service.pages.sheet.judge import Judged, judge, with_tank_name
from service.pages.sheet.start import Sheet
from service.pages.sheet.unfinished import Kept, Newer
from service.pages.sheet.view import View, view_of
from service.pages.wording import tank_names
from service.wire.refusal import Refusal

Row = dict[str, Any]
BESIDE = ("token", "seen", "from", "once", "draft", "reason")
"""Fields that are no part of the condition."""


@dataclass
class Typing:
    """One posting of the form: its fields, what they say, and what came of keeping it as unfinished."""

    sheet: Sheet
    fields: dict[str, str]
    read: layout.Read
    kept: Kept | None = None
    both: list[merge.Change] = field(default_factory=list)
    theirs: list[merge.Change] = field(default_factory=list)
    refused: Refusal | None = None
    saves: bool = False
    not_kept: str = ""
    """Why what was typed is not kept as unfinished."""
    sent: dict[str, str] = field(default_factory=dict)
    """The fields as they came, before a button changed them."""


def keep_unfinished(request: Request, reader: Reader, typing: Typing, synced: Row | None = None) -> bool:
    """Keep what was typed under the name of the sheet; where somebody else kept something since, both are put together.

    synced: the document as it was when both were the same; that of the revision where it is not known. Returns whether
    the fields are others now."""
    records, sheet = page_parts_of(request).records, typing.sheet
    seen, document = typing.fields.get("draft", ""), typing.read.document
    changed = False
    for _ in range(3):
        try:
            typing.kept = unfinished.keep(records, reader.caller, sheet.vessel_id, sheet.name, document, seen)
            break
        except Refusal as refused:
            if refused.code not in unfinished.FULL:
                raise
            typing.not_kept = refused.detail
            return False
        except Newer as newer:
            seen = newer.kept.tag if newer.kept else ""
            if newer.kept is None:
                continue
            merged = merge.merge(synced or sheet.base, document, newer.kept.document, sheet.vessel, {})
            typing.both, typing.theirs = merged.both, merged.theirs
            changed = changed or bool(merged.theirs)
            document = merged.document
    if typing.kept is not None:
        typing.fields["draft"] = typing.kept.tag
    if changed:
        beside = {n: v for n, v in typing.fields.items() if n in BESIDE}
        typing.fields = form.fields_of(document, sheet.vessel) | beside
        typing.read = form.read(typing.fields, document, sheet.vessel)
    return changed


async def view(request: Request, typing: Typing) -> View:
    """The sheet as it stands, judged. Raises Refusal (busy)."""
    parts, sheet = page_parts_of(request), typing.sheet

    def work() -> View:
        asked = {"vessel_id": sheet.vessel_id}
        judged = (
            _refused(typing)
            if typing.refused
            else judge(
                typing.read,
                typing.fields,
                lambda d: parts.assessor.assessment({**asked, "condition": d}),
                tank_names(sheet.vessel),
            )
        )
        return view_of(
            typing.fields, typing.read, judged, sheet.base, sheet.vessel, sheet.before, compare=sheet.compare
        )

    return await parts.slots.run(work)


def _refused(typing: Typing) -> Judged:
    refused = typing.refused
    assert refused is not None
    judged = Judged(None)
    document, names = typing.read.document, tank_names(typing.sheet.vessel)
    for entry in refused.errors:
        steps = layout.steps_of(entry["pointer"])
        place = tuple(int(step) if step.isdecimal() else step for step in steps)
        words = with_tank_name(entry["detail"], document, place, names)
        name = form.field_of(entry["pointer"], document, typing.fields)
        if name is None:
            judged.loose.append(words)
        else:
            judged.wrong[name] = words
    if not refused.errors:
        judged.loose.append(refused.detail)
    return judged


def context(typing: Typing, seen: View) -> dict[str, Any]:
    """What the templates of the sheet read."""
    return {
        "sheet": typing.sheet,
        "typing": typing,
        "view": seen,
        "form": form,
        "layout": layout,
        "tank_form": tanks,
        "weight_form": weights,
        "missing": typing.read.missing,
    }
