"""The free surface moments added up by basis, and the correction."""

from collections.abc import Callable

from service.translation.working.given import Input, Path
from service.translation.working.sources import Sources
from service.translation.working.tank_surface import moment_when_slack


def write(a: Sources) -> None:
    """Nodes of `free_surface`, what rules assume, and the loss of GM of each tank."""
    s, found, vessel = a.sheet, a.assessed.surfaces, a.assessed.situation.vessel
    ids = [f"tank/{vessel.tanks[line.tank].id}" for line in a.assessed.condition.tanks]
    unit = s.unit("moment")

    def other(i: int, which: str) -> str:
        return (
            f"{ids[i]}/moment_{which}" if s.has(f"{ids[i]}/moment_{which}") else f"{ids[i]}/moment_as_filled"
        )

    for basis, which in (("as_filled", "as_filled"), ("maximum_when_slack", "greatest")):
        parts = [other(i, which) for i in range(len(ids)) if s.value(other(i, which)) != 0.0]
        s.total(
            f"free_surface/{basis}", parts, name=f"free surface moment, {basis.replace('_', ' ')}", unit=unit,
            value=s.at(("free_surface", basis, "moment")), path=("free_surface", basis, "moment"),
            source="2008 IS Code B/3.1",
        )  # fmt: skip
    for i, id in enumerate(ids):
        s.add(
            f"{id}/gm_loss", "expression", "FSM / W", {"FSM": f"{id}/free_surface_moment", "W": "displacement"},
            name="loss of GM to *", of=id[5:], unit=s.unit("length"), path=("tanks", i, "gm_loss"),
            source="2008 IS Code B/3.1.7",
        )  # fmt: skip
    assumed = _assumed(a, ids)
    counted = [f"{id}/free_surface_moment" for id in ids if s.value(f"{id}/free_surface_moment") != 0.0]
    s.total(
        "free_surface_moment", [*counted, *assumed], name="free surface moment", unit=unit,
        value=s.at(("free_surface_moment",)), path=("free_surface_moment",), source="2008 IS Code B/3.1",
    )  # fmt: skip
    s.copy("free_surface/judged", "free_surface_moment", path=("free_surface", "judged", "moment"))
    by_rule = found.by_rule
    if by_rule is not None and by_rule is found.judged:
        s.copy("free_surface/by_rule", "free_surface_moment", path=("free_surface", "by_rule", "moment"))
    elif by_rule is not None:
        _by_rule(a, ids, other)
    exempt = [
        s.constant(f"left out: {ids[i][5:]}", s.here(m, "moment"), unit)
        for i, m in enumerate(found.judged.exempt)
        if m
    ]
    s.total(
        "free_surface/exempt", exempt, name="free surface moment left out as too small", unit=unit,
        value=s.at(("free_surface", "exempt_moment")), path=("free_surface", "exempt_moment"),
        source="2008 IS Code B/3.1.12",
    )  # fmt: skip


def _assumed(a: Sources, ids: list[str]) -> list[str]:
    """What rules assume for tanks that are not slack, and the loss of GM to it."""
    s, found, vessel = a.sheet, a.assessed.surfaces, a.assessed.situation.vessel
    unit, assumed = s.unit("moment"), list[str]()
    for k, line in enumerate(found.judged.assumed):
        id = f"assumed/{vessel.tanks[line.tank].id}"
        path: Path = ("assumed_free_surfaces", k)
        i = next(i for i, each in enumerate(a.assessed.condition.tanks) if each.tank == line.tank)
        tank, source = vessel.tanks[line.tank], moment_when_slack(a, i)
        s.add(
            id, "expression", "FSM_slack - FSM", {"FSM_slack": source, "FSM": f"{ids[i]}/free_surface_moment"},
            name="moment assumed for *", of=tank.name, unit=unit, path=(*path, "free_surface_moment"),
            formula=line.reason, source="2008 IS Code B/3.1.4; 46 CFR 170.285",
        )  # fmt: skip
        s.add(
            f"{id}/gm_loss", "expression", "FSM / W", {"FSM": id, "W": "displacement"},
            name="loss of GM to what is assumed for *", of=tank.name, unit=s.unit("length"), path=(*path, "gm_loss"),
        )  # fmt: skip
        assumed.append(id)
    return assumed


def _by_rule(a: Sources, ids: list[str], other: "Callable[[int, str], str]") -> None:
    """The total by rule where another basis judges."""
    s, found = a.sheet, a.assessed.surfaces.by_rule
    assert found is not None
    parts: list[Input] = [
        other(i, "as_filled" if found.at_filling[i] else "greatest")
        for i, moment in enumerate(found.moments)
        if moment != 0.0
    ]
    for line in found.assumed:
        i = next(i for i, each in enumerate(a.assessed.condition.tanks) if each.tank == line.tank)
        most = moment_when_slack(a, i)
        counted = other(i, "as_filled" if found.at_filling[i] else "greatest")
        parts.append(
            s.add(
                f"assumed_by_rule/{ids[i][5:]}",
                "expression",
                "FSM_slack - FSM",
                {"FSM_slack": most, "FSM": counted},
                name="moment assumed by rule for *",
                of=ids[i][5:],
                unit=s.unit("moment"),
                value=s.here(line.moment, "moment"),
                formula=line.reason,
            )
        )
    s.total(
        "free_surface/by_rule", parts, name="free surface moment, by rule", unit=s.unit("moment"),
        value=s.at(("free_surface", "by_rule", "moment")), path=("free_surface", "by_rule", "moment"),
        source="2008 IS Code B/3.1; 46 CFR 170.285",
    )  # fmt: skip


def correction(a: Sources) -> None:
    """The correction to VCG and GM."""
    s = a.sheet
    s.add(
        "free_surface_correction", "expression", "sum_FSM / W",
        {"sum_FSM": "free_surface_moment", "W": "displacement"}, name="free surface correction",
        unit=s.unit("length"), path=("free_surface_correction",), symbol="FSC", source="2008 IS Code B/3.1.7",
    )  # fmt: skip
    s.add(
        "vcg_corrected", "expression", "KG + FSC", {"KG": "vcg_solid", "FSC": "free_surface_correction"},
        name="VCG, corrected for free surface", unit=s.unit("length"), path=("vcg_corrected",), symbol="KG_f",
    )  # fmt: skip
