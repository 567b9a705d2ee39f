"""A draft survey: displacement by the drafts read, and the weight aboard that nobody has listed.

Readings at three sets of marks are brought to the perpendiculars and amidships, averaged, looked up in the hydrostatic
table, and corrected for trim, list and the density of the water. The unknown weight is the displacement so found less
everything the condition lists.
Source: UN Economic Commission for Europe, Code of Uniform Standards and Procedures for the Performance of Draught
Surveys of Coal Cargoes (ECE/ENERGY/19, 1992).
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from math import atan, degrees, radians, tan

from .finding_kinds import Finding, finding
from .hydrostatics import Hydrostatics
from .interpolation import held, interpolated
from .situation import Situation
from .vessel import DraftMark, Vessel

QUARTER, TWO_THIRDS, MEAN_OF_MEANS = MEANS = ("quarter", "two_thirds", "mean_of_means")
WEIGHTS = {QUARTER: (1.0, 6.0), TWO_THIRDS: (1.0, 4.0), MEAN_OF_MEANS: (1.0, 2.0)}
"""Weight of the draft at each perpendicular and of that amidships. A quarter of the deflection is left out by
(F + A + 6M)/8, a third by (F + A + 4M)/6 (exact for a box that bends as a parabola), half by the mean of means."""
HALF_METRE = 0.5
"""m above and below the mean draft, at which MCTC is taken for the second trim correction."""
FACTOR_OF_LIST = 6.0
"""Of the list correction (t, m and t/cm). Customary: sides of constant flare would need 12.5."""
LEAST_PART = 0.001
"""Part of the displacement below which an unknown weight has no centre worth a figure."""
MOST_LIST, MOST_TRIM, MOST_DIFFERENCE = 0.5, 0.01, 0.05
"""Degrees; part of the length; m. Beyond them a survey is pointed out."""

TOO_FEW = "a survey needs three sets of draft marks: forward, aft and near midship"
OFF_TABLE = "the mean draft lies outside her hydrostatic table"
OFF_HALF_METRE = "half a metre above or below the mean draft her hydrostatic table ends"
NOT_TRIMMED = "her hydrostatic tables are for one trim"
OFF_TRIM = "mean draft and trim lie outside her hydrostatic tables"
OFF_SIDE = "amidships the draft on one side lies outside her hydrostatic table"
LITTLE = "the unknown weight is less than a thousandth of the displacement"
NO_CENTRE = "the trim she has lies outside her hydrostatic tables"


@dataclass(frozen=True)
class DraftSurvey:
    """Drafts in m (moulded; deflection positive sagging, trim by the stern), masses and corrections in t, `centimetre`
    in t a cm. `mean` is one of MEANS. None where a figure is unknown: `gaps` says by its name why."""

    mean: str
    draft_forward: float | None = None
    draft_midship: float | None = None
    draft_aft: float | None = None
    apparent_trim: float | None = None
    trim: float | None = None
    deflection: float | None = None
    mean_draft: float | None = None
    table_displacement: float | None = None
    first_trim_correction: float | None = None
    second_trim_correction: float | None = None
    list_correction: float | None = None
    density_correction: float | None = None
    displacement: float | None = None
    displacement_direct: float | None = None
    difference: float | None = None
    unknown_lcg: float | None = None
    centimetre: float | None = None
    list_angle: float | None = None
    gaps: dict[str, str] = field(default_factory=dict)


def draft_survey(ship: Situation) -> DraftSurvey | None:
    """The survey of a condition that asks for one (`survey_mean`), None for any other.

    Source: see the module."""
    condition, vessel = ship.condition, ship.vessel
    if condition.survey_mean is None:
        return None
    read = [mark for mark in vessel.draft_marks if mark.name in condition.observed_drafts]
    length = vessel.particulars.length_bp
    marks = _three(read, 0.5 * length)
    if marks is None:
        return DraftSurvey(condition.survey_mean, gaps={"draft_survey": TOO_FEW})
    drafts = _drafts(marks, condition.observed_drafts, length, condition.survey_mean)
    midship = marks[1]
    sides = condition.observed_sides.get(midship.name)
    breadth = vessel.particulars.breadth
    angle = condition.observed_list
    if angle is None and sides is not None:
        angle = degrees(atan((sides[0] - sides[1]) / breadth))
    moulded = None if sides is None else (sides[0] - midship.keel_offset, sides[1] - midship.keel_offset)
    survey = _with(DraftSurvey(condition.survey_mean), **drafts, list_angle=angle)
    return _looked_up(ship, survey, moulded)


def _three(read: list[DraftMark], midship: float) -> tuple[DraftMark, DraftMark, DraftMark] | None:
    """Aftermost mark, that nearest midship, and foremost mark; None where there are no three."""
    ordered = sorted(read, key=lambda mark: mark.x)
    if len(ordered) < 3 or not ordered[0].x < ordered[-1].x:
        return None
    middle = min(ordered[1:-1], key=lambda mark: abs(mark.x - midship))
    return ordered[0], middle, ordered[-1]


def trim_between_marks(vessel: Vessel, readings: Mapping[str, float]) -> float | None:
    """Trim in m by the aftermost and the foremost of the marks read (m, by name); None where no two are apart.

    Source: ECE/ENERGY/19 (drafts at the perpendiculars by the slope between the marks)."""
    read = sorted((mark for mark in vessel.draft_marks if mark.name in readings), key=lambda mark: mark.x)
    if len(read) < 2 or not read[0].x < read[-1].x:
        return None
    aft, forward = (readings[mark.name] - mark.keel_offset for mark in (read[0], read[-1]))
    return (aft - forward) / (read[-1].x - read[0].x) * vessel.particulars.length_bp


def _drafts(
    marks: tuple[DraftMark, DraftMark, DraftMark], readings: Mapping[str, float], length: float, mean: str
) -> dict[str, float]:
    """Drafts at the perpendiculars and amidships, by the slope between the outer marks; what she sags or hogs stays in
    the draft amidships."""
    aft, middle, forward = (readings[mark.name] - mark.keel_offset for mark in marks)
    slope = (aft - forward) / (marks[2].x - marks[0].x)
    draft_aft = aft + slope * marks[0].x
    draft_forward = forward - slope * (length - marks[2].x)
    draft_midship = middle + slope * (marks[1].x - 0.5 * length)
    outer, inner = WEIGHTS[mean]
    return {
        "draft_forward": draft_forward,
        "draft_midship": draft_midship,
        "draft_aft": draft_aft,
        "apparent_trim": aft - forward,
        "trim": draft_aft - draft_forward,
        "deflection": draft_midship - 0.5 * (draft_forward + draft_aft),
        "mean_draft": (outer * (draft_forward + draft_aft) + inner * draft_midship) / (2.0 * outer + inner),
    }


@dataclass(frozen=True)
class _Columns:
    """The table nearest to even keel by draft amidships, and the trim it is for; None off it."""

    trim: float
    draft: list[float]
    columns: Mapping[str, list[float]]

    @classmethod
    def of(cls, tables: Hydrostatics, length: float) -> "_Columns":
        table = tables.nearest_to_even_keel
        rows = table.rows
        # a table entered at the LCF, at its own trim
        shift = 0.0 if tables.midship_draft else table.trim
        draft = [row.draft - shift * (0.5 - row.lcf / length) for row in rows]
        columns = {name: [float(getattr(row, name)) for row in rows] for name in ("lcf", "tpc", "mctc")}
        return cls(table.trim, draft, {**columns, "displacement": list(table.displacement)})

    def at(self, name: str, draft: float) -> float | None:
        return interpolated(self.draft, self.columns[name], draft)

    def held(self, name: str, draft: float) -> float:
        return held(self.draft, self.columns[name], draft)


def _looked_up(ship: Situation, s: DraftSurvey, sides: tuple[float, float] | None) -> DraftSurvey:
    """Displacement by the table, with its corrections."""
    assert s.mean_draft is not None
    assert s.trim is not None
    tables, length = ship.vessel.hydrostatics, ship.vessel.particulars.length_bp
    table, mean, trim = _Columns.of(tables, length), s.mean_draft, s.trim
    found = table.at("displacement", mean)
    if found is None:
        return _with(s, gaps={"displacement": OFF_TABLE})
    gaps = dict[str, str]()
    tpc, beyond = table.held("tpc", mean), trim - table.trim
    first = 100.0 * beyond * tpc * (0.5 * length - table.held("lcf", mean)) / length
    second = second_trim_correction(
        beyond, length, table.at("mctc", mean + HALF_METRE), table.at("mctc", mean - HALF_METRE)
    )
    if second is None:
        gaps["second_trim_correction"] = OFF_HALF_METRE
    listed = _list_correction_between(table, sides)
    if listed is None:
        gaps["list_correction"] = OFF_SIDE
    scale = ship.condition.water_density / tables.density
    total = found + first + (second or 0.0) + (listed or 0.0)
    mass = total * scale
    direct = _direct(tables, mean, trim, length, gaps)
    return _with(
        s,
        table_displacement=found,
        first_trim_correction=first,
        second_trim_correction=second,
        list_correction=listed,
        density_correction=mass - total,
        displacement=mass,
        displacement_direct=None if direct is None else direct * scale,
        difference=mass - ship.displacement.mass,
        unknown_lcg=_unknown_lcg(ship, mass, trim, gaps),
        centimetre=tpc * scale,
        gaps=gaps,
    )


def _list_correction_between(table: _Columns, sides: tuple[float, float] | None) -> float | None:
    """The list correction by the drafts amidships to port and to starboard; None where the table ends before one."""
    if sides is None or sides[0] == sides[1]:
        return 0.0
    port, starboard = (table.at("tpc", side) for side in sides)
    return None if port is None or starboard is None else list_correction(*sides, port, starboard)


def second_trim_correction(
    trim: float, length: float, above: float | None, below: float | None
) -> float | None:
    """t: 50 trim^2 (MCTC half a metre above - MCTC half a metre below) / LBP, with MCTC in t.m/cm, m; the trim beyond
    that of the table.

    Source: ECE/ENERGY/19 (second trim, or Nemoto, correction)."""
    return None if above is None or below is None else 50.0 * trim**2 * (above - below) / length


def list_correction(port: float, starboard: float, tpc_port: float, tpc_starboard: float) -> float:
    """t: 6 (difference of the drafts amidships, m) (difference of TPC there, t/cm).

    Source: ECE/ENERGY/19 (correction for list); the factor is customary."""
    return FACTOR_OF_LIST * (port - starboard) * (tpc_port - tpc_starboard)


def _direct(
    tables: Hydrostatics, mean: float, trim: float, length: float, gaps: dict[str, str]
) -> float | None:
    """Displacement read at the trim itself, in the water of the tables."""
    if len(tables.tables) == 1:
        gaps["displacement_direct"] = NOT_TRIMMED
        return None
    found = None
    if tables.trims[0] <= trim <= tables.trims[-1]:
        found = tables.displacement_at(mean, trim, length)
    if found is None:
        gaps["displacement_direct"] = OFF_TRIM
    return found


def _unknown_lcg(ship: Situation, mass: float, trim: float, gaps: dict[str, str]) -> float | None:
    """Centre of the unknown weight, by the trim she has; VCG of the condition standing for hers."""
    load, tables = ship.displacement, ship.vessel.hydrostatics
    unknown = mass - load.mass
    if abs(unknown) < LEAST_PART * mass:
        gaps["unknown_weight"] = LITTLE
        return None
    equivalent = mass * (tables.density / ship.condition.water_density)
    several = len(tables.tables) > 1
    if several and not tables.trims[0] <= trim <= tables.trims[-1]:
        gaps["unknown_weight"] = NO_CENTRE
        return None
    row = tables.at(equivalent, trim)
    if several:
        vcb = load.vcg_solid if row.vcb is None else row.vcb
        lcg = row.lcb + trim / ship.vessel.particulars.length_bp * (load.vcg_solid - vcb)
    else:
        lcg = row.lcb - 100.0 * row.mctc * (trim - tables.tables[0].trim) / equivalent
    return (mass * lcg - load.mass * load.lcg) / unknown


def _with(s: DraftSurvey, **figures: object) -> DraftSurvey:
    return replace(s, **figures)  # type: ignore[arg-type]


def survey_findings(survey: DraftSurvey | None, ship: Situation) -> Iterator[Finding]:
    """What a surveyor would point out about the readings.

    Source: ECE/ENERGY/19 (list of half a degree, trim of a hundredth of the length); sides: common practice."""
    if survey is None or survey.trim is None:
        return
    angle, p = survey.list_angle, ship.vessel.particulars
    if angle is not None and abs(angle) > MOST_LIST + 1e-9:
        yield finding("survey_list", ("observed",))
    if abs(survey.trim) > MOST_TRIM * p.length_bp + 1e-9:
        yield finding("survey_trim", ("observed", "drafts"))
    if angle is None:
        return
    read = [mark for mark in ship.vessel.draft_marks if mark.name in ship.condition.observed_drafts]
    marks = _three(read, 0.5 * p.length_bp)
    by_list = p.breadth * tan(radians(angle))
    for name, (port, starboard) in ship.condition.observed_sides.items():
        # toward her ends she is narrower, down to nothing at the stem; amidships the marks are her breadth apart
        least, most = min(0.0, by_list), max(0.0, by_list)
        if marks is not None and name == marks[1].name:
            least = most = by_list
        if not least - MOST_DIFFERENCE <= port - starboard <= most + MOST_DIFFERENCE:
            yield finding("reading_sides_differ", ("observed", "drafts", name))
