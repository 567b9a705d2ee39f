"""What an attentive colleague would point out about a condition, besides the criteria.

Findings never change a number. Thresholds without a source are common practice.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from . import rolling
from .condition import Batch
from .flotation import MOMENT_METHOD
from .free_surface import BY_RULE, FreeSurfaces
from .grain import grain_mass
from .rules.load_lines_1966 import permitted_draft
from .situation import Situation
from .tank import CONSUMABLE, CONTENTS, EMPTY, OVERFULL, PRESSED_UP, SLACK, USUAL_DENSITY, Liquids
from .vessel import Vessel

INFO, CAUTION, DANGER = "info", "caution", "danger"


@dataclass(frozen=True)
class Finding:
    """`place` is the path inside the condition document; `condition` the index in the batch."""

    condition: int
    code: str
    severity: str
    place: tuple[str | int, ...]
    message: str


def findings_of(
    situation: Situation, liquids: Liquids, surfaces: FreeSurfaces, list_angle: np.ndarray
) -> list[list[Finding]]:
    """Everything worth saying about each of N conditions, in a fixed order.

    list_angle [N] degrees. Source: MSC/Circ.854 3.4 and 3.5 (screening and alerts); thresholds: common practice."""
    batch, vessel = situation.batch, situation.vessel
    found: list[list[Finding]] = [[] for _ in range(len(batch))]
    for source in (
        _tanks(batch, liquids, surfaces),
        _liquids(batch, vessel),
        _forgotten(batch, vessel),
        _consumables(batch, liquids),
        _weights(batch, vessel),
        _grain(batch, vessel),
        _water(batch),
        _stability(situation, list_angle),
        _flotation(situation),
        _view_and_propeller(situation),
        _observed(situation, list_angle),
    ):
        for finding in source:
            found[finding.condition].append(finding)
    return found


def _tanks(batch: Batch, liquids: Liquids, surfaces: FreeSurfaces) -> Iterator[Finding]:
    for p in _where(liquids.state >= PRESSED_UP):
        n = int(batch.fillings.condition[p])
        place = ("tanks", int(p - batch.first_line[n]))
        # a rule may count one all the same: full cargo tanks, and whatever is below 98 %
        counted = (
            "its free surface is counted, and"
            if surfaces.moment[p] > 0.0
            else "no free surface is counted, but"
        )
        if liquids.state[p] == OVERFULL:
            yield Finding(
                n,
                "tank_overfull",
                DANGER,
                place,
                f"holds more than its 100 % volume: {counted} there is no room to expand and liquid may spill; check "
                "the quantity or shift the surplus",
            )
        else:
            yield Finding(
                n,
                "tank_pressed_up",
                CAUTION,
                place,
                f"above its normal full limit: {counted} there is little room to expand and liquid may spill; "
                "consider shifting the surplus",
            )


def _liquids(batch: Batch, vessel: Vessel) -> Iterator[Finding]:
    fillings = batch.fillings
    spans = USUAL_DENSITY[fillings.contents]
    unusual = (fillings.density < spans[:, 0] - 1e-9) | (fillings.density > spans[:, 1] + 1e-9)
    for p in _where(unusual):
        n = int(fillings.condition[p])
        yield Finding(
            n,
            "density_unusual",
            CAUTION,
            ("tanks", int(p - batch.first_line[n]), "density"),
            f"density outside its usual range for {_words(int(fillings.contents[p]))}",
        )
    for p in _where(fillings.contents != vessel.book.contents[fillings.tank]):
        n, own = int(fillings.condition[p]), int(vessel.book.contents[fillings.tank[p]])
        yield Finding(
            n,
            "contents_unusual",
            INFO,
            ("tanks", int(p - batch.first_line[n]), "contents"),
            f"holds {_words(int(fillings.contents[p]))}; her booklet has it for {_words(own)}",
        )


def _forgotten(batch: Batch, vessel: Vessel) -> Iterator[Finding]:
    pairs = [unit for unit in vessel.free_surfaces.units if len(unit) == 2]
    first = batch.first_line
    for n in _where(np.diff(first) < len(vessel.tanks)).tolist():
        lines = {t: i for i, t in enumerate(batch.fillings.tank[first[n] : first[n + 1]].tolist())}
        for one, other in pairs:
            if (one in lines) != (other in lines):
                there, missing = (one, other) if one in lines else (other, one)
                yield Finding(
                    n,
                    "partner_tank_not_mentioned",
                    CAUTION,
                    ("tanks", lines[there]),
                    f"its partner {vessel.tanks[missing].id} is not mentioned and is taken as empty",
                )
        names = ", ".join(tank.id for i, tank in enumerate(vessel.tanks) if i not in lines)
        yield Finding(
            n, "tanks_not_mentioned", INFO, ("tanks",), f"not mentioned and taken as empty: {names}"
        )


def _consumables(batch: Batch, liquids: Liquids) -> Iterator[Finding]:
    fillings = batch.fillings
    aboard = CONSUMABLE[fillings.contents] & (liquids.state != EMPTY)
    groups = len(CONTENTS)
    slot = fillings.condition * groups + fillings.contents
    carried = np.bincount(slot[aboard], minlength=len(batch) * groups)
    slack = np.bincount(slot[aboard & (liquids.state == SLACK)], minlength=len(batch) * groups)
    for both in _where((carried > 0) & (slack == 0)):
        n, group = divmod(int(both), groups)
        if batch.conditions[n].basis != BY_RULE:
            yield Finding(
                n,
                "consumable_without_slack_tank",
                CAUTION,
                ("free_surface", "basis"),
                f"every tank of {_words(group)} is full, so none counts a free surface; one will be slack as soon as "
                "it is used (2008 IS Code B/3.1.4): consider the basis by_rule",
            )


def _weights(batch: Batch, vessel: Vessel) -> Iterator[Finding]:
    p, w = vessel.particulars, batch.weights
    outside = (
        (w.lcg < -0.1 * p.length_bp)
        | (w.lcg > 1.1 * p.length_bp)
        | (np.abs(w.tcg) > p.breadth)
        | (w.vcg < 0.0)
    )
    for q in _where(outside):
        n, i = w.condition(int(q))
        yield Finding(
            n, "weight_outside_ship", CAUTION, ("weights", i), "its centre lies outside the ship: check it"
        )
    for q in _where(w.mass < 0.0):
        n, i = w.condition(int(q))
        yield Finding(n, "weight_removed", INFO, ("weights", i), "counted as a mass taken off the ship")


def _grain(batch: Batch, vessel: Vessel) -> Iterator[Finding]:
    for n, condition in enumerate(batch.conditions):
        if not condition.grain:
            continue
        for i, line in enumerate(condition.grain):
            if not 1.0 <= line.stowage_factor <= 3.0:
                yield Finding(
                    n,
                    "stowage_factor_unusual",
                    CAUTION,
                    ("grain", i, "stowage_factor"),
                    "outside the usual range for grain, 1.0 to 3.0 m3/t (36 to 108 ft3/LT): check its unit; too large "
                    "a factor hides heeling moment",
                )
        cargo = sum(w.mass for w in condition.weights if w.category == "cargo")
        if cargo < 0.8 * sum(grain_mass(line, vessel.holds) for line in condition.grain):
            yield Finding(
                n,
                "grain_mass_missing",
                CAUTION,
                ("grain",),
                "the weights of cargo are far less than this grain would weigh: its mass must be entered among the "
                "weights too",
            )


def _water(batch: Batch) -> Iterator[Finding]:
    for n in _where((batch.water_density < 0.995) | (batch.water_density > 1.032)):
        yield Finding(
            int(n),
            "water_density_unusual",
            CAUTION,
            ("water_density",),
            "outside the usual range from fresh to salt water",
        )


def _stability(situation: Situation, list_angle: np.ndarray) -> Iterator[Finding]:
    for n in _where(situation.gm_corrected <= 0.0):
        yield Finding(
            int(n),
            "gm_not_positive",
            DANGER,
            (),
            "corrected GM is not positive: she lies at an angle of loll, to either side",
        )
    size = np.abs(list_angle)
    large = np.isnan(size) & (situation.gm_corrected > 0.0)  # and no cross curves to find it on
    for n in _where((size > 1.0) | large):
        if large[n] or size[n] > 5.0:
            yield Finding(int(n), "list_large", DANGER, (), "a list of more than 5 degrees")
        else:
            yield Finding(int(n), "list", CAUTION, (), "a list of more than 1 degree")
    for n in _where(situation.flooding.angle <= np.maximum(size, 1e-9)):
        yield Finding(
            int(n), "opening_under_water", DANGER, (), "an opening is under water at the angle she floats at"
        )


def _flotation(situation: Situation) -> Iterator[Finding]:
    flotation = situation.flotation
    for n in _where(flotation.trim < -1e-3):
        yield Finding(int(n), "trim_by_the_head", CAUTION, (), "she trims by the head")
    if flotation.method == MOMENT_METHOD:
        for n in _where(np.abs(flotation.trim) > 0.01 * flotation.length_bp):
            yield Finding(
                int(n),
                "trim_beyond_even_keel_tables",
                CAUTION,
                (),
                "the trim exceeds 1 % of her length: even-keel tables are too coarse for it (MSC/Circ.920 3.4)",
            )
    if situation.vessel.load_line_drafts:
        permitted, marks = permitted_draft(situation)
        for n in _where(flotation.draft_midship > permitted + 1e-9):
            yield Finding(
                int(n),
                "draft_over_load_line",
                DANGER,
                ("load_line_mark",),
                f"the draft amidships is over load line mark {marks[n]}",
            )


def _view_and_propeller(situation: Situation) -> Iterator[Finding]:
    propeller, bridge, flotation = situation.vessel.propeller, situation.vessel.bridge, situation.flotation
    if propeller is not None:
        tip = propeller.shaft_height + 0.5 * propeller.diameter
        for n in _where(flotation.draft_at(propeller.x) < tip):
            yield Finding(
                int(n), "propeller_not_immersed", CAUTION, (), "the propeller is not fully immersed"
            )
    if bridge is not None:
        eye = bridge.eye_z - flotation.draft_at(bridge.eye_x)
        top = bridge.obstruction_z - flotation.draft_at(bridge.obstruction_x)
        with np.errstate(divide="ignore"):
            reach = np.where(eye > top, eye * (bridge.obstruction_x - bridge.eye_x) / (eye - top), np.inf)
        blind = np.where(top <= 0.0, 0.0, reach - (bridge.bow_x - bridge.eye_x))
        for n in _where(blind > min(2.0 * bridge.length_overall, 500.0)):
            yield Finding(
                int(n),
                "view_from_bridge_obscured",
                CAUTION,
                (),
                "the sea surface is hidden for more than two lengths or 500 m ahead of the bow (SOLAS V/22.1.1)",
            )


def _observed(situation: Situation, list_angle: np.ndarray) -> Iterator[Finding]:
    marks, flotation, p = situation.vessel.draft_marks, situation.flotation, situation.vessel.particulars
    for n, condition in enumerate(situation.batch.conditions):
        if not condition.is_observed:
            continue
        for mark in marks:
            seen = condition.observed_drafts.get(mark.name)
            if (
                seen is not None
                and abs(seen - float(flotation.draft_at(mark.x)[n]) - mark.keel_offset) > 0.05
            ):
                yield Finding(
                    n,
                    "observed_draft_differs",
                    CAUTION,
                    ("observed", "drafts", mark.name),
                    "the draft read differs from the computed one by more than 5 cm: a weight or its place is wrong",
                )
        if condition.observed_list is not None and abs(condition.observed_list - float(list_angle[n])) > 0.5:
            yield Finding(
                n,
                "observed_list_differs",
                CAUTION,
                ("observed", "list"),
                "differs from the computed list by more than 0.5 degrees",
            )
        period = condition.observed_roll_period
        if period is not None and p.length_waterline is not None:
            draft = flotation.draft_midship[n : n + 1]
            c = rolling.coefficient(p.breadth, draft, p.length_waterline)
            shortest = max(period, 1e-3)  # a slip of the pen must not overflow
            gm = float(rolling.metacentric_height(c, p.breadth, np.array([shortest]))[0])
            if abs(gm - float(situation.gm_corrected[n])) > 0.2 * max(gm, 0.15):
                yield Finding(
                    n,
                    "observed_roll_period_differs",
                    CAUTION,
                    ("observed", "roll_period"),
                    "the GM it suggests (2008 IS Code A 2.3.4) differs from the computed one by more than a fifth",
                )


def _where(mask: np.ndarray) -> np.ndarray:
    """Places where it holds; most findings hold nowhere, so this is asked often for nothing."""
    places: np.ndarray = mask.nonzero()[0]
    return places


def _words(contents: int) -> str:
    return CONTENTS[contents].replace("_", " ")
