"""The findings there are, one row each: code, severity, words, source. `finding` makes one for a place.

Thresholds without a source are common practice.
"""

from collections.abc import Mapping
from typing import NamedTuple

INFO, CAUTION, DANGER = "info", "caution", "danger"


class Finding(NamedTuple):
    """`place` is the path inside the condition document."""

    code: str
    severity: str
    place: tuple[str | int, ...]
    message: str


class FindingKind(NamedTuple):
    """A row. severities: those it may have, the usual one first. words: the message; names in braces are filled in.
    source: the document behind it, empty where it is common practice."""

    code: str
    severities: tuple[str, ...]
    words: str
    source: str = ""


def finding(
    code: str, place: tuple[str | int, ...] = (), *, severity: str | None = None, **values: str
) -> Finding:
    """The finding of that code at a place. severity: where it is not the usual one. values: for the names in braces.

    Raises KeyError for a code that has no row. Source: the row."""
    kind = FINDING_KINDS[code]
    chosen = severity or kind.severities[0]
    assert chosen in kind.severities, chosen
    return Finding(code, chosen, place, kind.words.format(**values))


_ROWS = (
    FindingKind(
        "no_stability_criteria",
        (CAUTION,),
        "no rule set that judges righting levers or GM applies: the verdict says nothing about either",
    ),
    FindingKind(
        "sea_criteria_not_met",
        (CAUTION,),
        "she lies in port, and could not sail like this: these criteria for the sea are not met: {ids}",
    ),
    FindingKind(
        "tank_overfull",
        (DANGER,),
        "contains more than its 100 % volume: {counted} there is no room to expand and liquid may "
        "spill; check the quantity or shift the surplus",
    ),
    FindingKind(
        "tank_pressed_up",
        (CAUTION, INFO),
        "above its normal full limit: {counted} there is little room to expand and liquid may "
        "spill; consider shifting the surplus",
    ),
    FindingKind("density_unusual", (CAUTION,), "density outside its usual range for {contents}"),
    FindingKind("contents_unusual", (INFO,), "contains {contents}; the booklet gives it for {own}"),
    FindingKind(
        "partner_tank_not_mentioned",
        (CAUTION,),
        "its partner {partner} is not mentioned and is taken as empty",
    ),
    FindingKind("tanks_not_mentioned", (INFO,), "not mentioned and taken as empty: {names}"),
    FindingKind(
        "consumable_without_slack_tank",
        (CAUTION,),
        "every tank of {contents} is full, so none counts a free surface; one will be slack as "
        "soon as it is used (2008 IS Code B/3.1.4): consider the basis by_rule",
        "2008 IS Code Part B 3.1.4",
    ),
    FindingKind("weight_outside_ship", (CAUTION,), "its centre lies outside the ship: check it"),
    FindingKind("weight_removed", (INFO,), "counted as a mass taken off the ship"),
    FindingKind(
        "deck_cargo_without_wind_area",
        (CAUTION,),
        "deck cargo without lateral area: no criterion that reads wind can be judged; give "
        "wind_additions, 0 with a name if it stands in the lee",
    ),
    FindingKind("deck_cargo_area_zero", (INFO,), "deck cargo given as standing in the lee: no lateral area"),
    FindingKind(
        "stowage_factor_unusual",
        (CAUTION,),
        "outside the usual range for grain, 1.0 to 3.0 m3/t (36 to 108 ft3/LT): check its unit; "
        "too large a factor hides heeling moment",
    ),
    FindingKind(
        "grain_mass_missing",
        (CAUTION,),
        "the weights of cargo are far less than this grain would weigh: its mass must be entered "
        "among the weights too",
    ),
    FindingKind(
        "passengers_twice",
        (CAUTION,),
        "passengers stand among the weights as well as in their spaces: their mass is counted twice",
    ),
    FindingKind(
        "space_overcrowded",
        (CAUTION,),
        "more passengers than can stand in {space}: room for {room} at four on a square metre",
        "2008 IS Code, Part A, 3.1.1",
    ),
    FindingKind("water_density_unusual", (CAUTION,), "outside the usual range from fresh to salt water"),
    FindingKind(
        "gm_not_positive",
        (DANGER,),
        "corrected GM is not positive: she lies at an angle of loll, to either side",
    ),
    FindingKind("no_equilibrium", (DANGER,), "no angle of equilibrium: the ship would capsize"),
    FindingKind("list_large", (DANGER,), "a list of more than 5 degrees"),
    FindingKind("list", (CAUTION,), "a list of more than 1 degree"),
    FindingKind(
        "openings_not_given",
        (CAUTION,),
        "the vessel document names no openings: whether one is under water is unknown",
    ),
    FindingKind("opening_under_water", (DANGER,), "an opening is under water at the angle she floats at"),
    FindingKind(
        "deck_edge_under_water", (DANGER,), "the edge of her deck is under water at the angle she floats at"
    ),
    FindingKind("trim_by_the_head", (CAUTION,), "she trims by the head"),
    FindingKind(
        "trim_beyond_even_keel_tables",
        (CAUTION,),
        "the trim exceeds 1 % of her length: even-keel tables are too coarse for it (MSC/Circ.920 3.4)",
        "MSC/Circ.920 3.4",
    ),
    FindingKind(
        "cross_curves_at_one_trim",
        (CAUTION,),
        "her cross curves hold for one trim, and she floats at one more than 0.5 % of her length "
        "away from it: the righting levers may be too favourable",
    ),
    FindingKind(
        "draft_over_load_line",
        (DANGER,),
        "the draft amidships is over {over}",
        "International Convention on Load Lines, 1966, article 12",
    ),
    FindingKind(
        "low_side_over",
        (DANGER,),
        "the draft amidships on the lower side is over {over}",
        "International Convention on Load Lines, 1966, article 12",
    ),
    FindingKind(
        "load_line_mark_missing",
        (CAUTION,),
        "she is over some of her load line marks and under others: name the one in force",
    ),
    FindingKind("propeller_not_immersed", (CAUTION,), "the propeller is not fully immersed"),
    FindingKind(
        "view_from_bridge_obscured",
        (CAUTION,),
        "the sea surface is hidden for more than two lengths or 500 m ahead of the bow (SOLAS V/22.1.1)",
        "SOLAS V/22.1.1",
    ),
    FindingKind(
        "observed_draft_differs",
        (CAUTION,),
        "the draft read differs from the computed one by more than 5 cm: a weight or its place is wrong",
    ),
    FindingKind(
        "observed_list_differs", (CAUTION,), "differs from the computed list by more than 0.5 degrees"
    ),
    FindingKind(
        "observed_roll_period_differs",
        (CAUTION,),
        "the GM it suggests (2008 IS Code A 2.3.4) differs from the computed one by more than a fifth",
        "2008 IS Code Part A 2.3.4",
    ),
    FindingKind(
        "deflection_not_given",
        (INFO,),
        "longer than 100 m, and nothing is said of hogging or sagging: the draft amidships that is held against her "
        "mark is that of a straight keel",
    ),
    FindingKind(
        "mark_draft_worked_out",
        (INFO,),
        "her booklet does not give mark {mark}: it is worked out from the summer draft",
    ),
    FindingKind(
        "water_heavier_than_salt",
        (INFO,),
        "the water is heavier than salt water: her marks permit no less draft for it",
    ),
    FindingKind(
        "exact_and_linear_disagree",
        (CAUTION,),
        "the draft permitted in this water in proportion to its density, and that of the same displacement, lie on "
        "either side of hers",
    ),
    FindingKind("lightship_distribution_differs", (CAUTION,), "{reason}"),
    FindingKind("strength_waterline_differs", (CAUTION,), "{reason}"),
    FindingKind(
        "tank_without_extent",
        (INFO, CAUTION),
        "her booklet gives no fore and aft ends of this tank: for strength its liquid acts at a point",
    ),
    FindingKind(
        "weight_without_extent",
        (INFO, CAUTION),
        "no fore and aft ends are given: for strength this weight acts at a point",
    ),
    FindingKind(
        "weight_extent_shortened",
        (CAUTION,),
        "its centre lies so far to one end that for strength it is spread over a part of its extent only",
    ),
    FindingKind(
        "deck_cargo_without_top",
        (CAUTION,),
        "deck cargo without its top: the view from the bridge cannot be judged; give obstructions",
        "SOLAS V/22.1.1",
    ),
    FindingKind(
        "mark_winter_without_icing",
        (INFO,),
        "a winter mark is in force and no ice is counted: say so with a factor of 0 where none is expected",
        "2008 IS Code Part B 6 (value from memory)",
    ),
    FindingKind(
        "gm_over_3_percent_beam",
        (INFO,),
        "corrected GM is above 3 % of her breadth: with timber on deck she rolls hard on her lashings",
        "Code of Safe Practice for Ships Carrying Timber Deck Cargoes, 2011, 2.4.2",
    ),
    FindingKind(
        "survey_list",
        (CAUTION,),
        "she lists by more than half a degree: the list correction is an allowance only",
        "ECE/ENERGY/19",
    ),
    FindingKind(
        "survey_trim",
        (INFO,),
        "she trims by more than a hundredth of her length: the trim corrections lose their worth",
        "ECE/ENERGY/19",
    ),
    FindingKind(
        "reading_sides_differ",
        (CAUTION,),
        "port and starboard differ by another amount than her list accounts for",
    ),
    FindingKind(
        "consumption_exceeds_stock",
        (DANGER,),
        "on day {day} nothing is left of the {contents} to draw; the points after it are not computed",
    ),
    FindingKind(
        "made_liquid_has_no_room",
        (CAUTION,),
        "from day {day} on there is no room for the {contents} made on board; it is not counted",
    ),
    FindingKind("consumption_contents_differ", (CAUTION,), "tank {tank} of the order holds {contents}"),
    FindingKind(
        "stage_without_change",
        (INFO,),
        "nothing changes in this stage: no days, no change of what is aboard or of what binds her",
    ),
    FindingKind(
        "plan_ends_at_sea", (INFO,), "the last stage is neither an arrival nor in port: the plan ends at sea"
    ),
    FindingKind(
        "movement_off_the_line",
        (CAUTION,),
        "its mean reading lies off the line by more than 4 % of the greatest heel: read it again",
    ),
    FindingKind(
        "heel_outside_1_to_4",
        (CAUTION,),
        "the greatest heel lies outside 1 to 4 degrees (2008 IS Code, annex 1: value from memory)",
        "2008 IS Code, annex 1 (value from memory)",
    ),
    FindingKind(
        "deflection_under_15_cm",
        (INFO,),
        "this pendulum swings less than 15 cm (2008 IS Code, annex 1: value from memory)",
        "2008 IS Code, annex 1 (value from memory)",
    ),
    FindingKind(
        "fewer_than_three_pendulums",
        (INFO,),
        "fewer than three pendulums were read (2008 IS Code, annex 1: value from memory)",
        "2008 IS Code, annex 1 (value from memory)",
    ),
    FindingKind(
        "fewer_than_seven_movements",
        (INFO,),
        "fewer than seven movements of the weights (2008 IS Code Part B 8.4.1.2)",
        "2008 IS Code Part B 8.4.1.2",
    ),
    FindingKind(
        "zero_does_not_return",
        (CAUTION,),
        "without a moment she does not come back to where she was by more than 4 % of the greatest heel",
    ),
    FindingKind(
        "slack_tanks",
        (INFO,),
        "a tank is slack: its surface is taken off by its table, and was perhaps another one on the day",
    ),
    FindingKind(
        "samples_outside_tables",
        (CAUTION,),
        "more than a hundredth of the samples lies outside her tables: no probability is given",
    ),
)

FINDING_KINDS: Mapping[str, FindingKind] = {row.code: row for row in _ROWS}
"""By code, in the order in which an answer lists them."""
