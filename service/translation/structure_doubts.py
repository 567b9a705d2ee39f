"""Doubts about what a vessel document says of her strength, marks and spaces: each held against her other tables."""

from collections.abc import Iterator, Mapping
from itertools import combinations, pairwise
from typing import Any

from service.core.load_line import fresh_water_allowance
from service.core.strength.weight_curve import totals
from service.core.vessel import Vessel
from service.translation.units import SCALES
from service.translation.vessel import vessel_in
from service.wire.figures import unit
from service.wire.pointer import pointer_of
from service.wire.refusal import Refusal
from service.wire.vessel_check import Doubt

SEGMENTS = SECTIONS = 0.005
"""Part of a mass, or of her length, by which the segments may miss the lightship and the sections a displacement."""
MARKS = 0.01
"""m by which a mark may differ from the one worked out from the summer draft."""
SEASON, WINTER_NORTH_ATLANTIC, SHORT = 48.0, 0.050, 100.0
"""Summer draft over this lies between summer and tropical or winter; m under winter, for ships of at most 100 m.
Source: ICLL 1966 Annex I regulation 40 (values from memory)."""
FALL = 0.1
"""Part of a limit under which its neighbour is looked up again."""
OVERLAP, SAME_PLACE = 0.5, 0.02
"""Part of the shorter of two extents, and part of her breadth between two centres: one space typed in twice."""
_LIMITS = tuple(
    f"{quantity}_{which}{other}"
    for quantity, sign in (("shear_force", "_negative"), ("bending_moment", "_sagging"))
    for which in ("sea", "harbour")
    for other in ("", sign)
)
Row = Mapping[str, Any]


def structure_doubts(vessel: Row) -> Iterator[Doubt]:
    """Doubts about segments, sections, limits at stations, marks and extents.

    Thresholds: common practice, no source."""
    try:
        prepared = vessel_in(vessel)
    except Refusal:
        return  # a table that cannot be used is reported at its own place
    scale = SCALES[vessel["units"]]
    yield from _segments(vessel, prepared, scale.mass, scale.length)
    yield from _sections(vessel, prepared, scale.mass, scale.length)
    yield from _stations(vessel)
    yield from _mass_limits(vessel)
    yield from _marks(vessel, prepared, scale.length)
    yield from _extents(vessel, "holds", 0.0)
    yield from _extents(vessel, "tanks", SAME_PLACE * vessel["particulars"]["breadth"])


def _doubt(
    code: str, place: tuple[str | int, ...], found: float | None, expected: float | None, message: str
) -> Doubt:
    return {
        "code": code,
        "path": pointer_of(place),
        "found": found,
        "expected": expected,
        "message": message,
    }


def _segments(vessel: Row, prepared: Vessel, mass: float, length: float) -> Iterator[Doubt]:
    segments = prepared.strength.segments if prepared.strength is not None else ()
    if not segments:
        return
    found, ship = totals(segment.load for segment in segments), prepared.lightship
    place = ("lightship", "segments")
    if abs(found.mass - ship.mass) > SEGMENTS * ship.mass:
        yield _doubt(
            "segments_against_lightship",
            place,
            found.mass / mass,
            vessel["lightship"]["mass"],
            f"the segments of the lightship add up to {found.mass / mass:.1f}, her mass is given as "
            f"{vessel['lightship']['mass']:g}",
        )
    off = found.moment / found.mass - ship.lcg if found.mass > 0.0 else 0.0
    if abs(off) > SEGMENTS * prepared.particulars.length_bp:
        yield _doubt(
            "segments_against_lightship",
            place,
            None,
            None,
            f"the centre of the segments of the lightship lies {abs(off) / length:.2f} "
            f"{'forward' if off > 0.0 else 'aft'} of her LCG",
        )


def _mass_limits(vessel: Row) -> Iterator[Doubt]:
    """Lines of one hold, or of two together, that give two limits of one kind at one draft."""
    pairs = (vessel.get("strength") or {}).get("adjacent_holds") or ()
    lists: list[tuple[tuple[str | int, ...], Any]] = [
        *((("holds", i), hold) for i, hold in enumerate(vessel.get("holds") or ())),
        *((("strength", "adjacent_holds", i), pair) for i, pair in enumerate(pairs)),
    ]
    for place, each in lists:
        rows = list(enumerate(each.get("mass_limits") or ()))
        for (_, first), (i, second) in combinations(rows, 2):
            if first["draft"] != second["draft"] or not _share_a_set(first, second):
                continue
            kind = next((kind for kind in ("most", "least") if kind in first and kind in second), None)
            if kind is not None:
                words = (
                    f"two limits are given at draft {second['draft']:g}: {first[kind]:g} and {second[kind]:g}"
                )
                where = (*place, "mass_limits", i, kind)
                yield _doubt("two_limits_at_one_draft", where, second[kind], first[kind], words)


def _share_a_set(first: Row, second: Row) -> bool:
    sets = first.get("set"), second.get("set")
    return None in sets or sets[0] == sets[1]


def _sections(vessel: Row, prepared: Vessel, mass: float, length: float) -> Iterator[Doubt]:
    """The worst row of each trim at which the sections displace something else than the hydrostatic table says."""
    sections = prepared.strength.sections if prepared.strength is not None else None
    if sections is None:
        return
    table, deepest, bp = vessel["hydrostatics"], float(sections.grid[-1]), prepared.particulars.length_bp
    worst: dict[float, tuple[float, int, float]] = {}
    for i, row in enumerate(table["rows"]):
        trim = (row.get("trim") or 0.0) * length
        draft = row["draft"] * length
        at_lcf = table.get("draft_reference") == "lcf"
        if at_lcf:  # from the draft at the LCF to that amidships
            lcf = prepared.hydrostatics.at(row["displacement"] * mass, trim).lcf
            draft += trim * (lcf / bp - 0.5)
        aft, forward = draft + 0.5 * trim, draft - 0.5 * trim
        if max(aft, forward) > deepest:
            continue
        displaced, _ = sections.displacement(aft, forward, bp, table["density"])
        part = displaced / (row["displacement"] * mass) - 1.0
        if abs(part) > SECTIONS and abs(part) > abs(worst.get(trim, (0.0,))[0]):
            worst[trim] = (part, i, displaced / mass)
    for part, i, displaced in worst.values():
        row = table["rows"][i]
        yield _doubt(
            "sections_against_hydrostatics",
            ("hydrostatics", "rows", i, "displacement"),
            row["displacement"],
            displaced,
            f"at draft {row['draft']:g} and trim {row.get('trim') or 0.0:g} her sections displace {displaced:.1f}, "
            f"{abs(100.0 * part):.1f} % {'more' if part > 0.0 else 'less'} than the {row['displacement']:g} of the "
            "hydrostatic table",
        )


def _stations(vessel: Row) -> Iterator[Doubt]:
    stations = sorted(
        enumerate((vessel.get("strength") or {}).get("stations") or ()), key=lambda each: each[1]["x"]
    )
    for name in _LIMITS:
        given = [(i, row[name]) for i, row in stations if row.get(name) is not None]
        for (i, one), (j, other) in pairwise(given):
            low, high = min(one, other), max(one, other)
            if low < FALL * high:
                at = i if one < other else j
                yield _doubt(
                    "limit_far_below_its_neighbour",
                    ("strength", "stations", at, name),
                    low,
                    high,
                    f"the limit {name.replace('_', ' ')} is {low:g} here and {high:g} at the next station",
                )


def _marks(vessel: Row, prepared: Vessel, length: float) -> Iterator[Doubt]:
    lines = vessel.get("load_lines") or {}
    marks = lines.get("marks") or {}
    if not marks:
        return
    keel = 0.0
    if lines.get("reference") == "extreme":
        keel = vessel["particulars"].get("keel_thickness") or 0.0
    summer = lines["summer_draft"]
    season = (summer - keel) / SEASON
    given = lines.get("fresh_water_allowance")
    worked_out = fresh_water_allowance((summer - keel) * length, prepared.hydrostatics)
    fresh = given if given is not None else None if worked_out is None else worked_out / length
    expected = {"S": summer, "T": summer + season, "W": summer - season}
    particulars = vessel["particulars"]
    if (particulars.get("length_load_line") or particulars["length_bp"]) * length <= SHORT:
        expected["WNA"] = summer - season - WINTER_NORTH_ATLANTIC / length
    if fresh is not None:
        expected |= {"F": summer + fresh, "TF": summer + season + fresh}
    for mark, draft in expected.items():
        if mark in marks and abs(marks[mark] - draft) * length > MARKS:
            yield _doubt(
                "mark_against_regulation_40",
                ("load_lines", "marks", mark),
                marks[mark],
                draft,
                f"the mark {mark} is given as {marks[mark]:g}; worked out from the summer draft it lies at {draft:.3f} "
                "(ICLL regulation 40, values from memory)",
            )


def _extents(vessel: Row, name: str, near: float) -> Iterator[Doubt]:
    """Two spaces that share more than half of the shorter one's length; tanks (`near` above 0) only where their centres
    lie together in the cross-section, as wing tanks and double bottoms stand over one another."""
    length = unit("length", vessel["units"])
    spaces = [(j, row) for j, row in enumerate(vessel.get(name) or ()) if row.get("extent")]
    for (_, one), (j, other) in combinations(spaces, 2):
        if near and (abs(one["vcg"] - other["vcg"]) > near or abs(_tcg(one) - _tcg(other)) > near):
            continue
        (a, b), (c, d) = (sorted(row["extent"].values()) for row in (one, other))
        shared, shorter = min(b, d) - max(a, c), min(b - a, d - c)
        if shared > OVERLAP * shorter:
            yield _doubt(
                "extents_overlap",
                (name, j, "extent"),
                shared,
                None,
                f"{other['name']} shares {shared:.2f} {length} of its length with {one['name']}: is an end "
                "mistyped?",
            )


def _tcg(row: Row) -> float:
    return float(row.get("tcg") or 0.0)
