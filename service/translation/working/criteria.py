"""Every criterion: what was attained, the limit, the margin, and each detail.

What a clause measures and what a detail is are known by their keys, the same in every document.
"""

from service.core.rules.limit import AT_LEAST, Criterion, RuleSet
from service.core.situation import Heeled
from service.translation.answer_criteria import unit_in
from service.translation.working import drafts, load_lines, ship_types
from service.translation.working.clause import Clause
from service.translation.working.clause_tables import ATTAINED, DETAILS, LIMIT, Find
from service.translation.working.given import Path
from service.translation.working.levers import Levers
from service.translation.working.sources import Sources

OWN_LIMITS = "own-limits"


def write(a: Sources, levers: Levers | None) -> None:
    """Nodes of `criteria` and of the margins beside the verdict."""
    sides: dict[float, Heeled] = {a.assessed.heeled.side: a.assessed.heeled}
    for k, (rule_set, criterion) in enumerate(a.assessed.criteria):
        side = criterion.side or a.assessed.heeled.side
        if side not in sides:
            sides[side] = _other_side(a, side)
        _write_one(Clause(a, k, rule_set, criterion, sides[side], levers))
    _margins(a)


def _other_side(a: Sources, side: float) -> Heeled:
    ship, shown = a.assessed.situation, a.assessed.heeled
    curve = None if shown.curve is None else shown.curve.other_side()
    closure = any(rule_set.automatic_closure for rule_set in a.assessed.sets)
    return Heeled.to(side, ship.vessel, ship.flotation, ship.waterplane, curve, closure)


def _write_one(clause: Clause) -> None:
    s, row = clause.sheet, clause.sheet.at(("criteria", clause.k))
    path: Path = ("criteria", clause.k)
    for n, detail in enumerate(row["details"]):
        if isinstance(detail["value"], int | float) and not isinstance(detail["value"], bool):
            _detail(clause, n, detail["key"], detail["unit"], detail["value"])
    if row["attained"] is not None:
        own = clause.rule_set.name == OWN_LIMITS
        found = _id_of_node(drafts.own_figure if own else ATTAINED.get(row["key"]), clause)
        _add_node(
            clause, clause.id, found, (*path, "attained"), row["quantity"], row["unit"], row["attained"]
        )
    if row["limit"] is None:
        return
    limit = clause.criterion.row.limit
    id = f"{clause.id}/limit"
    if limit is not None and limit == clause.criterion.required:
        factor, _ = unit_in(clause.criterion.row.unit, s.scale)
        given = s.rule(row["id"], f"limit of {row['clause']}", limit, clause.criterion.row.unit)
        if factor == 1.0:
            s.copy(
                id, given, name="limit of *", of=row["clause"], path=(*path, "limit"), source=row["source"]
            )
        else:
            s.add(
                id, "expression", "x * f", {"x": given, "f": s.constant(f"{row['unit']} a {given.unit}", factor)},
                name="limit of *", of=row["clause"], unit=row["unit"], path=(*path, "limit"), source=row["source"],
            )  # fmt: skip
    else:
        own = clause.rule_set.name == OWN_LIMITS
        found = _id_of_node(drafts.own_limit if own else LIMIT.get(row["key"]), clause) or ship_types.limit(
            clause
        )
        _add_node(clause, id, found, (*path, "limit"), f"limit of {row['clause']}", row["unit"], row["limit"])
    if row["margin"] is not None and s.has(clause.id):
        text = "attained - limit" if clause.criterion.row.comparison == AT_LEAST else "limit - attained"
        s.add(
            f"{clause.id}/margin", "expression", text, {"attained": clause.id, "limit": id},
            name="margin of *", of=row["clause"], unit=row["unit"], path=(*path, "margin"),
        )  # fmt: skip


def _id_of_node(find: Find | None, clause: Clause) -> str | None:
    return None if find is None else find(clause)


def _add_node(
    clause: Clause, id: str, found: str | None, path: Path, name: str, unit: str, value: float
) -> None:
    """A node of the answer's figure: a copy of what was found, or of itself where its working is not written yet."""
    s = clause.sheet
    if found is None:
        words = (
            f"{name} as computed by {clause.criterion.row.clause}: its working is not written in this version"
        )
        s.copy(id, s.constant(words, value, unit), name=name, path=path, source=clause.criterion.row.source)
        return
    s.copy(id, found, name=name, path=path, source=clause.criterion.row.source)


def _detail(clause: Clause, n: int, key: str, unit: str, value: float) -> None:
    base = key.partition("/")[0]
    find = DETAILS.get((clause.criterion.row.key, base)) or DETAILS.get(("", base))
    found = find(clause, key) if find else None
    path: Path = ("criteria", clause.k, "details", n, "value")
    own = f"details/{key}" if key in ("limit", "margin") else key
    _add_node(clause, f"{clause.id}/{own}", found, path, key.replace("_", " "), unit, value)


# --- margins beside the verdict --------------------------------------------------------------------------------


def _margins(a: Sources) -> None:
    s = a.sheet
    least = s.at(("least_stability_margin",))
    if least is not None:
        criterion, id = _criterion_by_id(a, least["criterion"])
        margin = f"{id}/margin"
        if least["margin"] is not None and s.has(margin):
            s.copy("least_stability_margin", margin, path=("least_stability_margin", "margin"))
            if least["gm_equivalent"] is not None:
                effect = criterion[1].vcg_effect or 1.0
                factor = least["margin"] / least["gm_equivalent"] if least["gm_equivalent"] else effect
                s.add(
                    "least_stability_margin/gm_equivalent",
                    "expression",
                    "margin / effect",
                    {
                        "margin": margin,
                        "effect": s.constant("what it loses for each unit of length that VCG rises", factor),
                    },
                    name="rise of VCG that brings it to its limit",
                    unit=s.unit("length"),
                    path=("least_stability_margin", "gm_equivalent"),
                    source="definition of GZ; integral of sin",
                )
    smallest = s.at(("smallest_margin",))
    if smallest is not None:
        _, id = _criterion_by_id(a, smallest["criterion"])
        s.add(
            "smallest_margin", "expression", "100 * margin / abs(limit)",
            {"margin": f"{id}/margin", "limit": f"{id}/limit"}, name="smallest margin, percent", unit="%",
            path=("smallest_margin", "percent"),
        )  # fmt: skip
    load_lines.margin(a)


def _criterion_by_id(a: Sources, id: str) -> tuple[tuple[RuleSet, Criterion], str]:
    found = next(each for each in a.assessed.criteria if each[1].row.id == id)
    return found, f"criterion/{id}"
