"""The weights that the service added: a load on the hook, passengers in their spaces, absorbed water, ice."""

from service.core.added_weight import ABSORPTION, HOOK_LOAD, ICE, PASSENGERS, AddedWeight
from service.core.passenger import MASS_EACH, STANDING
from service.translation.ship_type import KILOGRAM, POUND
from service.translation.units import METRIC
from service.translation.working import ice
from service.translation.working.given import Given, Inputs
from service.translation.working.sources import Sources
from service.translation.working.tank_table import CENTRES

AXES = {"lcg": ("x", "x"), "vcg": ("z", "length"), "tcg": ("y", "y")}
PASSENGER = "A.749(18) 3.5.2.6 and 3.5.2.7"


def write(a: Sources) -> None:
    """Mass and centre of each that is no ice, in the order of the answer."""
    for k, added in enumerate(a.assessed.added):
        if added.reason == HOOK_LOAD:
            _hook_load(a, k)
        elif added.reason == PASSENGERS:
            _passengers(a, k, added)
        elif added.reason == ABSORPTION:
            ice.absorbed(a, k)


def write_ice(a: Sources) -> None:
    """The same of ice, which settles on what stands above the water without it."""
    for k, added in enumerate(a.assessed.added):
        if added.reason == ICE:
            ice.ice(a, k)


def members_of(a: Sources, k: int) -> Inputs:
    """Mass and centre of one, by what they are: its nodes, or what the answer shows of absorbed water and ice."""
    if a.sheet.has(f"added/{k}/mass"):
        return {each: f"added/{k}/{each}" for each in ("mass", *CENTRES)}
    s, row = a.sheet, a.sheet.at(("added_weights", k))
    what = f"{row['name']} (added: {row['formula']})"
    centres = {each: s.constant(f"{each.upper()} of {what}", row[each], s.unit("length")) for each in CENTRES}
    return {"mass": s.constant(f"mass of {what}", row["mass"], s.unit("mass")), **centres}


def _hook_load(a: Sources, k: int) -> None:
    place = ("operation", "lift")
    mass = a.condition.number((*place, "mass"), "mass", "load on the hook")
    a.sheet.copy(f"added/{k}/mass", mass, path=("added_weights", k, "mass"))
    for each, (member, dimension) in AXES.items():
        given = a.condition.number((*place, member), dimension, f"{member} of the crane's head")
        a.sheet.copy(f"added/{k}/{each}", given, path=("added_weights", k, each))


def _passengers(a: Sources, k: int, added: AddedWeight) -> None:
    s, path = a.sheet, ("added_weights", k)
    assert added.of is not None
    line = a.assessed.condition.passengers[added.of]
    space = ("passenger_spaces", line.space)
    each = KILOGRAM if a.condition.frame.scale is METRIC else POUND
    place = ("passengers", added.of)
    inputs: Inputs = {
        "n": number_of(a, added.of),
        "m": a.condition.number(
            (*place, "mass_each"), "mass", "mass of one", absent=s.here(MASS_EACH, "mass"), factor=each
        ),
    }
    s.add(
        f"added/{k}/mass", "expression", "n * m", inputs, name="mass of passengers", unit=s.unit("mass"),
        path=(*path, "mass"), source=PASSENGER,
    )  # fmt: skip
    x = a.vessel.number((*space, "x"), "x", "centre of the space")
    s.copy(f"added/{k}/lcg", x, path=(*path, "lcg"))
    standing = s.constant("a standing passenger above the deck", s.here(STANDING, "length"), s.unit("length"))
    deck = a.vessel.number((*space, "deck_z"), "length", "height of the deck")
    s.add(
        f"added/{k}/vcg", "expression", "z + h", {"z": deck, "h": standing}, name="VCG of passengers",
        unit=s.unit("length"), path=(*path, "vcg"), source=PASSENGER,
    )  # fmt: skip
    centre = s.constant("on the centreline", 0.0, s.unit("length"))
    s.copy(f"added/{k}/tcg", centre, path=(*path, "tcg"))


def number_of(a: Sources, line: int) -> Given:
    """How many passengers a line of the condition names."""
    number = float(a.assessed.condition.passengers[line].number)
    stem = f"condition/passengers/{line}"
    return Given("passengers", number, "", "condition", stem, "number", original=number)
