"""Which rule sets exist, under which public name, and which of them bind. To add a document: write its module, add its
row here."""

from functools import lru_cache

from ..condition import Condition
from ..vessel import Vessel
from . import (
    afloat,
    cfr_46_28_570,
    cfr_46_170,
    cfr_46_172_090,
    cfr_46_173_020,
    cfr_46_173_095,
    cfr_46_174_145,
    cfr_46_174_185,
    grain_code_1991,
    is_code_2008_a_2_2,
    is_code_2008_a_2_3,
    is_code_2008_a_3_1,
    is_code_2008_a_3_3,
    is_code_2008_b_2_1,
    is_code_2008_b_2_2,
    is_code_2008_b_2_3,
    is_code_2008_b_2_4,
    is_code_2008_b_2_8,
    is_code_2008_b_2_9,
    load_lines_1966,
    marpol_annex_1_reg_18,
    marpol_annex_1_reg_27,
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
        is_code_2008_a_3_1.RULE_SET,
        is_code_2008_a_3_3.RULE_SET,
        is_code_2008_b_2_1.RULE_SET,
        is_code_2008_b_2_2.RULE_SET,
        is_code_2008_b_2_3.RULE_SET,
        is_code_2008_b_2_4.RULE_SET,
        is_code_2008_b_2_8.RULE_SET,
        is_code_2008_b_2_9.RULE_SET,
        marpol_annex_1_reg_27.RULE_SET,
        grain_code_1991.RULE_SET,
        cfr_46_170.WEATHER_SET,
        cfr_46_170.UNUSUAL_SET,
        cfr_46_28_570.RULE_SET,
        cfr_46_172_090.RULE_SET,
        cfr_46_173_020.RULE_SET,
        cfr_46_173_095.RULE_SET,
        cfr_46_174_145.RULE_SET,
        cfr_46_174_185.RULE_SET,
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


def listed_sets(vessel: Vessel, condition: Condition) -> frozenset[str]:
    """Names of the sets that somebody listed for her, with those that these bring: one that a listed set stands instead
    of is not brought. Source: definition."""
    return _with_what_they_bring(vessel.rule_sets, condition.rule_sets)


@lru_cache(maxsize=256)
def _with_what_they_bring(hers: tuple[str, ...], added: tuple[str, ...]) -> frozenset[str]:
    listed = {NAMES[name] for name in (*hers, *added)}
    instead = {NAMES[other] for name in listed for other in CATALOGUE[name].excludes}
    brought = {NAMES[other] for name in listed for other in CATALOGUE[name].brings}
    return frozenset(listed | (brought - instead))


def binding_sets(vessel: Vessel, condition: Condition) -> list[RuleSet]:
    """The sets that bind her in a condition, in the order of the catalogue: her own, those the condition adds, those
    they bring, and those that bind by themselves. A condition never takes one away. Source: definition."""
    listed = listed_sets(vessel, condition)
    return [
        rule_set
        for rule_set in CATALOGUE.values()
        if rule_set.name in listed or (rule_set.binds is not None and rule_set.binds(vessel, condition))
    ]
