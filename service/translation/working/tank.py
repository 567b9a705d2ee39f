"""One tank: volume, mass, filling, levels and centre from its table."""

from service.core.interpolation import interval
from service.core.tank import Tank
from service.translation.working import tank_surface
from service.translation.working.given import Given, Inputs, Path
from service.translation.working.sources import Sources, times_density
from service.translation.working.tank_table import AXIS, CENTRES, TABLES, cell, is_held, volumes


def write(a: Sources, i: int) -> None:
    """Nodes of tank line `i`."""
    s, line, liquid = a.sheet, a.assessed.condition.tanks[i], a.assessed.liquids[i]
    tank = a.assessed.situation.vessel.tanks[line.tank]
    id, path, place = f"tank/{tank.id}", ("tanks", i), ("tanks", line.tank)
    s.copy(f"{id}/density", _density(a, i, place), name="density in *", of=tank.name, path=(*path, "density"))
    capacity = a.vessel.number((*place, "capacity"), "volume", "capacity, 100 %")
    _volume(a, i, tank, capacity)
    if line.quantity == "mass":
        typed = a.condition.number((*path, "mass"), "mass", "mass typed")
        s.copy(f"{id}/mass", typed, name="mass in *", of=tank.name, path=(*path, "mass"))
    else:
        inputs: Inputs = {"V": f"{id}/volume", "rho": f"{id}/density", **a.mass_of_volume}
        s.add(
            f"{id}/mass", "expression", times_density(a, "V"), inputs, name="mass in *", of=tank.name,
            unit=s.unit("mass"), path=(*path, "mass"), symbol="m",
        )  # fmt: skip
    s.add(
        f"{id}/fill", "expression", "100 * V / V_full", {"V": f"{id}/volume", "V_full": capacity},
        name="filling of *", of=tank.name, unit="%", path=(*path, "fill"), symbol="fill",
    )  # fmt: skip
    limit = a.vessel.number(
        (*place, "normal_limit"), "percent", "normal full limit", absent=tank.normal_limit
    )
    s.copy(f"{id}/limit", limit, name="normal full limit of *", of=tank.name, path=(*path, "limit"))
    for quantity in ("sounding", "ullage"):
        if s.at((*path, quantity)) is not None:
            _level(a, i, tank, quantity)
    for each in CENTRES:
        _centre(a, i, tank, each)
    tank_surface.write(a, i, tank)
    assert abs(s.value(f"{id}/volume") - s.here(liquid.volume, "volume")) <= 1e-9 * max(1.0, liquid.volume)


def _density(a: Sources, i: int, place: Path) -> Given:
    line = a.assessed.condition.tanks[i]
    if a.condition.has(("tanks", i, "density")):
        return a.condition.number(("tanks", i, "density"), "density", "density typed")
    tank = a.assessed.situation.vessel.tanks[line.tank]
    if tank.density is not None and line.contents == tank.contents:
        return a.vessel.number((*place, "density"), "density", "density of the booklet")
    return a.sheet.constant(f"usual density of {line.contents.replace('_', ' ')}", line.density, "t/m3")


def _volume(a: Sources, i: int, tank: Tank, capacity: Given) -> None:
    s, line = a.sheet, a.assessed.condition.tanks[i]
    id, path, quantity = f"tank/{tank.id}", ("tanks", i), line.quantity
    name, of, unit, shown = "volume in *", tank.name, s.unit("volume"), ("tanks", i, "volume")
    if quantity == "mass":
        typed = a.condition.number((*path, "mass"), "mass", "mass typed")
        inputs: Inputs = {"m": typed, "rho": f"{id}/density", **a.mass_of_volume}
        text = "m / rho" if s.is_metric else "m / (rho * k)"
        s.add(f"{id}/volume", "expression", text, inputs, name=name, of=of, unit=unit, path=shown, symbol="V")
    elif quantity == "volume":
        typed = a.condition.number((*path, "volume"), "volume", "volume typed")
        s.copy(f"{id}/volume", typed, name=name, of=of, path=shown)
    elif quantity == "fill":
        inputs = {"p": a.condition.number((*path, "fill"), "percent", "filling typed"), "V_full": capacity}
        text = "p * V_full / 100"
        s.add(f"{id}/volume", "expression", text, inputs, name=name, of=of, unit=unit, path=shown, symbol="V")
    else:
        typed = a.condition.number((*path, quantity), "length", f"{quantity} typed")
        sense = 1.0 if quantity == "sounding" else -1.0
        levels = tank.levels[quantity]
        k, _ = interval(levels, sense * line.value) if len(levels) > 1 else (0, 0.0)
        at = {f"x{n}": cell(a, line.tank, k + n, quantity, "length") for n in (0, 1)}
        to = {f"y{n}": cell(a, line.tank, k + n, "volume", "volume") for n in (0, 1)}
        s.linear(
            f"{id}/volume", {"x": typed, **at, **to}, name=name, of=of, unit=unit, value=s.at(shown), path=shown,
            source=TABLES,
        )  # fmt: skip


def _level(a: Sources, i: int, tank: Tank, quantity: str) -> None:
    """Sounding or ullage at the volume found."""
    s, line = a.sheet, a.assessed.condition.tanks[i]
    id, printed, volume = f"tank/{tank.id}", len(tank.levels[quantity]), a.assessed.liquids[i].volume
    shown, name, of = ("tanks", i, quantity), f"{quantity} of *", tank.name
    if line.quantity == quantity:
        s.copy(
            f"{id}/{quantity}",
            a.condition.number(shown, "length", f"{quantity} typed"),
            name=name,
            of=of,
            path=shown,
        )
        return
    k, part = interval(tank.volumes[:printed], volume)
    if is_held(part, k, tank.volumes[:printed], volume):
        s.copy(
            f"{id}/{quantity}",
            cell(a, line.tank, k + int(part), quantity, "length"),
            name=name,
            of=of,
            path=shown,
        )
        return
    at = {f"x{n}": cell(a, line.tank, k + n, "volume", "volume") for n in (0, 1)}
    to = {f"y{n}": cell(a, line.tank, k + n, quantity, "length") for n in (0, 1)}
    row: Inputs = {"x": f"{id}/volume", **at, **to}
    s.linear(
        f"{id}/{quantity}",
        row,
        name=name,
        of=of,
        unit=s.unit("length"),
        value=s.at(shown),
        path=shown,
        source=TABLES,
    )


def _centre(a: Sources, i: int, tank: Tank, each: str) -> None:
    s, index, volume = a.sheet, a.assessed.condition.tanks[i].tank, a.assessed.liquids[i].volume
    id, shown = f"tank/{tank.id}", ("tanks", i, "centre", each)
    name, own = (
        f"{each.upper()} in *",
        a.vessel.number(("tanks", index, each), AXIS[each], each.upper()),
    )
    if tank.table is None:
        s.copy(f"{id}/{each}", own, name=name, of=tank.name, path=shown)
        return
    k, part = interval(tank.volumes, volume)
    ends = [
        own if k + n == len(tank.table.volume) else cell(a, index, k + n, each, AXIS[each]) for n in (0, 1)
    ]
    if is_held(part, k, tank.volumes, volume):
        s.copy(f"{id}/{each}", ends[int(part)], name=name, of=tank.name, path=shown)
        return
    if ends[0].value == ends[1].value:
        s.copy(f"{id}/{each}", ends[0], name=name, of=tank.name, path=shown, formula="the same in both rows")
        return
    row: Inputs = {"x": f"{id}/volume", **volumes(a, index, tank, k), "y0": ends[0], "y1": ends[1]}
    s.linear(
        f"{id}/{each}",
        row,
        name=name,
        of=tank.name,
        unit=s.unit("length"),
        value=s.at(shown),
        path=shown,
        source=TABLES,
    )
