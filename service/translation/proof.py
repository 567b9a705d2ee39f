"""The proof of a booklet: her printed conditions computed from her own tables, held against the printed figures."""

from collections.abc import Iterator, Sequence
from typing import Any

from service.translation.calculation_version import CALCULATION_VERSION
from service.translation.printed_figures import LEAST_CONDITIONS, Compared, compared, decimals_of
from service.translation.vessel import vessel_of
from service.wire.proof import (
    PROOF_CAUTION,
    Proof,
    ProofCoverage,
    ProofState,
    ProofSummary,
    ProvedCondition,
    ProvedFigure,
)
from service.wire.vessel import Vessel

NO_CONDITIONS = "her booklet's printed conditions are not entered: nothing shows that these data are hers"


def proof_summary(document: Vessel, vessel: Any) -> ProofSummary:
    """What every answer says of the proof of a stored vessel."""
    return {
        "state": proof_of(document, vessel=vessel)["state"],
        "conditions": len(document.printed_conditions or ()),
    }


def proof_of(document: Vessel, root: tuple[str | int, ...] = ("vessel",), vessel: Any = None) -> Proof:
    """The proof of a vessel; `vessel` where she is prepared already. Raises Refusal."""
    if vessel is None:
        vessel = vessel_of(document, root, posted=False)
    printed = document.printed_conditions or []
    decimals = decimals_of(document)
    found = [compared(vessel, document, i, decimals) for i in range(len(printed))]
    conditions: list[ProvedCondition] = [
        {
            "name": condition.name,
            "page": condition.page,
            "state": _state_of(one),
            "figures": one.figures,
            "why": one.why,
        }
        for condition, one in zip(printed, found, strict=True)
    ]
    figures = [figure for one in found for figure in one.figures]
    state = _state(conditions)
    return {
        "vessel": None,
        "revision": None,
        "state": state,
        "words": _words(state, conditions),
        "figures": sum(figure["state"] != "not_computed" for figure in figures),
        "off": sum(figure["state"] == "off" for figure in figures),
        "conditions": conditions,
        "coverage": _coverage(document, found),
        "calculation_version": CALCULATION_VERSION,
        "caution": PROOF_CAUTION,
    }


def _state_of(one: Compared) -> Any:
    states = {figure["state"] for figure in one.figures}
    if "off" in states:
        return "off"
    return "incomplete" if "not_computed" in states or one.displacement is None else "proved"


def _state(conditions: Sequence[ProvedCondition]) -> ProofState:
    states = {condition["state"] for condition in conditions}
    if not conditions:
        return "none"
    if "off" in states:
        return "off"
    if "incomplete" in states:
        return "incomplete"
    return "thin" if len(conditions) < LEAST_CONDITIONS else "proved"


def _all_figures(conditions: Sequence[ProvedCondition]) -> Iterator[tuple[ProvedCondition, ProvedFigure]]:
    for condition in conditions:
        for figure in condition["figures"]:
            yield condition, figure


def _words(state: ProofState, conditions: Sequence[ProvedCondition]) -> str:
    """The proof in a sentence."""
    if state == "none":
        return NO_CONDITIONS
    count = len(conditions)
    compared_ = [(c, f) for c, f in _all_figures(conditions) if f["state"] != "not_computed"]
    conditions_ = "1 condition" if count == 1 else f"{count} conditions"
    told = f"{conditions_} and {len(compared_)} figures"
    if state == "off":
        off = [(c, f) for c, f in compared_ if f["state"] == "off"]
        condition, figure = off[0]
        computed = "none" if figure["computed"] is None else f"{figure['computed']:.4g}"
        return (
            f"off: {len(off)} of {len(compared_)} printed figures are contradicted, the first by the "
            f"{figure['title']} of “{condition['name']}”: {computed} for {figure['printed']:g}"
        )
    if state == "incomplete":
        missing = sum(f["state"] == "not_computed" for _, f in _all_figures(conditions))
        return f"incomplete: {missing} printed figures could not be computed; {told} agree"
    near = [(f["share"] or 0.0, c, f) for c, f in compared_ if f["state"] == "within_tolerance"]
    words = f"proved with {told}"
    if state == "thin":
        words = f"thin: {told} agree, but {LEAST_CONDITIONS} conditions are asked for (IACS UR L5)"
    if near:
        share, condition, figure = max(near, key=lambda each: each[0])
        words += f"; nearest to its tolerance: {figure['title']} of “{condition['name']}” ({100 * share:.0f} % of it)"
    return words


def _coverage(document: Vessel, found: Sequence[Compared]) -> ProofCoverage:
    printed = document.printed_conditions or []
    loaded = {line.tank for condition in printed for line in condition.tanks}
    displacements = [one.displacement for one in found if one.displacement is not None]
    return {
        "tanks_never_loaded": [tank.id for tank in document.tanks if tank.id not in loaded],
        "displacements": _range(displacements),
        "drafts": _range([one.draft for one in found if one.draft is not None]),
        "trims": _range([one.trim for one in found if one.trim is not None]),
        "phases": sorted({condition.phase for condition in printed if condition.phase is not None}),
        "cross_curve_rows": _rows_reached(document, displacements),
    }


def _range(values: Sequence[float]) -> list[float]:
    return [min(values), max(values)] if values else []


def _rows_reached(document: Vessel, displacements: Sequence[float]) -> str | None:
    """How many rows of the cross curves a printed condition lies beside."""
    curves = document.cross_curves
    if curves is None:
        return None
    rows = curves.displacements
    reached = {k for displacement in displacements for k in (_beside(rows, displacement))}
    return f"{len(reached)} of {len(rows)}"


def _beside(rows: Sequence[float], value: float) -> tuple[int, ...]:
    """The rows on either side of a value; none where it lies outside them."""
    above = next((k for k, row in enumerate(rows) if row >= value), None)
    if above is None or (above == 0 and rows[0] != value):
        return ()
    return (above,) if rows[above] == value else (above - 1, above)
