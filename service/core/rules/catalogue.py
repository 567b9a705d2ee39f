"""Which rule sets exist, under which public name. To add a document: write its module, add its row here."""

from . import (
    cfr_46_170,
    grain_code_1991,
    is_code_2008_a_2_2,
    is_code_2008_a_2_3,
    load_lines_1966,
    vessel_gm_limits,
)
from .limit import RuleSet

CATALOGUE: dict[str, RuleSet] = {
    rule_set.name: rule_set
    for rule_set in (
        is_code_2008_a_2_2.GENERAL_SET,
        is_code_2008_a_2_2.ALTERNATIVE_SET,
        is_code_2008_a_2_3.RULE_SET,
        grain_code_1991.RULE_SET,
        cfr_46_170.WEATHER_SET,
        cfr_46_170.B_SET,
        cfr_46_170.C_SET,
        vessel_gm_limits.RULE_SET,
        load_lines_1966.RULE_SET,
    )
}
