"""Answers that an earlier calculation made, brought to the present shape for whoever reads them.

Calculation 1.0.0 answered without `dangers`, the margins, the free surface totals, the end of the range of levers and
without keys. Nothing is invented: what that answer does not say is null or empty, dangers are counted from its
findings, keys come from its ids and names by frozen tables. Kept bytes stay as they are: this is for pages,
comparisons and reports; the API gives the kept answer itself.
"""

from typing import Any, Final, cast

from service.translation.calculation_version import CALCULATION_VERSION
from service.wire.assessment import Assessment

Row = dict[str, Any]

KEYS_1_0_0: Final = {
    "is-code-2008-a-2.2.1-area-to-30": "area_to_30",
    "is-code-2008-a-2.2.1-area-to-40": "area_to_40",
    "is-code-2008-a-2.2.1-area-30-to-40": "area_30_to_40",
    "is-code-2008-a-2.2.2-lever": "greatest_lever_from_30",
    "is-code-2008-a-2.2.3-angle-of-maximum": "angle_of_maximum",
    "is-code-2008-a-2.2.3-alternative-angle": "angle_of_maximum",
    "is-code-2008-a-2.2.3-alternative-area": "area_to_maximum",
    "is-code-2008-a-2.2.4-initial-gm": "gm",
    "is-code-2008-a-2.3.1-steady-wind": "steady_wind_angle",
    "is-code-2008-a-2.3.1-areas": "weather_areas",
    "grain-code-a-7.1.1-heel": "grain_heel",
    "grain-code-a-7.1.2-residual-area": "grain_residual_area",
    "grain-code-a-7.1.3-initial-gm": "gm",
    "46-cfr-170.170-gm": "gm",
    "46-cfr-170.173-b-gm": "gm",
    "46-cfr-170.173-b-lever": "greatest_lever_from_30",
    "46-cfr-170.173-b-angle": "angle_of_maximum",
    "46-cfr-170.173-b-area-to-30": "area_to_30",
    "46-cfr-170.173-b-area-to-40": "area_to_40",
    "46-cfr-170.173-b-area-30-to-40": "area_30_to_40",
    "46-cfr-170.173-c-gm": "gm",
    "46-cfr-170.173-c-angle": "angle_of_maximum",
    "46-cfr-170.173-c-area-to-40": "area_to_40",
    "46-cfr-170.173-c-area-30-to-40": "area_30_to_40",
    "46-cfr-170.173-c-area-to-maximum": "area_to_maximum",
    "load-lines-draft": "draft_midship",
}
"""Key of each clause of calculation 1.0.0 by its id."""

OWN_LIMITS_1_0_0: Final = {"vessel-gm-limits-min-gm": "gm", "vessel-gm-limits-max-vcg": "vcg"}
"""Key of a ship's own curve by how its id begins; the rest is the name of the curve."""

DETAILS_1_0_0: Final = {
    "80 % of the angle of deck edge immersion": "part_of_deck_edge_angle",
    "100 Ak / (Lwl B)": "bilge_keel_ratio",
    "B/d": "breadth_to_draft",
    "OG/d": "og_to_draft",
    "angle T": "angle",
    "angle of deck edge immersion": "deck_edge_angle",
    "angle of down-flooding": "flooding_angle",
    "angle of flooding": "flooding_angle",
    "angle of heel": "angle_of_heel",
    "angle of maximum difference": "angle_of_greatest_difference",
    "angle of roll phi1": "roll_angle",
    "angle of the maximum righting arm Y": "angle_of_maximum",
    "angle of the maximum righting lever": "angle_of_maximum",
    "angle that immerses half the freeboard": "half_freeboard_angle",
    "angle to windward phi0 - phi1": "windward_angle",
    "angle under steady wind phi0": "steady_wind_angle",
    "area a": "area_a",
    "area b": "area_b",
    "arm of the wind H": "wind_arm",
    "arm of the wind Z": "wind_arm",
    "block coefficient": "block_coefficient",
    "coefficient C": "coefficient_c",
    "displacement": "displacement",
    "displacement W": "displacement",
    "downflooding angle": "flooding_angle",
    "draft amidships": "draft_midship",
    "end of area b, phi2": "end_of_area_b",
    "end of the area": "end_of_area",
    "factor X1": "factor_x1",
    "factor X2": "factor_x2",
    "factor k": "factor_k",
    "factor r": "factor_r",
    "factor s": "factor_s",
    "first intercept of lw2": "first_intercept",
    "gust wind lever lw2": "gust_wind_lever",
    "heeling lever lambda_0": "heeling_lever_0",
    "heeling lever lambda_40": "heeling_lever_40",
    "heeling moment of all holds": "heeling_moment",
    "mark in force": "mark",
    "projected lateral area A": "lateral_area",
    "rolling period T": "roll_period",
    "second intercept of lw2, phi_c": "second_intercept",
    "service": "service",
    "side": "side",
    "steady wind lever lw1": "steady_wind_lever",
    "trim": "trim",
    "water density": "water_density",
    "wind pressure P": "wind_pressure",
}
"""Key of each intermediate value of calculation 1.0.0 by its name."""

HOLD_DETAILS_1_0_0: Final = {
    "factor for the vertical shift": "vertical_factor",
    "heeling moment": "heeling_moment",
    "stowage factor": "stowage_factor",
    "volumetric heeling moment": "volumetric_moment",
}
"""The same for those of one hold, whose names begin with "hold <id>: "."""


def in_present_shape(answer: Row) -> Assessment:
    """An answer of any calculation version with every member that one of today has. One of today is given back as it
    is. The members of a 1.0.0 answer that stay null have non-null types in `Assessment`: readers of older answers ask
    for None."""
    answer = _with_phases(answer)
    if "dangers" in answer:
        return cast(Assessment, answer)
    provenance = answer["provenance"]
    shaped = {
        **answer,
        "provenance": {**provenance, "vessel": {**provenance["vessel"], "proof": None}},
        "dangers": sum(finding["severity"] == "danger" for finding in answer["findings"]),
        "unjudged": [],
        "not_computed": [],
        "least_stability_margin": None,
        "load_line_margin": None,
        "tanks": [{**tank, "counted_as": None, "exempt_moment": None} for tank in answer["tanks"]],
        "free_surface": _free_surface(answer),
        "criteria": [_criterion(row) for row in answer["criteria"]],
    }
    if answer["righting_lever"] is not None:
        shaped["righting_lever"] = {**answer["righting_lever"], "range_end": None, "beyond": None}
    return cast(Assessment, shaped)


def _with_phases(answer: Row) -> Row:
    """The answer with the members that say which clauses counted, and which were recalled: an answer without them
    counted them all and does not say the other."""
    if all("counts" in row for row in answer["criteria"]) and "from_memory" in answer["provenance"]:
        return answer
    rows = [{"counts": True, "from_memory": None, **row} for row in answer["criteria"]]
    return {**answer, "criteria": rows, "provenance": {"from_memory": [], **answer["provenance"]}}


def is_of_today(answer: Assessment) -> bool:
    """Whether today's calculation made an answer."""
    return answer["provenance"]["calculation_version"] == CALCULATION_VERSION


def _free_surface(answer: Row) -> Row:
    """The one basis that was counted, which is the one she was judged by."""
    basis = answer["provenance"]["free_surface_basis"]
    judged = {"moment": answer["free_surface_moment"], "gm_corrected": answer["stability"]["gm_corrected"]}
    return {
        "basis": basis,
        "judged_by": basis,
        "as_filled": None,
        "maximum_when_slack": None,
        "by_rule": None,
        "judged": judged,
        "exempt_moment": None,
    }


def _criterion(row: Row) -> Row:
    own = (key for start, key in OWN_LIMITS_1_0_0.items() if row["id"].startswith(start))
    return {
        **row,
        "key": KEYS_1_0_0.get(row["id"]) or next(own, ""),
        "because": None,
        "details": [{"key": _detail_key(detail["name"]), **detail} for detail in row["details"]],
    }


def _detail_key(name: str) -> str:
    if name.startswith("hold "):
        hold, _, rest = name.removeprefix("hold ").rpartition(": ")
        if rest in HOLD_DETAILS_1_0_0:
            return f"hold/{hold}/{HOLD_DETAILS_1_0_0[rest]}"
    return DETAILS_1_0_0.get(name, "")
