"""The block `load_line`, from the nodes of its clauses."""

from service.core.load_line_figures import load_line_check, load_line_figures
from service.translation.working import load_lines
from service.translation.working.sources import Sources
from service.translation.working.tables_at_draft import displacement_at


def write(a: Sources) -> None:
    """Drafts, allowance, margin and mass to the line; every mark's draft and what it permits in this water."""
    s, found, check = a.sheet, load_line_figures(a.assessed.situation), load_line_check(a.assessed.situation)
    if found is None or check is None or "load_line" not in s.answer:
        return
    path = ("load_line",)
    middle = load_lines.midship_node(a)
    assert middle is not None
    s.copy("load_line/block/midship", middle, path=(*path, "draft_midship"))
    s.copy("load_line/block/deflection", load_lines.deflection(a), path=(*path, "deflection"))
    side = load_lines.low_side_node(a)
    if side is not None and found.draft_low_side is not None:
        s.copy("load_line/block/low_side", side, path=(*path, "draft_low_side"))
    allowance = load_lines.allowance(a)
    if allowance is not None:
        s.copy("load_line/block/allowance", allowance, path=(*path, "fresh_water_allowance"))
    if found.permitted is not None:
        _permitted(a, found.permitted, middle)
    if found.permitted_exactly is not None:
        _exactly(a, check.mark, middle)
    for i, mark in enumerate(found.marks):
        _mark(a, i, mark.mark, mark.permitted is not None)


def _permitted(a: Sources, permitted: float, middle: str) -> None:
    s, path = a.sheet, ("load_line", "permitted_draft")
    given = load_lines.permitted_of(a, permitted)
    assert given is not None
    node = s.copy("load_line/block/permitted", given, name="draft permitted in this water", path=path)
    s.add(
        "load_line/block/margin", "expression", "T_p - d", {"T_p": node, "d": middle}, name="margin to the load line",
        unit=s.unit("length"), path=("load_line", "margin"), source=load_lines.SOURCE,
    )  # fmt: skip
    if s.at(("load_line", "mass_to_line")) is None:
        return
    load_lines.mass_to(a, node, "load_line/block/mass", ("load_line", "mass_to_line"))


def _exactly(a: Sources, mark: str | None, middle: str) -> None:
    """The draft of the same displacement in this water, found on her tables, and the margin to it."""
    s, path = a.sheet, ("load_line", "permitted_draft_exact")
    given = None if mark is None else load_lines.exact_node(a, mark)
    assert given is not None
    node = s.copy("load_line/block/exact", given, path=path)
    s.add(
        "load_line/block/margin_exact", "expression", "T_p - d", {"T_p": node, "d": middle},
        name="margin by the same displacement", unit=s.unit("length"), path=("load_line", "margin_exact"),
        source=load_lines.SOURCE,
    )  # fmt: skip


def _mark(a: Sources, i: int, mark: str, has_permitted: bool) -> None:
    s, path = a.sheet, ("load_line", "marks", i)
    salt = load_lines.salt(a, mark)
    if salt is not None:
        s.copy(f"load_line/block/{mark}", salt, path=(*path, "draft"))
    if not has_permitted:
        return
    given = load_lines.permitted_node(a, mark)
    assert given is not None
    permitted = s.copy(f"load_line/block/{mark}/permitted", given, path=(*path, "permitted_draft"))
    flotation = a.assessed.situation.flotation
    if s.at((*path, "displacement")) is None or flotation is None:
        return
    without = s.add(
        f"load_line/block/{mark}/amidships", "expression", "T - delta",
        {"T": permitted, "delta": load_lines.deflection(a)}, name="draft amidships at mark *, without deflection",
        of=mark,
        unit=s.unit("length"), value=s.value(permitted) - s.value(load_lines.deflection(a)),
    )  # fmt: skip
    displacement = displacement_at(
        a, f"load_line/block/{mark}/displacement", without, "trim", flotation.trim,
        name="displacement at mark *", of=mark, path=(*path, "displacement"),
    )  # fmt: skip
    s.add(
        f"load_line/block/{mark}/deadweight", "expression", "W - W_ls", {"W": displacement, "W_ls": "lightship/mass"},
        name="deadweight at mark *", of=mark, unit=s.unit("mass"), path=(*path, "deadweight"),
    )  # fmt: skip
