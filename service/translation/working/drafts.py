"""What her drafts mean above and below water: the block `drafts`, and the clauses that read it (SOLAS V/22, MARPOL
Annex I regulation 18, limits of the ship's own)."""

from collections.abc import Callable

from service.core.drafts import DraftFigures, draft_figures, obstructions
from service.core.own_limit import OwnLimit
from service.core.view import AHEAD, FARTHEST, LENGTHS, air_draft, freeboard_least, is_ahead
from service.translation.working.clause import Clause
from service.translation.working.given import Inputs, Path
from service.translation.working.load_lines import midship
from service.translation.working.sources import Sources
from service.translation.working.typed import Typed

TRIM, VIEW = "definition of trim", "SOLAS V/22.1.1"
BALLAST = "MARPOL Annex I, regulation 18.3"


def write(a: Sources) -> None:
    """Nodes of `drafts`, those of `flotation` again at their places there."""
    found, s = draft_figures(a.assessed.situation), a.sheet
    if found is None or "drafts" not in s.answer:
        return
    for each in ("draft_forward", "draft_aft", "draft_midship"):
        s.copy(f"drafts/{each}", each, path=("drafts", each))
    if found.propeller_immersion is not None:
        _propeller(a)
    if found.air_draft is not None:
        _air_draft(a, found)
    if found.freeboard_least is not None:
        _freeboard(a)
    if found.ballast is not None:
        length = a.vessel.number(("particulars", "length_load_line"), "length", "load line length")
        two = s.rule(
            "marpol-annex-1-reg-18-midship", "draft of no length", s.here(2.0, "length"), s.unit("length")
        )
        s.add(
            "drafts/least_midship", "expression", "two + 0.02 * L", {"two": two, "L": length},
            name="least draft amidships in ballast", unit=s.unit("length"),
            path=("drafts", "marpol_18", "least_midship"), source=BALLAST,
        )  # fmt: skip
        s.add(
            "drafts/most_trim", "expression", "0.015 * L", {"L": length}, name="most trim in ballast",
            unit=s.unit("length"), path=("drafts", "marpol_18", "most_trim"), source=BALLAST,
        )  # fmt: skip
    if found.hidden is not None:
        _view(a, found)


def draft_at(a: Sources, place: Path, words: str, document: Typed | None = None) -> Inputs:
    """Inputs of `T_a - t * x / L`, the moulded draft at a place typed in a document (the vessel's)."""
    typed = a.vessel if document is None else document
    return {
        "T_a": "draft_aft", "t": "trim", "x": typed.number(place, "x", f"place of {words}"),
        "L": a.vessel.number(("particulars", "length_bp"), "length", "length between perpendiculars"),
    }  # fmt: skip


def _propeller(a: Sources) -> None:
    s, place = a.sheet, ("propeller",)
    inputs = draft_at(a, (*place, "x"), "the propeller")
    inputs |= {
        "h": a.vessel.number((*place, "shaft_height"), "length", "height of the shaft"),
        "D": a.vessel.number((*place, "diameter"), "length", "diameter of the propeller"),
    }
    s.add(
        "drafts/propeller_immersion", "expression", "100 * (T_a - t * x / L - h + D / 2) / D", inputs,
        name="propeller immersion", unit="%", path=("drafts", "propeller_immersion"),
        source="immersion ratio I / D, common practice",
    )  # fmt: skip


def _air_draft(a: Sources, found: DraftFigures) -> None:
    s, candidates = a.sheet, Inputs()
    for i, point in enumerate(a.assessed.situation.vessel.air_draft_points):
        place = ("air_draft_points", i)
        inputs = draft_at(a, (*place, "x"), point.name)
        inputs |= {
            "z": a.vessel.number((*place, "z"), "length", f"height of {point.name}"),
            "y": a.vessel.number((*place, "y"), "y", f"{point.name} from the centreline"),
            "phi": "list",
        }
        flotation, rest = found.flotation, a.assessed.situation.rest
        assert rest.list_angle is not None
        candidates[f"h{i + 1}"] = s.add(
            f"drafts/air_draft/{i}", "expression", "z - (T_a - t * x / L) + abs(y) * sin(abs(phi))", inputs,
            name="height of * above the water", of=point.name, unit=s.unit("length"), source="definition",
            value=s.here(air_draft([point], flotation, rest.list_angle)[0], "length"),
        )  # fmt: skip
    s.add(
        "drafts/air_draft", "choice", f"max({', '.join(candidates)})", candidates, name="air draft",
        unit=s.unit("length"), path=("drafts", "air_draft"),
    )  # fmt: skip


def _freeboard(a: Sources) -> None:
    s, ship, candidates = a.sheet, a.assessed.situation, Inputs()
    edge, flotation, angle = ship.vessel.deck_edge, ship.flotation, ship.rest.list_angle
    assert edge is not None
    assert flotation is not None
    assert angle is not None
    for i, point in enumerate(edge.points):
        place = ("deck_edge", "points", i)
        inputs = draft_at(a, (*place, "x"), "a point of the deck edge")
        inputs |= {
            "z": a.vessel.number((*place, "z"), "length", "height of the deck edge"),
            "y": a.vessel.number((*place, "y"), "length", "half-breadth there"),
            "phi": "list",
        }
        candidates[f"f{i + 1}"] = s.add(
            f"drafts/freeboard/{i}", "expression", "z - (T_a - t * x / L) - y * tan(min(abs(phi), 89))", inputs,
            name="freeboard at a point of the deck edge", unit=s.unit("length"), source="definition of freeboard",
            value=s.here(freeboard_least([point], flotation, angle), "length"),
        )  # fmt: skip
    s.add(
        "drafts/freeboard_least", "choice", f"min({', '.join(candidates)})", candidates, name="least freeboard",
        unit=s.unit("length"), path=("drafts", "freeboard_least"),
    )  # fmt: skip


def _view(a: Sources, found: DraftFigures) -> None:
    """Height of eye, and the sea that each obstruction within ten degrees of ahead hides."""
    s, hidden, unit = a.sheet, found.hidden, a.sheet.unit("length")
    assert hidden is not None
    inputs = draft_at(a, ("bridge", "eye_x"), "the eye")
    inputs["z"] = a.vessel.number(("bridge", "eye_z"), "length", "height of eye above the baseline")
    s.add(
        "drafts/eye_height", "expression", "z - (T_a - t * x / L)", inputs, name="height of eye above the water",
        unit=unit, path=("drafts", "view", "eye_height"), source=VIEW,
    )  # fmt: skip
    if hidden.limit is not None:
        length = a.vessel.number(("particulars", "length_overall"), "length", "length over all")
        most = s.rule("solas-v-22-view", "farthest", s.here(FARTHEST, "length"), unit)
        s.add(
            "drafts/view_limit", "choice", f"min({LENGTHS:g} * LOA, most)", {"LOA": length, "most": most},
            name="sea that may be hidden", unit=unit, path=("drafts", "view", "limit"), source=VIEW,
        )  # fmt: skip
    candidates = _hidden_by_each(a, found)
    if s.at(("drafts", "view", "hidden")) is None or not candidates:
        return
    s.add(
        "drafts/hidden", "choice", f"max(none, {', '.join(candidates)})",
        {"none": s.constant("nothing hidden", 0.0, unit), **candidates}, name="sea hidden ahead of the bow", unit=unit,
        path=("drafts", "view", "hidden"), source=VIEW,
    )  # fmt: skip


def _hidden_by_each(a: Sources, found: DraftFigures) -> Inputs:
    s, ship, flotation = a.sheet, a.assessed.situation, found.flotation
    bridge = ship.vessel.bridge
    assert bridge is not None
    own: list[tuple[Typed, Path, str, str]] = [(a.vessel, ("bridge",), "obstruction_x", "obstruction_z")]
    own += [(a.vessel, ("bridge", "obstructions", i), "x", "z") for i in range(len(ship.vessel.obstructions))]
    own += [(a.condition, ("obstructions", i), "x", "z") for i in range(len(ship.condition.obstructions))]
    candidates: Inputs = {}
    eye = bridge.eye_z - flotation.draft_at(bridge.eye_x)
    for i, ((document, place, x, z), each) in enumerate(zip(own, obstructions(ship), strict=True)):
        ahead, top = each.x - bridge.eye_x, each.z - flotation.draft_at(each.x)
        if not is_ahead(each, ahead) or eye <= top:
            continue
        inputs = draft_at(a, (*place, x), each.name, document)
        inputs |= {
            "z": document.number((*place, z), "length", f"height of {each.name}"),
            "h": "drafts/eye_height",
            "x_e": a.vessel.number(("bridge", "eye_x"), "x", "place of the eye"),
            "x_b": a.vessel.number(("bridge", "bow_x"), "x", "foremost point"),
        }
        candidates[f"d{i + 1}"] = s.add(
            f"drafts/hidden/{i}", "expression", "h * (x - x_e) / (h - (z - (T_a - t * x / L))) - (x_b - x_e)", inputs,
            name="sea hidden by *", of=each.name, unit=s.unit("length"), source=VIEW,
            formula=f"line of sight over what stands within {AHEAD:g} degrees of ahead",
            value=s.here(eye * ahead / (eye - top) - (bridge.bow_x - bridge.eye_x), "length"),
        )  # fmt: skip
    return candidates


# --- clauses ---------------------------------------------------------------------------------------------------


def of(id: str) -> Callable[[Clause], str | None]:
    """A clause that is held against a node of the block, in the units of its document."""

    def find(clause: Clause) -> str | None:
        return id if clause.sheet.has(id) else None

    return find


def in_metric(id: str) -> Callable[[Clause, str], str | None]:
    """A detail that is a node of the block in metres."""

    def find(clause: Clause, key: str) -> str | None:
        return clause.sheet.metric(id) if clause.sheet.has(id) else None

    return find


def length_overall(clause: Clause, key: str) -> str | None:
    """Length over all in metres."""
    given = clause.a.vessel.number(("particulars", "length_overall"), "length", "length over all")
    return clause.sheet.metric(clause.sheet.copy("drafts/length_overall", given))


OWN = {
    "draft_forward": "draft_forward",
    "draft_aft": "draft_aft",
    "trim": "trim",
    "displacement": "displacement",
    "gm_corrected": "gm_corrected",
    "propeller_immersion": "drafts/propeller_immersion",
    "air_draft": "drafts/air_draft",
    "freeboard_least": "drafts/freeboard_least",
}
"""Nodes that limits of the ship's own are held against, by quantity."""


def own_figure(clause: Clause) -> str | None:
    """The figure that a limit of her own is on."""
    s, quantity = clause.sheet, clause.criterion.row.key
    if quantity == "list":
        return s.add(
            f"{clause.id}/angle", "expression", "abs(phi)", {"phi": "list"}, name="list to either side", unit="degree",
            value=abs(s.value("list")),
        )  # fmt: skip
    if quantity == "draft_midship":
        return midship(clause)
    if quantity == "draft_greatest":
        middle = midship(clause)
        assert middle is not None
        inputs: Inputs = {"F": "draft_forward", "A": "draft_aft", "M": middle}
        return s.add(
            "drafts/greatest", "choice", "max(F, A, M)", inputs, name="greatest draft", unit=s.unit("length"),
            value=max(s.value(str(each)) for each in inputs.values()),
        )  # fmt: skip
    found = OWN.get(quantity)
    return found if found is not None and s.has(found) else None


def own_limit(clause: Clause) -> str | None:
    """The limit as it was typed, with the vessel or with the condition."""
    s, ship = clause.sheet, clause.a.assessed.situation
    number = int(clause.criterion.row.id.rpartition("-")[2]) - 1
    hers: tuple[OwnLimit, ...] = tuple(ship.vessel.own_limits)
    document = clause.a.vessel if number < len(hers) else clause.a.condition
    k = number if number < len(hers) else number - len(hers)
    bound = "at_least" if clause.criterion.row.comparison == ">=" else "at_most"
    dimension = {"list": "angle", "propeller_immersion": "percent", "displacement": "mass"}.get(
        clause.criterion.row.key, "length"
    )
    return s.copy(
        f"{clause.id}/entered", document.number(("limits", k, bound), dimension, "limit as entered")
    )
