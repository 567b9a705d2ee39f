"""Every check of a vessel document that needs more than one of its fields."""

from collections.abc import Sequence
from itertools import pairwise

from service.core.rules.catalogue import CATALOGUE, NAMES
from service.translation.contradictions import Contradictions
from service.translation.grain import check_holds
from service.translation.printed_conditions import check_printed
from service.translation.ship_type import check_spaces
from service.translation.strength import check_strength
from service.translation.view import check_limits
from service.wire import tank as wire_tank
from service.wire import vessel as wire
from service.wire.hydrostatics import CrossCurves

LEAST_DIMENSION = 0.1
"""m or ft: smaller than any ship or model; what is divided by it stays finite."""


def check(document: wire.Vessel, contradictions: Contradictions, *, posted: bool = True) -> None:
    """Note every place where the document contradicts itself or names what does not exist; `posted` is False for one
    that is kept already, whose rule sets stay as they are."""
    number = document.imo_number
    if number is not None and sum(int(d) * w for d, w in zip(number, range(7, 1, -1))) % 10 != int(number[6]):
        contradictions.add(("imo_number",), "check_digit", "the check digit of this IMO number is wrong.")
    for name in ("length_bp", "breadth"):
        if getattr(document.particulars, name) < LEAST_DIMENSION:
            contradictions.add(
                ("particulars", name), "too_small", f"this must be at least {LEAST_DIMENSION}."
            )
    contradictions.repeated([tank.id for tank in document.tanks], "id", ("tanks",))
    contradictions.repeated([opening.id for opening in document.openings or ()], "id", ("openings",))
    contradictions.repeated([mark.name for mark in document.draft_marks or ()], "name", ("draft_marks",))
    check_holds(document.holds or (), contradictions)
    check_strength(document, contradictions)
    check_limits(document.limits or (), contradictions)
    check_spaces(document, contradictions)
    ids = {tank.id for tank in document.tanks}
    for i, tank in enumerate(document.tanks):
        _check_tank(tank, i, ids, contradictions)
    contradictions.increasing(document.wind_profile or (), "draft", ("wind_profile",))
    for i, row in enumerate(document.wind_profile or ()):
        if row.area > 0.0 and row.centroid_height < row.draft:
            words = "an area above the waterline has its centroid above it; heights are from the baseline."
            contradictions.add(("wind_profile", i, "centroid_height"), "contradiction", words)
    for i, opening in enumerate(document.openings or ()):
        _check_immersion(opening.immersion_angles, ("openings", i, "immersion_angles"), contradictions)
    edge = document.deck_edge
    if edge is not None:
        _check_immersion(edge.immersion_angles, ("deck_edge", "immersion_angles"), contradictions)
        if edge.points is None and edge.immersion_angles is None:
            contradictions.add(("deck_edge",), "missing", "give points or immersion_angles.")
    lines = document.load_lines
    if lines is not None and lines.reference == "extreme" and document.particulars.keel_thickness is None:
        words = "drafts to the underside of the keel need its thickness."
        contradictions.add(("particulars", "keel_thickness"), "keel_thickness_missing", words)
    if document.load_lines is not None and (document.load_lines.marks or {}).get("S") not in (
        None,
        document.load_lines.summer_draft,
    ):
        contradictions.add(("load_lines", "marks", "S"), "contradiction", "mark S differs from summer_draft.")
    _check_cross_curves(document.cross_curves, ("cross_curves",), contradictions)
    _check_cross_curves(document.cross_curves_timber, ("cross_curves_timber",), contradictions)
    check_printed(document, contradictions)
    for i, limit in enumerate(document.gm_limits or ()):
        for rows in by_trim_range(limit).values():
            contradictions.increasing([row for _, row in rows], "draft", ("gm_limits", i, "rows"))
    _check_rule_sets(document.rule_sets, contradictions, posted=posted)


def _check_rule_sets(names: Sequence[str], contradictions: Contradictions, *, posted: bool) -> None:
    for i, name in enumerate(names):
        if name not in NAMES:
            contradictions.add(("rule_sets", i), "unknown_rule_set", "this rule set is not in /v1/rule-sets.")
            continue
        for other in set(names).intersection(CATALOGUE[NAMES[name]].excludes) if posted else ():
            words = f"this set stands instead of {other}: list one of them."
            contradictions.add(("rule_sets", i), "sets_exclude_each_other", words)


def _check_tank(tank: wire_tank.Tank, index: int, ids: set[str], contradictions: Contradictions) -> None:
    place = ("tanks", index)
    if tank.pair is not None and tank.pair not in ids - {tank.id}:
        contradictions.add((*place, "pair"), "unknown_tank", "no other tank has this id.")
    table = tank.table
    if table is not None:
        for name in ("sounding", "ullage", "free_surface_inertia", "free_surface_moment"):
            given = [getattr(row, name) is not None for row in table.rows]
            if any(given) and not all(given):
                contradictions.add(
                    (*place, "table", "rows", given.index(False), name),
                    "missing",
                    f"{name} must be in every row or in none.",
                )
        if table.rows[0].free_surface_moment is not None and table.density is None:
            contradictions.add(
                (*place, "table", "density"), "missing", "free_surface_moment needs the density it is for."
            )
        if table.rows[0].free_surface_moment is not None and table.rows[0].free_surface_inertia is not None:
            contradictions.add(
                (*place, "table", "rows", 0), "contradiction", "give an inertia or a moment, not both."
            )
    heeled = tank.heeled_moments
    if heeled is not None:
        contradictions.rising(heeled.fillings, (*place, "heeled_moments", "fillings"))
        contradictions.heels(heeled.heels, (*place, "heeled_moments", "heels"))
        if len(heeled.moments) != len(heeled.fillings) or any(
            len(row) != len(heeled.heels) for row in heeled.moments
        ):
            contradictions.add(
                (*place, "heeled_moments", "moments"), "shape", "one row a filling, one number a heel."
            )


def _check_cross_curves(
    curves: CrossCurves | None, place: tuple[str], contradictions: Contradictions
) -> None:
    if curves is None:
        return
    if curves.basis == "gz_at_vcg" and curves.vcg is None:
        contradictions.add(
            (*place, "vcg"), "missing", "levers at an assumed centre of gravity need that centre."
        )
    contradictions.heels(curves.heels, (*place, "heels"))
    tables = [(place, curves.displacements, curves.levers)]
    for i, other in enumerate(curves.at_other_trims or ()):
        tables.append(((*place, "at_other_trims", i), other.displacements, other.levers))  # type: ignore[arg-type]
    for where, displacements, levers in tables:
        contradictions.rising(displacements, (*where, "displacements"))
        if len(levers) != len(displacements) or any(len(row) != len(curves.heels) for row in levers):
            contradictions.add((*where, "levers"), "shape", "one row a displacement, one number a heel.")
        elif len(displacements) < 2:
            contradictions.add(
                (*where, "displacements"), "too_short", "at least two displacements are needed."
            )
    trims = [curves.trim, *(other.trim for other in curves.at_other_trims or ())]
    if len(set(trims)) != len(trims):
        contradictions.add((*place, "at_other_trims"), "duplicate", "a trim stands twice.")


def _check_immersion(
    rows: Sequence[wire.ImmersionAngle] | None, place: tuple[str | int, ...], contradictions: Contradictions
) -> None:
    for of_trim in by_trim(rows or ()).values():
        for before, after in pairwise(of_trim):
            if not after.draft > before.draft:
                words = "draft must increase from row to row at the same trim."
                contradictions.add((*place, _index(rows or (), after), "draft"), "not_increasing", words)
                break


def _index(rows: Sequence[object], row: object) -> int:
    return next(i for i, each in enumerate(rows) if each is row)


def by_trim(rows: Sequence[wire.ImmersionAngle]) -> dict[float, list[wire.ImmersionAngle]]:
    """Printed immersion angles by the trim they hold for."""
    trims: dict[float, list[wire.ImmersionAngle]] = {}
    for row in rows:
        trims.setdefault(row.trim, []).append(row)
    return trims


def by_trim_range(
    limit: wire.GmLimit,
) -> dict[tuple[float | None, float | None], list[tuple[int, wire.GmLimitRow]]]:
    """Rows of a limit curve, with their places, by the range of trim they hold for."""
    ranges: dict[tuple[float | None, float | None], list[tuple[int, wire.GmLimitRow]]] = {}
    for i, row in enumerate(limit.rows):
        ranges.setdefault((row.trim_from, row.trim_to), []).append((i, row))
    return ranges
