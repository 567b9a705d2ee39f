"""The trade's words for what the published language calls by one name each."""

CONTENTS = {
    "fuel_oil": "fuel oil",
    "diesel_oil": "diesel oil",
    "lubricating_oil": "lubricating oil",
    "fresh_water": "fresh water",
    "ballast": "ballast",
    "cargo_liquid": "cargo liquid",
    "waste": "waste",
    "other": "other",
}
_CONTENTS = {
    "fuel_oil": "HFO FO IFO LSFO ULSFO VLSFO MFO HSFO fuel heavy-fuel-oil heavy-fuel bunkers HO",
    "diesel_oil": "MDO MGO DO GO LSMGO diesel gas-oil gasoil marine-diesel-oil marine-gas-oil",
    "lubricating_oil": "LO lub-oil lube-oil luboil lube lubricants sys-oil",
    "fresh_water": "FW PW DW fresh potable-water drinking-water feed-water distilled-water domestic-water",
    "ballast": "WB SW BW SWB water-ballast ballast-water sea-water salt-water saltwater",
    "cargo_liquid": "cargo cargo-oil CO liquid-cargo",
    "waste": "sludge bilge bilge-water sewage grey-water black-water gray-water slops slop waste-oil dirty-oil",
    "other": "misc miscellaneous various",
}
CONTENTS_SYNONYMS = {w.replace("-", " "): value for value, words in _CONTENTS.items() for w in words.split()}

SIDES = {"port": "port", "starboard": "starboard", "centre": "centre"}
SIDE_SYNONYMS = {
    **dict.fromkeys(("P", "PS", "(P)", "port side", "ptside"), "port"),
    **dict.fromkeys(("S", "SB", "STB", "STBD", "SBD", "(S)", "starboard side"), "starboard"),
    **dict.fromkeys(
        ("C", "CL", "CTR", "(C)", "center", "centreline", "centerline", "midships", "mid"), "centre"
    ),
}
ORIGINS = {
    "aft_perpendicular": "aft perpendicular",
    "midship": "midship",
    "forward_perpendicular": "forward perpendicular",
}
ORIGIN_SYNONYMS = {
    **dict.fromkeys(("AP", "A.P.", "aft perp", "after perpendicular"), "aft_perpendicular"),
    **dict.fromkeys(
        ("MS", "amidships", "midships", "midship section", "Lpp/2", "Lbp/2", "amidship"), "midship"
    ),
    **dict.fromkeys(
        ("FP", "F.P.", "fore perpendicular", "fwd perpendicular", "fwd perp"), "forward_perpendicular"
    ),
}
FORE_AND_AFT = {"forward": "forward", "aft": "aft"}
FORE_AND_AFT_SYNONYMS = {"fwd": "forward", "fore": "forward", "F": "forward", "A": "aft", "after": "aft"}
PORT_OR_STARBOARD = {"port": "port", "starboard": "starboard"}
PORT_OR_STARBOARD_SYNONYMS = {w: v for w, v in SIDE_SYNONYMS.items() if v != "centre"}

SYSTEMS = {"metric": "metric", "us": "us"}
SYSTEM_SYNONYMS = {
    **dict.fromkeys(("SI", "m, t", "metric (m, t)", "metres and tonnes", "metres", "metric units"), "metric"),
    **dict.fromkeys(
        (
            "imperial",
            "english",
            "ft, LT",
            "US (ft, LT)",
            "feet and long tons",
            "feet",
            "us customary",
            "US units",
        ),
        "us",
    ),
}
DECIMAL_SIGNS = {"point": "point", "comma": "comma"}
PROTECTION = {"unprotected": "unprotected", "weathertight": "weathertight", "watertight": "watertight"}
PROTECTION_SYNONYMS = {
    **dict.fromkeys(("open", "none", "not protected", "UP"), "unprotected"),
    "weather tight": "weathertight",
    "water tight": "watertight",
}  # not WT: said of both
PHASES = {"departure": "departure", "arrival": "arrival", "at_sea": "at sea", "in_port": "in port"}
PHASE_SYNONYMS = {
    "dep": "departure",
    "arr": "arrival",
    "sea": "at_sea",
    "port": "in_port",
    "harbour": "in_port",
}
BASES = {"as_filled": "as filled", "maximum_when_slack": "maximum when slack", "by_rule": "by rule"}
BASIS_SYNONYMS = {
    **dict.fromkeys(("actual", "at filling"), "as_filled"),
    **dict.fromkeys(("maximum", "max", "greatest", "max when slack"), "maximum_when_slack"),
    **dict.fromkeys(("rule", "rules"), "by_rule"),
}
MARKS = {m: m for m in ("S", "T", "F", "TF", "W", "WNA", "LS", "LT", "LW", "LWNA", "LF", "LTF")}
MARK_SYNONYMS = {
    "summer": "S", "tropical": "T", "fresh": "F", "fresh water": "F", "tropical fresh": "TF",
    "tropical fresh water": "TF", "winter": "W", "winter north atlantic": "WNA",
}  # fmt: skip
CATEGORIES = {
    "cargo": "cargo",
    "deck_cargo": "deck cargo",
    "stores": "stores",
    "crew": "crew",
    "passengers": "passengers",
    "constant": "constant",
    "ice": "ice",
    "other": "other",
    "removal": "removal",
}
CATEGORY_SYNONYMS = {
    "provisions": "stores", "crew and effects": "crew", "constants": "constant", "deadweight constant": "constant",
    "pax": "passengers", "icing": "ice", "hold cargo": "cargo", "deckcargo": "deck_cargo", "on deck": "deck_cargo",
}  # fmt: skip
GRAIN_FILLINGS = {
    "filled_trimmed": "filled trimmed",
    "filled_untrimmed": "filled untrimmed",
    "partly_filled": "partly filled",
}
VCG_BASES = {"cargo": "cargo", "hold": "hold"}
YES_NO = {"yes": True, "✓": True, "✔": True, "y": True, "true": True, "no": False, "n": False, "false": False}
DRAFT_REFERENCES = {"midship": "midship", "lcf": "at LCF"}
DRAFT_REFERENCE_SYNONYMS = {"amidships": "midship", "mean": "midship", "LCF": "lcf", "at the LCF": "lcf"}
LEVERS = {"kn": "KN", "gz_at_vcg": "GZ at VCG"}
LEVER_SYNONYMS = {"KG = 0": "kn", "GZ": "gz_at_vcg"}  # not MS: levers about a metacentre
LIMITS = {"min_gm": "min GM", "max_vcg": "max VCG"}
LIMIT_SYNONYMS = {
    "minimum GM": "min_gm", "least GM": "min_gm", "GM": "min_gm", "maximum VCG": "max_vcg", "max KG": "max_vcg",
    "maximum KG": "max_vcg", "greatest VCG": "max_vcg", "KG": "max_vcg", "VCG": "max_vcg",
}  # fmt: skip
BILGES = {"round": "round", "sharp": "sharp"}
WATERS = {"exposed": "exposed", "partially_protected": "partially protected", "protected": "protected"}
DRAFTS_FROM = {"moulded": "moulded baseline", "extreme": "underside of keel"}
DRAFTS_FROM_SYNONYMS = {"baseline": "moulded", "keel": "extreme", "underside of the keel": "extreme"}
FORCES_IN = {"t": "t", "kN": "kN"}
FORCES_IN_SYNONYMS = {"tonnes": "t", "LT": "t", "kN and kNm": "kN"}
SETS = {"sea": "sea", "harbour": "harbour"}
SURFACES = {"deck": "deck", "side": "side"}
LIMITED = {
    "draft_forward": "draft forward",
    "draft_aft": "draft aft",
    "draft_midship": "draft midship",
    "draft_greatest": "greatest draft",
    "trim": "trim",
    "list": "list",
    "propeller_immersion": "propeller immersion",
    "air_draft": "air draft",
    "displacement": "displacement",
    "gm_corrected": "GM corrected",
    "freeboard_least": "least freeboard",
}
DRIVES = {
    "conventional": "conventional",
    "azimuth_stern": "azimuthing, aft",
    "tractor": "azimuthing, forward",
}
SUPERSTRUCTURES = {"none": "none", "complete": "complete"}
WHEN = {"always": "always", "at_sea": "at sea", "in_port": "in port"}
DOCK_WATER = {"linear": "linear", "exact": "exact"}
PLANS = {"voyage": "voyage", "loading": "loading", "discharging": "discharging"}
TRANSITIONS = {"through": "along the way too", "ends": "before and after only"}
SURVEY_MEANS = {"quarter": "quarter", "two_thirds": "two thirds", "mean_of_means": "mean of means"}
