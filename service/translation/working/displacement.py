"""Displacement and its centres: subtotals by group, moments, sums."""

from typing import Any

from service.core.tank import CONTENTS
from service.translation.working import added_weights
from service.translation.working.given import Input, Inputs
from service.translation.working.sources import Sources
from service.translation.working.tank_table import AXIS, CENTRES

MOMENTS = "first moments: definition"


def lightship(a: Sources) -> None:
    """Mass and centre of the lightship."""
    s, vessel = a.sheet, a.vessel
    given = vessel.number(("lightship", "mass"), "mass", "lightship mass")
    s.copy("lightship/mass", given, name="mass of lightship", path=("weights", 0, "mass"))
    for each in CENTRES:
        given = vessel.number(("lightship", each), AXIS[each], f"{each.upper()} of lightship")
        s.copy(f"lightship/{each}", given, path=("weights", 0, "centre", each))


def subtotals(a: Sources, without: str = "") -> None:
    """Liquids and weights by group, in the order of the answer; `without` is a category of weights that waits."""
    s, condition = a.sheet, a.assessed.condition
    names = [a.assessed.situation.vessel.tanks[line.tank].id for line in condition.tanks]
    groups: list[tuple[str, list[str], list[Inputs]]] = []
    for contents in CONTENTS:
        lines = [i for i, line in enumerate(condition.tanks) if line.contents == contents]
        if lines:
            groups.append(
                (
                    f"liquid/{contents}",
                    [f"tank/{names[i]}" for i in lines],
                    [{each: f"tank/{names[i]}/{each}" for each in ("mass", *CENTRES)} for i in lines],
                )
            )
    categories = [weight.category for weight in condition.weights]
    for category in dict.fromkeys((*categories, *(each.weight.category for each in a.assessed.added))):
        groups.append((f"weights/{category}", [], [] if category == without else parts_of(a, category)))
    for k, (id, _, members) in enumerate(groups, 1):
        if id == f"weights/{without}":
            continue
        path, name = ("weights", k), id.partition("/")[2].replace("_", " ")
        mass = s.total(
            f"{id}/mass", [member["mass"] for member in members], name="mass of *", of=name, unit=s.unit("mass"),
            value=s.at((*path, "mass")), path=(*path, "mass"),
        )  # fmt: skip
        if s.at((*path, "centre")) is None:
            continue
        for each in CENTRES:
            value = s.at((*path, "centre", each))
            pairs = [(member["mass"], member[each]) for member in members]
            moment = s.products(
                f"{id}/{each}_moment", pairs, name=f"moment of * for {each.upper()}", of=name, unit=s.unit("moment"),
                value=value * s.value(mass), source=MOMENTS,
            )  # fmt: skip
            s.add(
                f"{id}/{each}", "expression", "M / m", {"M": moment, "m": mass}, name=f"{each.upper()} of *", of=name,
                unit=s.unit("length"), path=(*path, "centre", each),
            )  # fmt: skip


def weight_of(a: Sources, i: int) -> Inputs:
    """Mass and centre of a line of weight as typed."""
    name = a.condition.document["weights"][i]["name"]
    found: Inputs = {
        each: a.condition.number(("weights", i, each), AXIS[each], f"{each.upper()} of {name}")
        for each in CENTRES
    }
    return {"mass": a.condition.number(("weights", i, "mass"), "mass", f"mass of {name}"), **found}


def write(a: Sources) -> None:
    """Displacement, deadweight, moments and centres."""
    s = a.sheet
    rows = a.sheet.at(("weights",))
    ids = ids_of(rows)
    s.total(
        "displacement", [f"{id}/mass" for id in ids], name="displacement", unit=s.unit("mass"),
        value=s.at(("displacement",)), path=("displacement",),
    )  # fmt: skip
    s.add(
        "deadweight", "expression", "W - W_ls", {"W": "displacement", "W_ls": "lightship/mass"}, name="deadweight",
        unit=s.unit("mass"), path=("deadweight",),
    )  # fmt: skip
    centred = [id for id, row in zip(ids, rows, strict=True) if row["centre"] is not None]
    for each, figure, path in (
        ("lcg", "lcg", "longitudinal"),
        ("vcg", "vcg_solid", "vertical"),
        ("tcg", "tcg", "transverse"),
    ):
        pairs: list[tuple[Input, Input]] = [(f"{id}/mass", f"{id}/{each}") for id in centred]
        for _id, row in zip(ids, rows, strict=True):
            if row["centre"] is None:  # masses that cancel out, whose moments need not
                pairs += [(part["mass"], part[each]) for part in parts_of(a, row["category"])]
        moment = s.products(
            f"{path}_moment", pairs, name=f"{path} moment", unit=s.unit("moment"), value=s.at(("moments", path)),
            path=("moments", path), source=MOMENTS,
        )  # fmt: skip
        symbol = {"longitudinal": "M_l", "vertical": "M_v", "transverse": "M_t"}[path]
        s.add(
            figure, "expression", f"{symbol} / W", {symbol: moment, "W": "displacement"},
            name=f"{each.upper()}{', solid' if each == 'vcg' else ''}", unit=s.unit("length"), path=(figure,),
            symbol="KG" if each == "vcg" else each.upper(),
        )  # fmt: skip


def ids_of(rows: list[Any]) -> list[str]:
    """How the ids of the subtotals begin, in the order of the answer."""
    return [
        "lightship", *(f"{'liquid' if row['kind'] == 'liquid' else 'weights'}/{row['category']}" for row in rows[1:])
    ]  # fmt: skip


def parts_of(a: Sources, category: str, without: str = "") -> list[Inputs]:
    """Mass and centre of every line of a category; `without` is why some were added that are left out."""
    weights, added = a.assessed.condition.weights, a.assessed.added
    own = [weight_of(a, i) for i, weight in enumerate(weights) if weight.category == category]
    return own + [
        added_weights.members_of(a, k)
        for k, each in enumerate(added)
        if each.weight.category == category and each.reason != without
    ]
