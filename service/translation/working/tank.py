"""One tank: volume, mass, filling, levels and centre from its table."""

from service.core.interpolation import interval
from service.core.tank import Tank
from service.translation.working import tank_surface
from service.translation.working.given import Given, Input, Inputs, Path
from service.translation.working.sources import Sources, times_density
from service.translation.working.tank_table import CENTRES, TABLES, capacity_of, centre_of, ends, is_held


def write(a: Sources, i: int) -> None:
    """Nodes of tank line `i`."""
    s, line, liquid = a.sheet, a.assessed.condition.tanks[i], a.assessed.liquids[i]
    index, path = line.tank, ("tanks", i)
    tank = a.assessed.situation.vessel.tanks[index]
    id, of = f"tank/{tank.id}", tank.name
    volume, density = f"{id}/volume", f"{id}/density"
    s.copy(density, _density(a, i, tank), name="density in *", of=of, path=(*path, "density"))
    capacity = capacity_of(a, index)
    _volume(a, i, tank, capacity, volume, density)
    if line.quantity == "mass":
        mass: Input = a.condition.number((*path, "mass"), "mass", "mass typed")
        s.copy(f"{id}/mass", mass, name="mass in *", of=of, path=(*path, "mass"))
    else:
        s.add(
            f"{id}/mass", "expression", times_density(a, "V"), {"V": volume, "rho": density, **a.mass_of_volume},
            name="mass in *", of=of, unit=s.unit("mass"), path=(*path, "mass"), symbol="m",
        )  # fmt: skip
    s.add(
        f"{id}/fill", "expression", "100 * V / V_full", {"V": volume, "V_full": capacity}, name="filling of *", of=of,
        unit="%", path=(*path, "fill"),
    )  # fmt: skip
    limit = a.vessel.number(
        ("tanks", index, "normal_limit"), "percent", "normal full limit", absent=tank.normal_limit
    )
    s.copy(f"{id}/limit", limit, name="normal full limit of *", of=of, path=(*path, "limit"))
    for quantity in ("sounding", "ullage"):
        if s.at((*path, quantity)) is not None:
            _level(a, i, tank, quantity, volume)
    _centre(a, i, tank, volume)
    tank_surface.write(a, i, tank)
    assert abs(s.value(volume) - s.here(liquid.volume, "volume")) <= 1e-9 * max(1.0, liquid.volume)


def _density(a: Sources, i: int, tank: Tank) -> Given:
    line = a.assessed.condition.tanks[i]
    typed: Path = ("tanks", i, "density")
    if a.condition.has(typed):
        return a.condition.number(typed, "density", "density typed")
    if tank.density is not None and line.contents == tank.contents:
        return a.vessel.number(("tanks", line.tank, "density"), "density", "density of the booklet")
    return a.sheet.constant(f"usual density of {line.contents.replace('_', ' ')}", line.density, "t/m3")


def _volume(a: Sources, i: int, tank: Tank, capacity: Given, id: str, density: str) -> None:
    s, line = a.sheet, a.assessed.condition.tanks[i]
    quantity, name, of, unit = line.quantity, "volume in *", tank.name, s.unit("volume")
    place, path = ("tanks", i, quantity), ("tanks", i, "volume")
    if quantity == "mass":
        typed = a.condition.number(place, "mass", "mass typed")
        inputs: Inputs = {"m": typed, "rho": density, **a.mass_of_volume}
        text = "m / rho" if s.is_metric else "m / (rho * k)"
        s.add(id, "expression", text, inputs, name=name, of=of, unit=unit, path=path, symbol="V")
    elif quantity == "volume":
        typed = a.condition.number(place, "volume", "volume typed")
        s.copy(id, typed, name=name, of=of, path=path)
    elif quantity == "fill":
        inputs = {"p": a.condition.number(place, "percent", "filling typed"), "V_full": capacity}
        text = "p * V_full / 100"
        s.add(id, "expression", text, inputs, name=name, of=of, unit=unit, path=path, symbol="V")
    else:
        typed = a.condition.number(place, "length", f"{quantity} typed")
        sense = 1.0 if quantity == "sounding" else -1.0
        levels = tank.levels[quantity]
        k, _ = interval(levels, sense * line.value) if len(levels) > 1 else (0, 0.0)
        x, y = ends(a, line.tank, k, quantity), ends(a, line.tank, k, "volume")
        s.between(id, typed, x, y, name=name, of=of, unit=unit, value=s.at(path), path=path, source=TABLES)


def _level(a: Sources, i: int, tank: Tank, quantity: str, volume: str) -> None:
    """Sounding or ullage at the volume found."""
    s, line = a.sheet, a.assessed.condition.tanks[i]
    id, path, name, of = f"tank/{tank.id}/{quantity}", ("tanks", i, quantity), f"{quantity} of *", tank.name
    if line.quantity == quantity:
        typed = a.condition.number(path, "length", f"{quantity} typed")
        s.copy(id, typed, name=name, of=of, path=path)
        return
    printed, value = tank.volumes[: len(tank.levels[quantity])], a.assessed.liquids[i].volume
    k, part = interval(printed, value)
    y = ends(a, line.tank, k, quantity)
    if is_held(part, k, printed, value):
        s.copy(id, y[int(part)], name=name, of=of, path=path)
        return
    x, unit = ends(a, line.tank, k, "volume"), s.unit("length")
    s.between(id, volume, x, y, name=name, of=of, unit=unit, value=s.at(path), path=path, source=TABLES)


def _centre(a: Sources, i: int, tank: Tank, volume: str) -> None:
    s, index, value = a.sheet, a.assessed.condition.tanks[i].tank, a.assessed.liquids[i].volume
    path, of = ("tanks", i, "centre"), tank.name
    if tank.table is None:
        for each in CENTRES:
            own, name = centre_of(a, index, each), f"{each.upper()} in *"
            s.copy(f"tank/{tank.id}/{each}", own, name=name, of=of, path=(*path, each))
        return
    k, part = interval(tank.volumes, value)
    held, centre = is_held(part, k, tank.volumes, value), s.at(path)
    x, unit = ends(a, index, k, "volume"), s.unit("length")
    for each in CENTRES:
        id, name, shown = f"tank/{tank.id}/{each}", f"{each.upper()} in *", (*path, each)
        y = ends(a, index, k, each)
        if held:
            s.copy(id, y[int(part)], name=name, of=of, path=shown)
        elif y[0].value == y[1].value:
            s.copy(id, y[0], name=name, of=of, path=shown, formula="the same in both rows")
        else:
            s.between(
                id, volume, x, y, name=name, of=of, unit=unit, value=centre[each], path=shown, source=TABLES
            )  # fmt: skip
