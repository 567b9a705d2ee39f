"""Which rule sets exist, under which public name, and which of them bind. To add a document: write its module, add its
row here."""

from ..condition import Condition
from ..vessel import Vessel
from . import (
    afloat,
    cfr_46_170,
    grain_code_1991,
    is_code_2008_a_2_2,
    is_code_2008_a_2_3,
    is_code_2008_a_3_3,
    load_lines_1966,
    marpol_annex_1_reg_18,
    own_limits,
    solas_v_22,
    vessel_gm_limits,
    vessel_strength,
)
from .limit import RuleSet

CATALOGUE: dict[str, RuleSet] = {
    rule_set.name: rule_set
    for rule_set in (
        is_code_2008_a_2_2.GENERAL_SET,
        is_code_2008_a_2_2.ALTERNATIVE_SET,
        is_code_2008_a_2_3.RULE_SET,
        is_code_2008_a_3_3.RULE_SET,
        grain_code_1991.RULE_SET,
        cfr_46_170.WEATHER_SET,
        cfr_46_170.UNUSUAL_SET,
        vessel_gm_limits.RULE_SET,
        vessel_strength.RULE_SET,
        load_lines_1966.RULE_SET,
        own_limits.RULE_SET,
        marpol_annex_1_reg_18.RULE_SET,
        solas_v_22.RULE_SET,
        afloat.RULE_SET,
    )
}
NAMES: dict[str, str] = {name: rule_set.name for rule_set in CATALOGUE.values() for name in rule_set.names}
"""Every name a document may use, those of before included, and the set it means."""


def binding_sets(vessel: Vessel, condition: Condition) -> list[RuleSet]:
    """The sets that bind her in a condition, in the order of the catalogue: her own, those the condition adds, and
    those that bind by themselves. A condition never takes one away. Source: definition."""
    listed = {NAMES[name] for name in (*vessel.rule_sets, *condition.rule_sets)}
    return [
        rule_set
        for rule_set in CATALOGUE.values()
        if rule_set.name in listed or (rule_set.binds is not None and rule_set.binds(vessel, condition))
    ]
