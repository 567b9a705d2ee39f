"""The draft of the same displacement in other water, found on her tables."""

from service.core.load_line import SALT_WATER, LoadLine
from service.translation.working.given import Inputs
from service.translation.working.sources import Sources
from service.translation.working.tables_at_draft import TABLES, displacement_at


def exact_draft(a: Sources, line: LoadLine, mark: str, in_salt: str) -> str | None:
    """The draft at which she has the displacement of a mark (its draft in salt water is a node) in the water she lies
    in, at her trim: a root. None where it is not on her tables."""
    s, ship = a.sheet, a.assessed.situation
    density, flotation = ship.condition.water_density, ship.flotation
    if flotation is None:
        return None
    length = ship.vessel.particulars.length_bp
    value = line.permitted_exactly(mark, density, ship.vessel.hydrostatics, flotation.trim, length)
    if value is None:
        return None
    id, name = f"load_line/exact/{mark}", "draft of mark * by the same displacement in this water"
    if density >= SALT_WATER:
        return s.copy(id, in_salt, name=name, of=mark)
    salt_water = s.constant("density of salt water", SALT_WATER, s.unit("density"))
    needed = displacement_at(
        a, f"{id}/in_salt_water", in_salt, "trim", flotation.trim, density=salt_water,
        name="displacement at mark * in salt water", of=mark,
    )  # fmt: skip
    found = s.constant(f"draft found for mark {mark}", s.here(value, "length"), s.unit("length"))
    there = displacement_at(
        a, f"{id}/in_this_water", found, "trim", flotation.trim,
        name="displacement in this water at the draft found for mark *", of=mark,
    )  # fmt: skip
    inputs: Inputs = {"W_T": there, "W_s": needed}
    return s.add(
        id, "root", "W_T / W_s - 1", inputs, name=name, of=mark, unit=s.unit("length"), value=found.value,
        source=TABLES, formula="the draft T at which her displacement W_T here is W_s, that of the mark in salt water",
    )  # fmt: skip
