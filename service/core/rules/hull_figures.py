"""Figures of the hull at her drafts that several documents read: freeboards, coefficients, the cargo's centre. No
document: only what they share."""

from itertools import pairwise
from math import fsum
from typing import NamedTuple

from ..situation import Situation


class Freeboard(NamedTuple):
    """Freeboard in m to the deck edge, upright, and its x in m from the aft perpendicular."""

    height: float
    x: float


def freeboards(ship: Situation) -> list[Freeboard]:
    """Freeboard at each point of her deck edge as she floats upright; empty where drafts or points are unknown.

    Source: definition of freeboard."""
    edge, flotation = ship.vessel.deck_edge, ship.flotation
    if edge is None or flotation is None:
        return []
    return [Freeboard(z - flotation.draft_at(x), x) for x, _, z in edge.points]


def least_freeboard(ship: Situation) -> float | None:
    """Least freeboard to the deck edge, m; None where it is unknown. Source: definition of freeboard."""
    found = freeboards(ship)
    return min(found).height if found else None


def stern_freeboard(ship: Situation) -> Freeboard | None:
    """Freeboard at the aftmost point of the deck edge, where that lies in the after quarter of her length; None where
    it is unknown. Source: definition of freeboard."""
    found = min(freeboards(ship), key=lambda each: each.x, default=None)
    return None if found is None or found.x > 0.25 * ship.vessel.particulars.length_bp else found


def midship_freeboard(ship: Situation) -> float | None:
    """Freeboard amidships, m: linear between the points of the deck edge on either side, or that to the moulded depth;
    None where neither is known. Source: definition of freeboard."""
    if ship.flotation is None:
        return None
    half, depth = 0.5 * ship.vessel.particulars.length_bp, ship.vessel.particulars.depth
    points = sorted(freeboards(ship), key=lambda each: each.x)
    for aft, fore in pairwise(points):
        if aft.x <= half <= fore.x and fore.x > aft.x:
            return aft.height + (fore.height - aft.height) * (half - aft.x) / (fore.x - aft.x)
    if len(points) == 1 and points[0].x == half:
        return points[0].height
    return None if depth is None else depth - ship.flotation.draft_midship


def block_coefficient(ship: Situation) -> float | None:
    """Printed by draft, else the ship's, else displaced volume / (L B d), on the waterline's length or that between
    perpendiculars. Source: definition of the coefficient."""
    p, flotation = ship.vessel.particulars, ship.flotation
    if flotation is None or flotation.draft_midship <= 0.0:
        return None
    printed = p.block_coefficient if flotation.block_coefficient is None else flotation.block_coefficient
    if printed is not None:
        return printed
    volume = ship.displacement.mass / ship.condition.water_density
    return volume / ((p.length_waterline or p.length_bp) * p.breadth * flotation.draft_midship)


def waterplane_coefficient(ship: Situation) -> float | None:
    """Waterplane area / (L B), on the waterline's length or that between perpendiculars; None where the booklet prints
    no area. Source: definition of the coefficient."""
    p, flotation = ship.vessel.particulars, ship.flotation
    if flotation is None or flotation.waterplane_area is None:
        return None
    return flotation.waterplane_area / ((p.length_waterline or p.length_bp) * p.breadth)


def cargo_vcg(ship: Situation) -> float | None:
    """Height in m of the common centre of all cargo, liquid and solid; None where there is none aboard.

    Source: first moments (definition)."""
    cargo = [(w.mass, w.vcg) for w in ship.condition.weights if w.category in ("cargo", "deck_cargo")]
    lines = zip(ship.condition.tanks, ship.liquids)
    cargo += [(liquid.mass, liquid.vcg) for line, liquid in lines if line.contents == "cargo_liquid"]
    mass = fsum([m for m, _ in cargo])
    return fsum([m * z for m, z in cargo]) / mass if mass > 0.0 else None
