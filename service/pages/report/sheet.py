"""The one-page report of a kept revision as PDF: everything that a paper loading form carries.

The same revision and reviews give the same bytes: no system fonts, no clock, data only as JSON. Tagged, PDF/UA-1.
"""

import json
import re
from collections.abc import Mapping, Sequence
from datetime import UTC, datetime
from importlib.resources import as_file, files
from pathlib import Path
from typing import Any

import typst

from service.pages import wording
from service.pages.draft_amidships import amidships_in_words, sag_or_hog
from service.pages.drawings.gm_ledger import gm_ledger, ledger_in_words, required_gm
from service.pages.drawings.hull_shape import HullShape
from service.pages.drawings.righting_lever_plot import lever_in_words, righting_lever_plot
from service.pages.drawings.strength_plot import force_in_words
from service.pages.drawings.verdict_mark import verdict_mark
from service.pages.drawings.waterline_sketch import (
    end_view,
    floats_in_words,
    lies,
    lies_in_short,
    side_view,
)
from service.pages.drawings.wind_plot import wind_in_words, wind_plot
from service.pages.margin_in_words import leads
from service.pages.pictures import unbroken
from service.pages.plan_in_words import plan_in_words
from service.pages.report.tables import criteria, moments, not_asked, tanks, weights
from service.pages.tank_rows import names_in_pairs
from service.wire.answer_figures import ANSWER_FIGURES
from service.wire.assessment import Assessment
from service.wire.fields import UnitSystem
from service.wire.figures import figure, number, trim_in_words, unit, words
from service.wire.review import Review
from service.wire.verdict_words import (
    free_surface_lines,
    gaps_in_words,
    headline,
    left_out_in_words,
    not_computed_in_words,
    undecided,
)

SIZES = ((7.6, 100), (7.2, 92), (6.8, 86), (6.4, 80), (6.0, 74), (5.6, 68))
"""Sizes of type in points with widths of drawings in per cent, tried until everything fits one sheet; a very large ship
takes more sheets."""
_PAGES = re.compile(rb"/Type/Pages/Count (\d+)")
_LETTERS = (
    range(0x20, 0x7F),
    range(0xA0, 0x180),
    range(0x391, 0x3A2),
    range(0x3A3, 0x3CA),
    range(0x401, 0x460),
)
KEPT = {code for letters in _LETTERS for code in letters} | set(map(ord, "–—‘’“”•…−≤≥×·→Δ²³⁴°‰€"))
"""Latin, Greek and Cyrillic letters and signs of the trade, which the fonts of the report have; others become `?`."""


def report_of(
    record: dict[str, Any], reviews: Sequence[Review], latest: int, vessel: Mapping[str, Any] | None = None
) -> bytes:
    """The PDF. record: a condition revision as the API gives it. vessel: the vessel document it was judged by, for
    the views of her hull; without it they are words."""
    data = sheet_data(record, reviews, latest, vessel)
    with as_file(files("service.pages").joinpath("report")) as folder:
        for size, drawings in SIZES:
            pdf = _set(folder, "report.typ", {**data, "size": size, "drawings": drawings})
            found = _PAGES.search(pdf)
            if found is not None and int(found[1]) == 1:
                break
    return pdf


def set_sheet(template: str, data: dict[str, Any]) -> bytes:
    """The PDF that a template of this folder makes of words and figures."""
    with as_file(files("service.pages").joinpath("report")) as folder:
        return _set(folder, template, data)


def _set(folder: Path, template: str, data: dict[str, Any]) -> bytes:
    text = "".join(c if ord(c) in KEPT else "?" for c in json.dumps(data, ensure_ascii=False))
    pdf = typst.compile(
        folder / template,
        root=folder,
        format="pdf",
        ignore_system_fonts=True,
        sys_inputs={"data": text},
        pdf_standards=["ua-1"],
    )
    assert isinstance(pdf, bytes)
    return pdf


def sheet_data(
    record: dict[str, Any], reviews: Sequence[Review], latest: int, vessel: Mapping[str, Any] | None = None
) -> dict[str, Any]:
    """Every word and figure of the sheet, ready to be set."""
    answer: Assessment = record["assessment"]
    system = answer["units"]["system"]
    made = datetime.fromisoformat(record["created"]).astimezone(UTC)
    ship = answer["provenance"]["vessel"]["name"]
    shape = None if vessel is None else HullShape.of(vessel, system)
    names = {} if vessel is None else wording.tank_names(vessel)
    entered = record["document"].get("weights") or ()
    return {
        "title": f"{ship}: {answer['title']}, revision {record['revision']}",
        "author": record["author"]["name"],
        "caution": answer["caution"],
        "date": [made.year, made.month, made.day, made.hour, made.minute, made.second],
        "ship": ship,
        "condition": answer["title"],
        "standing": standing(record, latest),
        "mark": str(verdict_mark(answer["verdict"], answer["dangers"], standalone=True)),
        "verdict": headline(answer),
        "fails": answer["verdict"] == "fail",
        "leads": [[lead.before, lead.strong, lead.after] for lead in leads(answer)],
        "why": _why(answer),
        "figures": _key_figures(answer, system),
        "ledger": _drawing(gm_ledger(answer, links=False, standalone=True), ledger_in_words(answer)),
        "side": _drawing(
            "" if shape is None else side_view(answer, shape, standalone=True), floats_in_words(answer)
        ),
        "end": _drawing("" if shape is None else end_view(answer, shape, standalone=True), lies(answer)),
        "lever": _drawing(righting_lever_plot(answer, standalone=True), lever_in_words(answer)),
        "wind": _drawing(wind_plot(answer, standalone=True), wind_in_words(answer)),
        "criteria": criteria(answer),
        "not_asked": not_asked(answer),
        "weights": weights(record, system),
        "under_weights": [moments(answer), *_further(answer, system)],
        "tanks": tanks(answer, system),
        "empty": names_in_pairs([t for t in answer["tanks"] if t["state"] == "empty"]),
        "free_surface": [
            *_free_surface(answer),
            *(
                f"Assumed: {t['name']}, {words(t['contents'])}: "
                f"{figure(t['free_surface_moment'], 'mass_moment', system)}. "
                f"{wording.sentence(t['free_surface_reason'])}"
                for t in answer["assumed_free_surfaces"]
            ),
        ],
        "findings": _findings(answer, ("danger", "caution"), names, entered),
        "notes": [" ".join(pair) for pair in _findings(answer, ("info",), names, entered)],
        "decision": decision(reviews),
        "record": record_lines(record),
    }


def _drawing(svg: str, said: str) -> dict[str, str]:
    return {"svg": str(svg), "words": said}


def standing(record: dict[str, Any], latest: int) -> str:
    """Voyage, revision, calculation, author, as a sentence."""
    voyage = record["document"].get("voyage") or {}
    parts = [f"Voyage {voyage['number']}"] if voyage.get("number") else []
    if voyage.get("from") or voyage.get("to"):
        parts.append(f"{voyage.get('from', 'port not named')} to {voyage.get('to', 'port not named')}")
    if voyage.get("phase"):
        parts.append(words(voyage["phase"]))
    parts.append(f"revision {record['revision']} of {latest}")
    parts.append(f"judged by calculation {record['assessment']['provenance']['calculation_version']}")
    parts.append(f"kept {wording.moment(record['created'])} by {record['author']['name']}")
    return wording.sentence(", ".join(parts))


def decision(reviews: Sequence[Review]) -> list[list[str]]:
    """Every decision as a word and the rest of its sentence, the last one last."""
    if not reviews:
        return [["Not reviewed.", ""]]
    return [
        [
            review["decision"].capitalize(),
            f" by {review['author']['name']}, {wording.moment(review['created'])}"
            + (f": “{review['note'].rstrip()}”" if review["note"] else ".").replace("\n", " ")
            + f" (review {review['digest'][:16]})",
        ]
        for review in reviews
    ]


def _key_figures(answer: Assessment, system: UnitSystem) -> list[list[str]]:
    """Name, value, unit, and what stands under it."""
    f, asked = answer["flotation"], required_gm(answer)
    lever, draft = unit("lever", system), unit("draft", system)
    corrected = answer["stability"]["gm_corrected"]
    gm = ["not known", ""] if corrected is None else [number(corrected, "lever", system), lever]
    found = [["GM", *gm, "" if asked is None else f"needs {number(asked.value, 'lever', system)}"]]
    if f["draft_midship"] is not None:
        aft, forward = (number(f[name], "draft", system) for name in ("draft_aft", "draft_forward"))
        found.append(["Draft aft / forward", f"{aft} / {forward}", draft, amidships_in_words(answer)])
        marks = f["drafts_at_marks"]
        if marks:
            shown = " / ".join(number(m["draft"], "draft", system) for m in marks)
            found.append(["At her marks", shown, draft, ", ".join(m["name"] for m in marks)])
        trim, _, side = trim_in_words(f["trim"], system).partition(" by the ")
        found.append(["Trim", trim, "", f"by the {side}" if side else ""])
    lolls = answer["stability"]["angle_of_loll"] is not None
    found.append(["Loll" if lolls else "List", lies_in_short(answer), "", ""])
    deadweight = f"deadweight {number(answer['deadweight'], 'mass', system)}"
    mass = number(answer["displacement"], "mass", system)
    found.append(["Displacement", mass, unit("mass", system), deadweight])
    return found


def _further(answer: Assessment, system: UnitSystem) -> list[str]:
    """What further blocks of the answer say: load line, strength, the worst of a plan; and what was not computed."""
    rows = [ANSWER_FIGURES[name] for name in ("water_density", "roll_period_estimate")]
    lines = [" ".join(f"{row.label.capitalize()}: {row.text(answer)}." for row in rows)]
    found = (not_computed_in_words(answer, part) for part in ("flotation", "list", "stability"))
    lines += [line for line in found if line]
    line = answer.get("load_line")
    if line is not None and line["permitted_draft"] is not None:
        mark = f"{line['mark']} mark" if line["mark"] else "load line"
        permitted, mean = (
            figure(line[name], "lever", system) for name in ("permitted_draft", "draft_midship")
        )
        bent = sag_or_hog(line["deflection"])
        with_what = f", with her {bent}" if bent else ""
        lines.append(
            f"Load line: the {mark} permits {permitted} in this water; draft amidships {mean}{with_what}."
        )
    strength = answer.get("strength")
    if strength is not None:
        where = "at sea" if strength["set"] == "sea" else "in harbour"
        forces = f"{force_in_words(answer, 'shear')} {force_in_words(answer, 'bending')}"
        lines.append(f"Longitudinal strength, limits {where}. {forces}")
    return lines


def _why(answer: Assessment) -> list[str]:
    """What could not be computed and why, and the worst of a plan."""
    lines = [wording.sentence(line) for line in gaps_in_words(answer)]
    for group in undecided(answer):
        clauses = ", ".join(dict.fromkeys(unbroken(c["clause"]) for c in group["criteria"]))
        word = words(group["verdict"]).capitalize()
        lines.append(f"{word}: {clauses}: {group['reason'].rstrip('.')}.")
    if answer.get("plan"):
        lines.append(f"Her {answer['plan']['kind']}: {plan_in_words(answer)}")
    return lines


def _free_surface(answer: Assessment) -> list[str]:
    """The totals by basis, the one that judges her, and what was left out."""
    parts = [
        f"{line['basis']} {line['moment']}, GM corrected {line['gm_corrected']}"
        + (" (judged)" if line["judged"] else "")
        for line in free_surface_lines(answer)
    ]
    left_out = left_out_in_words(answer)
    lines = [wording.sentence(f"Free surface counted {'; '.join(parts)}")]
    return [*lines, wording.sentence(left_out)] if left_out else lines


def _findings(
    answer: Assessment,
    severities: Sequence[str],
    names: Mapping[str, str],
    entered: Sequence[Mapping[str, Any]],
) -> list[list[str]]:
    """Findings of these severities: a word, and the sentence with its tank or its weight among those entered, ids as
    names; of many of a kind the first one, and what the others are about."""
    word = {"danger": "Danger:", "caution": "Take care:", "info": "Note:"}
    found = []
    for name, finding, others in wording.findings_in_groups(answer, severities, entered):
        said, ids = wording.in_two(finding["message"])
        message = f"{said}: {wording.with_names(ids.rstrip('.'), names)}" if ids else said
        sentence = wording.sentence(wording.ids_as_names(message, names))
        if others:
            about = ", ".join(each for each, _ in others if each)
            sentence += f" {len(others)} more like this{': ' if about else ''}{about}."
        found.append([word[finding["severity"]], (f"{name}. " if name else "") + sentence])
    return found


def record_lines(record: dict[str, Any]) -> list[str]:
    """What the record is known by: ids, digests, rule sets, reason."""
    provenance = record["assessment"]["provenance"]
    proof = wording.proof_in_words(record["assessment"])
    lines = [
        f"Condition {record['condition']}, revision {record['revision']}, digest (SHA-256) {record['digest']}.",
        f"Vessel's data revision {record['vessel_revision']}{proof}, digest {record['vessel_digest']}. "
        f"Calculation version {provenance['calculation_version']}.",
        f"Reason given: {record['reason'] or 'none'}.".replace("..", "."),
        "Checked against: "
        + "; ".join(f"{r['document']} ({r['edition']})" for r in provenance["rule_sets"])
        + f". Free surface counted {words(provenance['free_surface_basis'])}.",
    ]
    return [line.replace("\n", " ") for line in lines]
