"""Her without the ice that a condition counts: displacement, centres, drafts, trim, lateral area."""

from service.core.added_weight import ICE
from service.translation.working import displacement, floating, wind_profile
from service.translation.working.given import Inputs
from service.translation.working.sources import Sources, State, before_ice


def write(a: Sources) -> None:
    """Nodes of that state, and the subtotals of all that is aboard but ice; nothing where no ice is counted."""
    state = before_ice(a)
    if state is None:
        return
    displacement.subtotals(a, without=ICE)
    _load(a, state)
    floating.write(a, state)
    wind_profile.write(a, state)


def _load(a: Sources, state: State) -> None:
    """Displacement, LCG and VCG of all that is aboard but the ice; the subtotals without it are written."""
    s, load, rows = a.sheet, state.ship.displacement, a.sheet.at(("weights",))
    parts = list[Inputs]()
    for id, row in zip(displacement.ids_of(rows), rows, strict=True):
        if id == f"weights/{ICE}":
            parts += displacement.parts_of(a, ICE, without=ICE)
        elif row["centre"] is None:
            parts += displacement.parts_of(a, row["category"])
        else:
            parts.append({each: f"{id}/{each}" for each in ("mass", "lcg", "vcg")})
    mass = s.total(
        state.id("displacement"), [part["mass"] for part in parts], name=state.name("displacement"),
        unit=s.unit("mass"), value=s.here(load.mass, "mass"),
    )  # fmt: skip
    for each, figure, value, path in (
        ("lcg", "lcg", load.lcg, "longitudinal"),
        ("vcg", "vcg_solid", load.vcg_solid, "vertical"),
    ):
        moment = s.products(
            state.id(f"{path}_moment"), [(part["mass"], part[each]) for part in parts],
            name=state.name(f"{path} moment"), unit=s.unit("moment"), value=s.here(load.mass * value, "moment"),
            source=displacement.MOMENTS,
        )  # fmt: skip
        symbol = f"M_{path[0]}"
        s.add(
            state.id(figure), "expression", f"{symbol} / W", {symbol: moment, "W": mass},
            name=state.name(f"{each.upper()}{', solid' if each == 'vcg' else ''}"), unit=s.unit("length"),
            value=s.here(value, "length"), symbol="KG" if each == "vcg" else each.upper(),
        )  # fmt: skip
