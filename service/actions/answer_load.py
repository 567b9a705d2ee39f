"""What is aboard as the wire shows it: tank lines, moments that rules assume, subtotals."""

from collections.abc import Iterable
from typing import Any

import numpy as np

from service.actions.columns import Row, listed
from service.actions.units import Scale
from service.core.assessment import Assessment as Assessed
from service.core.free_surface import SENTENCES
from service.core.tank import CONTENTS, STATES

Totals = dict[tuple[str, str], list[float]]


def tank_rows(a: Assessed, s: Scale) -> list[Row]:
    """Every tank line of the batch, one after the other."""
    liquids, contents = a.liquids, a.batch.fillings.contents.tolist()
    tanks = [a.situation.vessel.tanks[t] for t in a.batch.fillings.tank.tolist()]
    return [
        {
            "tank": tank.id,
            "name": tank.name,
            "side": tank.side,
            "contents": CONTENTS[content],
            "density": density,
            "mass": mass,
            "volume": volume,
            "fill": fill,
            "limit": tank.normal_limit,
            "sounding": sounding,
            "ullage": ullage,
            "centre": {"lcg": x, "vcg": z, "tcg": y},
            "state": STATES[state],
            "free_surface_moment": moment,
            "free_surface_reason": reason,
            "gm_loss": loss,
        }
        for tank, content, density, mass, volume, fill, sounding, ullage, x, z, y, state, moment, reason, loss in zip(
            tanks,
            contents,
            a.batch.fillings.density.tolist(),
            (liquids.mass / s.mass).tolist(),
            (liquids.volume / s.volume).tolist(),
            liquids.fill.tolist(),
            listed(liquids.sounding / s.length),
            listed(liquids.ullage / s.length),
            (liquids.lcg / s.length).tolist(),
            (liquids.vcg / s.length).tolist(),
            (liquids.tcg / s.length).tolist(),
            liquids.state.tolist(),
            (a.surfaces.moment / s.moment).tolist(),
            _reasons(a),
            (a.surfaces.moment / a.displacement.mass[a.batch.fillings.condition] / s.length).tolist(),
        )
    ]


def _reasons(a: Assessed) -> Iterable[str]:
    printed = a.surfaces.column.tolist()
    tanks, sentence = a.batch.fillings.tank.tolist(), a.situation.vessel.free_surfaces.sentence
    return [
        SENTENCES[reason] if printed[p] < 0 else sentence(a.surfaces, p, tanks[p])
        for p, reason in enumerate(a.surfaces.reason.tolist())
    ]


def assumed_rows(a: Assessed, s: Scale) -> dict[int, list[Row]]:
    """The moments that rules assume, by condition."""
    rows: dict[int, list[Row]] = {}
    for line in a.assumed:
        tank = a.situation.vessel.tanks[line.tank]
        loss = line.moment / float(a.displacement.mass[line.condition])
        rows.setdefault(line.condition, []).append(
            {
                "tank": tank.id,
                "name": tank.name,
                "contents": CONTENTS[line.contents],
                "free_surface_moment": line.moment / s.moment,
                "free_surface_reason": line.reason,
                "gm_loss": loss / s.length,
            }
        )
    return rows


def liquid_totals(a: Assessed) -> list[Totals]:
    """Mass and first moments (core units) of each liquid, of every condition."""
    liquids, fillings, groups = a.liquids, a.batch.fillings, len(CONTENTS)
    slot = fillings.condition * groups + fillings.contents
    size, mass = len(a.batch) * groups, liquids.mass

    def by_liquid(values: Any) -> Any:
        return np.bincount(slot, weights=values, minlength=size).reshape(-1, groups).tolist()

    sums = [
        by_liquid(values) for values in (mass, mass * liquids.lcg, mass * liquids.vcg, mass * liquids.tcg)
    ]
    lines = by_liquid(None)
    return [
        {("liquid", CONTENTS[g]): [part[n][g] for part in sums] for g in range(groups) if lines[n][g]}
        for n in range(len(a.batch))
    ]


def subtotals(a: Assessed, s: Scale, n: int, liquids: Totals) -> list[Row]:
    """Lightship, liquids and weights of one condition, each with its common centre."""
    ship = a.situation.vessel.lightship
    totals: Totals = {}
    _add(totals, ("lightship", "lightship"), ship.mass, ship.lcg, ship.vcg, ship.tcg)
    totals.update(liquids)
    for mass, x, z, y, category in a.batch.conditions[n].weights:
        _add(totals, ("weight", category), mass, x, z, y)
    length = s.length
    return [
        {
            "category": category,
            "kind": kind,
            "mass": mass / s.mass,
            "centre": None
            if mass == 0.0
            else {
                "lcg": x / mass / length,
                "vcg": z / mass / length,
                "tcg": y / mass / length + 0.0,
            },  # never -0.0
        }
        for (kind, category), (mass, x, z, y) in totals.items()
    ]


def _add(totals: Totals, group: tuple[str, str], mass: float, x: float, z: float, y: float) -> None:
    total = totals.get(group)
    if total is None:
        totals[group] = [mass, mass * x, mass * z, mass * y]
    else:
        total[0] += mass
        total[1] += mass * x
        total[2] += mass * z
        total[3] += mass * y
