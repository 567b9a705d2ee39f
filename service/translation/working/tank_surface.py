"""The free surface moment of one tank, by basis."""

from service.core import free_surface as fs
from service.core.interpolation import interval
from service.core.tank import Tank
from service.translation.working.given import Given, Input, Inputs, Path
from service.translation.working.sources import Sources, times_density
from service.translation.working.tank_table import TABLES, ends, is_held

NOTHING = (fs.NO_LIQUID, fs.ABOVE_LIMIT, fs.ABOVE_FULL, fs.TABLE_AT_LIMIT)


def write(a: Sources, i: int, tank: Tank) -> None:
    """The moment counted, and those of the other bases where they differ."""
    s, surfaces = a.sheet, a.assessed.surfaces
    surface, counted = surfaces.surfaces[i], surfaces.judged
    id, shown = f"tank/{tank.id}/free_surface_moment", ("tanks", i, "free_surface_moment")
    filled = _moment(a, i, tank, "as_filled", surface.as_filled, surface.reason)
    greatest = filled
    if surface.greatest != surface.as_filled:
        greatest = _moment(a, i, tank, "greatest", surface.greatest, surface.reason_greatest)
    if counted.exempt[i]:
        nothing = s.constant(counted.reasons[i], 0.0, s.unit("moment"))
        s.copy(id, nothing, name="free surface moment of *", of=tank.name, path=shown)
    else:
        of = filled if counted.at_filling[i] else greatest
        s.copy(id, of, name="free surface moment of *", of=tank.name, path=shown, formula=counted.reasons[i])


def _moment(a: Sources, i: int, tank: Tank, which: str, moment: float, reason: str) -> str:
    s, line = a.sheet, a.assessed.condition.tanks[i]
    id, name, unit = (
        f"tank/{tank.id}/moment_{which}",
        f"free surface moment of *, {which.replace('_', ' ')}",
        s.unit("moment"),
    )
    value, rho = s.here(moment, "moment"), f"tank/{tank.id}/density"
    if reason in NOTHING or (moment == 0.0 and not tank.printed):
        return s.copy(id, s.constant(reason, 0.0, unit), name=name, of=tank.name, formula=reason)
    if tank.printed:
        column = tank.column(line)
        which_moment = (
            "limit_moment" if moment == column.limit_moment * (line.density / column.density) else ""
        )
        if not which_moment or moment == column.slack_moment * (line.density / column.density):
            which_moment = "slack_moment" if "slack" in reason else "limit_moment"
        return _printed(a, i, tank, id, which_moment, name, value, reason)
    if reason == fs.CARGO_AT_98:
        inertia = _inertia(a, i, tank, "at_98", 0.98 * tank.capacity)
    elif reason == fs.CHANGING:
        inertia = _while_changing(a, i, tank, which)
    elif which == "as_filled":
        inertia = _inertia(a, i, tank, "at_filling", a.assessed.liquids[i].volume)
    else:
        inertia = _greatest(a, i, tank)
    inputs: Inputs = {"i": inertia, "rho": rho, **a.mass_of_volume}
    return s.add(
        id, "expression", times_density(a, "i"), inputs, name=name, of=tank.name, unit=unit, value=value,
        formula=reason,
        source="2008 IS Code B/3.1.3",
    )  # fmt: skip


def _printed(
    a: Sources, i: int, tank: Tank, id: str, member: str, name: str, value: float, formula: str = ""
) -> str:
    """A moment of the printed column that counts, at the density aboard."""
    s, line = a.sheet, a.assessed.condition.tanks[i]
    place = ("tanks", line.tank, "printed_free_surface", "columns", tank.printed.index(tank.column(line)))
    return s.add(
        id, "expression", "FSM_c * rho / rho_c",
        {
            "FSM_c": a.vessel.number((*place, member), "moment", member.replace("_", " ")),
            "rho": f"tank/{tank.id}/density",
            "rho_c": a.vessel.number((*place, "density"), "density", "density of the column"),
        },
        name=name, of=tank.name, unit=s.unit("moment"), value=value, formula=formula,
        source="the vessel's booklet: printed moments",
    )  # fmt: skip


def _inertia_cell(a: Sources, index: int, tank: Tank, row: int) -> Given:
    """The inertia of a printed row; that of the last row for the full tank."""
    assert tank.table is not None
    row = min(row, len(tank.table.volume) - 1)
    place: Path = ("tanks", index, "table", "rows", row, "free_surface_inertia")
    name = f"inertia of row {row + 1}"
    if a.vessel.has(place):
        return a.vessel.number(place, "inertia", name)
    table = a.vessel.document["tanks"][index]["table"]
    factor = a.vessel.frame.scale.moment / table["density"]
    return a.vessel.number(
        (*place[:-1], "free_surface_moment"), "inertia", f"moment of row {row + 1}", factor=factor
    )


def _inertia(a: Sources, i: int, tank: Tank, which: str, volume: float, given: Given | None = None) -> str:
    """Inertia of the surface at a volume (m3); given: that volume where it is none of the tank's."""
    s, index = a.sheet, a.assessed.condition.tanks[i].tank
    id, unit = f"tank/{tank.id}/inertia_{which}", s.unit("inertia")
    name, of = f"inertia of the surface of *, {which.replace('_', ' ')}", tank.name
    if tank.rectangular is not None:
        place = ("tanks", index, "rectangular_surface")
        n = a.vessel.number((*place, "compartments"), "", "compartments", absent=1.0)
        sides = {each[0]: a.vessel.number((*place, each), "length", each) for each in ("length", "breadth")}
        return s.add(
            f"tank/{tank.id}/inertia", "expression", "l * b^3 / 12 / n^2", {**sides, "n": n}, name=name, of=of,
            unit=unit,
            value=s.here(tank.rectangular.inertia, "inertia"),
            source="Derrett and Barrass, Ship Stability, free surface",
        )  # fmt: skip
    k, part = interval(tank.volumes, volume)
    y = _inertia_cell(a, index, tank, k), _inertia_cell(a, index, tank, k + 1)
    if is_held(part, k, tank.volumes, volume) or y[0].value == y[1].value:
        return s.copy(id, y[int(part)], name=name, of=of)
    low, high = tank.rows[k][3], tank.rows[k + 1][3]
    x: Input = f"tank/{tank.id}/volume"
    if given is not None:
        x = given
    elif which != "at_filling":
        x = _part_of_capacity(a, index, tank, 98.0 if which == "at_98" else tank.normal_limit)
    value = s.here(low + part * (high - low), "inertia")
    return s.between(
        id, x, ends(a, index, k, "volume"), y, name=name, of=of, unit=unit, value=value, source=TABLES
    )


def _while_changing(a: Sources, i: int, tank: Tank, which: str) -> str:
    """The greatest inertia between two volumes, of a tank that is filled or emptied; with that below the limit where
    the greatest is wanted."""
    s, line, of = a.sheet, a.assessed.condition.tanks[i], tank.name
    if tank.rectangular is not None or line.slack_between is None:
        return _inertia(a, i, tank, "at_filling", a.assessed.liquids[i].volume)
    ends_of_change = sorted(line.slack_between)
    candidates: Inputs = {}
    for name, volume in zip(("least", "most"), ends_of_change, strict=True):
        words = f"{name} volume while the filling changes"
        given = s.constant(words, s.here(volume, "volume"), s.unit("volume"))
        candidates[name] = _inertia(a, i, tank, f"at_{name}", volume, given)
    low, high = ends_of_change
    inside = [k for k, volume in enumerate(tank.volumes) if low < volume < high]
    if inside:
        best = max(inside, key=lambda k: tank.rows[k][3])
        candidates["row"] = _inertia_cell(a, line.tank, tank, best)
    found = tank.greatest_inertia_between(low, high)
    node = s.add(
        f"tank/{tank.id}/inertia_changing", "choice", f"max({', '.join(candidates)})", candidates,
        name="greatest inertia of the surface of * while its filling changes", of=of, unit=s.unit("inertia"),
        value=s.here(found, "inertia"), source="2008 IS Code B/3.1.5",
    )  # fmt: skip
    if which == "as_filled":
        return node
    return s.add(
        f"tank/{tank.id}/inertia_greatest", "choice", "max(below_limit, changing)",
        {"below_limit": _greatest_below_limit(a, i, tank), "changing": node},
        name="greatest inertia of the surface of * while slack and while it changes", of=of, unit=s.unit("inertia"),
        value=s.here(max(found, tank.greatest_inertia), "inertia"), source="2008 IS Code B/3.1.3.2",
    )  # fmt: skip


def _part_of_capacity(a: Sources, index: int, tank: Tank, percent: float) -> str:
    s = a.sheet
    return s.add(
        f"tank/{tank.id}/volume_at_{percent:g}", "expression", "p * V_full / 100",
        {
            "p": s.constant("normal full limit, %", percent, "%"),
            "V_full": a.vessel.number(("tanks", index, "capacity"), "volume", "capacity, 100 %"),
        },
        name=f"volume of * at {percent:g} %", of=tank.name, unit=s.unit("volume"),
        value=s.here(tank.capacity * percent * 0.01, "volume"),
    )  # fmt: skip


def _greatest(a: Sources, i: int, tank: Tank) -> str:
    """The greatest inertia below the limit, or that of the filling where it is greater still."""
    inertia = a.assessed.liquids[i].inertia
    below_limit = _greatest_below_limit(a, i, tank)
    if tank.rectangular is not None or inertia <= tank.greatest_inertia:
        return below_limit
    s, filled = a.sheet, _inertia(a, i, tank, "at_filling", a.assessed.liquids[i].volume)
    return s.add(
        f"tank/{tank.id}/inertia_greatest", "choice", "max(below_limit, at_filling)",
        {"below_limit": below_limit, "at_filling": filled},
        name="greatest inertia of the surface of * while slack, at its filling too", of=tank.name,
        unit=s.unit("inertia"),
        value=s.here(inertia, "inertia"), source="2008 IS Code B/3.1.3.2",
    )  # fmt: skip


def _greatest_below_limit(a: Sources, i: int, tank: Tank) -> str:
    """The greatest inertia of the rows below the normal full limit, and at it."""
    s, index = a.sheet, a.assessed.condition.tanks[i].tank
    if tank.rectangular is not None:
        return _inertia(a, i, tank, "at_filling", a.assessed.liquids[i].volume)
    limit = tank.capacity * tank.normal_limit * 0.01
    best = max((k for k, v in enumerate(tank.volumes) if v < limit), key=lambda k: tank.rows[k][3])
    return s.add(
        f"tank/{tank.id}/inertia_greatest_below_limit", "choice", "max(greatest_row, at_limit)",
        {
            "greatest_row": _inertia_cell(a, index, tank, best),
            "at_limit": _inertia(a, i, tank, "at_limit", limit),
        },
        name="greatest inertia of the surface of * while slack", of=tank.name, unit=s.unit("inertia"),
        value=s.here(tank.greatest_inertia, "inertia"),
        formula="the greatest of the rows below the normal full limit, and at it", source="2008 IS Code B/3.1.3.2",
    )  # fmt: skip


def moment_when_slack(a: Sources, i: int) -> str:
    """The greatest moment of a tank line that is not slack now."""
    s, line = a.sheet, a.assessed.condition.tanks[i]
    tank = a.assessed.situation.vessel.tanks[line.tank]
    id, name = f"tank/{tank.id}/moment_if_slack", "moment of * if it were slack"
    value = s.here(fs.greatest_moment(tank, line), "moment")
    if tank.printed:
        return _printed(a, i, tank, id, "slack_moment", name, value)
    inertia = _greatest_below_limit(a, i, tank)
    inputs: Inputs = {"i": inertia, "rho": f"tank/{tank.id}/density", **a.mass_of_volume}
    return s.add(
        id, "expression", times_density(a, "i"), inputs, name=name, of=tank.name, unit=s.unit("moment"), value=value,
        source="2008 IS Code B/3.1.3.2",
    )  # fmt: skip
