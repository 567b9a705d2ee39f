"""The one-page report of a kept revision as PDF: everything that a paper loading form carries.

The same revision and reviews give the same bytes: no system fonts, no clock, data only as JSON. Tagged, PDF/UA-1.
"""

import json
import re
from collections.abc import Sequence
from datetime import UTC, datetime
from importlib.resources import as_file, files
from pathlib import Path
from typing import Any

import typst

from service.pages import wording
from service.pages.drawings.righting_lever_plot import lever_in_words, righting_lever_plot
from service.pages.drawings.waterline_sketch import lies
from service.pages.entered_weights import weights_one_by_one
from service.pages.pictures import clause_of, short_name
from service.wire.answer_figures import ANSWER_FIGURES
from service.wire.assessment import Assessment, Criterion, TankResult
from service.wire.fields import UnitSystem
from service.wire.figures import figure, figure_in, number, rounded, unit, words
from service.wire.review import Review
from service.wire.verdict_words import (
    free_surface_lines,
    gaps_in_words,
    headline,
    left_out_in_words,
    load_line_margin,
    not_computed_in_words,
    stability_margin,
    standing_in_words,
    undecided,
)

Cells = dict[str, Any]
SIZES = (8.0, 7.4, 6.8, 6.2, 5.7)
"""Sizes of type in points, tried until everything fits one sheet; a very large ship takes more sheets."""
MOST_REASONS = 6
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


def report_of(record: dict[str, Any], reviews: Sequence[Review], latest: int) -> bytes:
    """The PDF. record: a condition revision as the API gives it."""
    data = sheet_data(record, reviews, latest)
    with as_file(files("service.pages").joinpath("report")) as folder:
        for size in SIZES:
            pdf = _set(folder, {**data, "size": size})
            found = _PAGES.search(pdf)
            if found is not None and int(found[1]) == 1:
                break
    return pdf


def _set(folder: Path, data: dict[str, Any]) -> bytes:
    text = "".join(c if ord(c) in KEPT else "?" for c in json.dumps(data, ensure_ascii=False))
    pdf = typst.compile(
        folder / "report.typ",
        root=folder,
        format="pdf",
        ignore_system_fonts=True,
        sys_inputs={"data": text},
        pdf_standards=["ua-1"],
    )
    assert isinstance(pdf, bytes)
    return pdf


def sheet_data(record: dict[str, Any], reviews: Sequence[Review], latest: int) -> dict[str, Any]:
    """Every word and figure of the sheet, ready to be set."""
    answer: Assessment = record["assessment"]
    system = answer["units"]["system"]
    made = datetime.fromisoformat(record["created"]).astimezone(UTC)
    ship = answer["provenance"]["vessel"]["name"]
    return {
        "title": f"{ship}: {answer['title']}, revision {record['revision']}",
        "author": record["author"]["name"],
        "caution": answer["caution"],
        "date": [made.year, made.month, made.day, made.hour, made.minute, made.second],
        "ship": ship,
        "condition": answer["title"],
        "standing": _standing(record, latest),
        "verdict": headline(answer),
        "fails": answer["verdict"] == "fail",
        "review": _review_in_words(reviews),
        "margins": _margins(answer, system),
        "why": _why(answer),
        "criteria": _criteria(answer),
        "not_asked": _not_asked(answer),
        "weights": _weights(record, system),
        "plot": str(righting_lever_plot(answer, standalone=True)),
        "plot_words": lever_in_words(answer),
        "figures": _in_columns(_flotation(answer, system) + _figure_rows(answer, _STABILITY), 3),
        "not_computed": _not_computed(answer),
        "free_surface": _free_surface(answer),
        "tanks": _tanks(answer, system),
        "empty": "; ".join(t["name"] for t in answer["tanks"] if t["state"] == "empty"),
        "assumed": [
            f"{t['name']}, {words(t['contents'])}: {figure(t['free_surface_moment'], 'mass_moment', system)}. "
            f"{wording.sentence(t['free_surface_reason'])}"
            for t in answer["assumed_free_surfaces"]
        ],
        "findings": _findings(answer),
        "record": _record(record, reviews),
    }


def _standing(record: dict[str, Any], latest: int) -> str:
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


def _review_in_words(reviews: Sequence[Review]) -> str:
    if not reviews:
        return "Not reviewed."
    last = reviews[-1]
    word = "Accepted" if last["decision"] == "accepted" else "Returned"
    return f"{word} by {last['author']['name']}, {wording.moment(last['created'])}."


def _margins(answer: Assessment, system: UnitSystem) -> list[str]:
    """The least stability margin with its criterion, and the load line."""
    lines = []
    least = answer["least_stability_margin"]
    if least is not None:
        of_judged = " of what was judged" if answer["verdict"] == "incomplete" else ""
        shown = stability_margin(least, system)
        lines.append(f"Least stability margin{of_judged} {shown}: {least['title']}.")
    if answer["load_line_margin"] is not None:
        lines.append(wording.sentence(load_line_margin(answer["load_line_margin"], system)))
    return lines


def _why(answer: Assessment) -> list[str]:
    """What fails, what could not be computed and why; of an older answer that passes, what is nearest to its limit."""
    lines = [_why_line(c) for c in wording.fails(answer)[:MOST_REASONS]]
    lines += [wording.sentence(line) for line in gaps_in_words(answer)]
    for group in undecided(answer):
        clauses = ", ".join(dict.fromkeys(c["clause"] for c in group["criteria"]))
        word = words(group["verdict"]).capitalize()
        lines.append(f"{word}: {clauses}: {group['reason'].rstrip('.')}.")
    nearest = wording.nearest(answer)
    if not lines and answer["least_stability_margin"] is None and nearest is not None:
        lines.append(f"Nearest to its limit: {_why_line(nearest).partition(': ')[2]}")
    return lines


def _why_line(criterion: Criterion) -> str:
    start = f"{words(criterion['verdict']).capitalize()}: {criterion['title']} ({criterion['clause']})"
    if criterion["attained"] is None or criterion["limit"] is None:
        return f"{start}: {wording.sentence(criterion['reason'])}"
    return f"{start}: {figure_in(criterion['attained'], criterion['unit'])}, {wording.required(criterion)}."


def _free_surface(answer: Assessment) -> str:
    """The totals by basis in one line, the one that judges her, and what was left out."""
    parts = [
        f"{line['basis']} {line['moment']}, GM corrected {line['gm_corrected']}"
        + (" (judged)" if line["judged"] else "")
        for line in free_surface_lines(answer)
    ]
    left_out = left_out_in_words(answer)
    return wording.sentence(f"Free surface counted {'; '.join(parts)}") + (
        f" {wording.sentence(left_out)}" if left_out else ""
    )


def _table(columns: Sequence[str], rows: Sequence[Sequence[str]], strong: Sequence[int] = ()) -> Cells:
    """Columns named `<` are left and wide, `>` right; rows as texts."""
    return {
        "columns": [
            {"title": title.lstrip("<>|"), "wide": title.startswith("<"), "right": title.startswith(">")}
            for title in columns
        ],
        "rows": [{"cells": list(row), "strong": i in strong} for i, row in enumerate(rows)],
    }


def _criteria(answer: Assessment) -> Cells:
    judged = [c for c in answer["criteria"] if c["verdict"] != "not_applicable"]
    ordered = wording.in_order_of_concern(judged)
    rows = [
        (
            words(c["verdict"]),
            ", ".join(part for part in (short_name(c), clause_of(c)) if part)
            + (f" ({standing_in_words(c)})" if standing_in_words(c) else "")
            + ("" if c["verdict"] in ("pass", "fail") else f": {c['reason'].rstrip('.')}."),
            figure_in(c["attained"], c["unit"]),
            wording.required(c),
            figure_in(c["margin"], c["unit"]),
        )
        for c in ordered
    ]
    fails = [i for i, c in enumerate(ordered) if c["verdict"] == "fail" and c["counts"]]
    return _table(("|verdict", "<criterion", ">attained", ">required", ">margin"), rows, fails)


def _not_asked(answer: Assessment) -> list[str]:
    """What does not apply, a line for each reason."""
    reasons: dict[str, list[str]] = {}
    for c in answer["criteria"]:
        if c["verdict"] == "not_applicable":
            reasons.setdefault(c["reason"].rstrip("."), []).append(f"{short_name(c)} {clause_of(c)}".strip())
    return [f"Not asked: {'; '.join(dict.fromkeys(names))} ({reason})." for reason, names in reasons.items()]


def _weights(record: dict[str, Any], system: UnitSystem) -> Cells:
    """Lightship, liquids by group, and the weights: one by one where they can be shown so, else by category."""
    answer: Assessment = record["assessment"]
    items = weights_one_by_one(record)
    lines: list[tuple[str, float, Any]] = []
    for w in answer["weights"]:
        if w["centre"] is None or (items and w["kind"] == "weight"):
            continue
        name = words(w["category"]).capitalize()
        lines.append((f"{name}, liquids" if w["kind"] == "liquid" else name, w["mass"], w["centre"]))
    lines += [(w["name"], w["mass"], {"tcg": 0.0, **w}) for w in items or ()]
    rows = []
    for name, mass, centre in lines:
        places = (centre["lcg"], centre["vcg"], centre["tcg"])
        rows.append(
            (
                name,
                number(mass, "mass", system),
                *(number(place, "position", system) for place in places),
                *(number(mass * place, "mass_moment", system) for place in places),
            )
        )
    m = answer["moments"]
    rows.append(
        (
            "Displacement",
            ANSWER_FIGURES["displacement"].number(answer),
            *(number(answer[name], "position", system) for name in ("lcg", "vcg_solid", "tcg")),
            *(number(m[name], "mass_moment", system) for name in ("longitudinal", "vertical", "transverse")),
        )
    )
    moment = unit("mass_moment", system)
    columns = (
        "<item",
        f">mass, {unit('mass', system)}",
        f">LCG, {unit('position', system)}",
        ">VCG",
        ">TCG",
        f">moments long., {moment}",
        ">vertical",
        ">transv.",
    )
    return _table(columns, rows, [len(rows) - 1])


_STABILITY = (
    *("km", "vcg_solid", "gm_solid", "free_surface_moment", "free_surface_correction", "gm_corrected"),
    *("roll_period_estimate", "deadweight"),
)


def _figure_rows(answer: Assessment, names: Sequence[str]) -> list[tuple[str, str]]:
    """Name and value of figures of the answer."""
    rows = [ANSWER_FIGURES[name] for name in names]
    return [(row.label, row.text(answer)) for row in rows]


def _flotation(answer: Assessment, system: UnitSystem) -> list[tuple[str, str]]:
    marks = answer["flotation"]["drafts_at_marks"]
    return [
        *_figure_rows(answer, ("draft_aft", "draft_midship", "draft_forward")),
        *((f"To read, {m['name']} marks", figure(m["draft"], "draft", system)) for m in marks),
        *_figure_rows(answer, ("trim",)),
        ("Lies", _lies(answer)),
        *_figure_rows(answer, ("water_density",)),
    ]


def _lies(answer: Assessment) -> str:
    if not_computed_in_words(answer, "list"):
        return "not computed"
    return lies(answer).removesuffix(".").removeprefix("List ").removeprefix("She ")


def _not_computed(answer: Assessment) -> list[str]:
    """Why figures of flotation and stability are missing, each reason once."""
    found = (not_computed_in_words(answer, part) for part in ("flotation", "list", "stability"))
    return [line for line in found if line]


def _in_columns(rows: list[tuple[str, str]], count: int) -> list[list[tuple[str, str]]]:
    tall = -(-len(rows) // count)
    return [rows[i : i + tall] for i in range(0, len(rows), tall)]


def _tanks(answer: Assessment, system: UnitSystem) -> Cells:
    rows = [
        (
            t["name"],
            words(t["contents"]),
            _state(t),
            rounded(t["fill"], 1),
            number(t["volume"], "volume", system),
            number(t["density"], "density", system),
            number(t["mass"], "mass", system),
            number(t["centre"]["lcg"], "position", system),
            number(t["centre"]["vcg"], "position", system),
            number(t["centre"]["tcg"], "position", system),
            _moment(t, system),
            number(t["gm_loss"], "lever", system),
        )
        for t in answer["tanks"]
        if t["state"] != "empty"
    ]
    columns = (
        "<tank",
        "|contents",
        "|state",
        ">full, %",
        f">volume, {unit('volume', system)}",
        ">density",
        f">mass, {unit('mass', system)}",
        f">LCG, {unit('position', system)}",
        ">VCG",
        ">TCG",
        f">moment, {unit('mass_moment', system)}",
        f">costs GM, {unit('lever', system)}",
    )
    return _table(columns, rows)


def _state(tank: TankResult) -> str:
    """Her state, and what her surface counts as where a rule counts it otherwise."""
    counted: str | None = tank["counted_as"]
    if counted is None or counted == tank["state"]:
        return words(tank["state"])
    return f"{words(tank['state'])}, counted as {words(counted)}"


def _moment(tank: TankResult, system: UnitSystem) -> str:
    """The moment counted, and what a rule leaves out."""
    counted = number(tank["free_surface_moment"], "mass_moment", system)
    exempt: float | None = tank["exempt_moment"]
    return f"{counted} ({number(exempt, 'mass_moment', system)} left out)" if exempt else counted


def _findings(answer: Assessment) -> list[str]:
    word = {"danger": "Danger", "caution": "Take care", "info": "Note"}
    return [
        f"{word[f['severity']]}: {subject}{wording.sentence(f['message'])}"
        for subject, f in _with_tank(answer)
    ]


def _with_tank(answer: Assessment) -> list[tuple[str, Any]]:
    return [(f"{name}. " if name else "", finding) for name, finding in wording.findings_with_tank(answer)]


def _record(record: dict[str, Any], reviews: Sequence[Review]) -> list[str]:
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
    for review in reviews:
        note = f": {review['note']}" if review["note"] else ""
        lines.append(
            f"{review['decision'].capitalize()} by {review['author']['name']}, "
            f"{wording.moment(review['created'])}{note} (review {review['digest'][:16]})."
        )
    return [line.replace("\n", " ") for line in lines]
