"""The printed conditions of a booklet, with the figures it prints for each."""

from service.imports import words
from service.imports.entries import (
    CONTENTS,
    DENSITY_NAMES,
    ENDS,
    LCG_NAMES,
    TCG_NAMES,
    VCG_NAMES,
    length,
    mass,
    of,
    text,
    trim,
    volume,
    x_position,
    y_position,
)
from service.imports.layout import Entry, Matrix, Parent, Sheet

PHASE = Entry(
    "Departure or arrival",
    ("phase",),
    "choice",
    also=("phase",),
    choices=words.PHASES,
    synonyms=words.PHASE_SYNONYMS,
)
BASIS = Entry(
    "Free surface counted",
    ("free_surface",),
    "choice",
    needed=True,
    also=("free surface",),
    choices=words.BASES,
    synonyms=words.BASIS_SYNONYMS,
)
MARK = Entry(
    "Load line mark", ("load_line_mark",), "choice", choices=words.MARKS, synonyms=words.MARK_SYNONYMS
)
WATER = of("density", "Water density", "water_density", needed=True, also=("density", *DENSITY_NAMES))
OF_CONDITION = Parent(
    ("printed_conditions",),
    "name",
    Entry("Condition", (), "text", needed=True, also=("loading condition", "condition name")),
    "unknown_condition",
    "Printed conditions",
)

FILLING = (
    Entry(
        "Contents",
        ("contents",),
        "choice",
        also=CONTENTS.also,
        choices=words.CONTENTS,
        synonyms=CONTENTS.synonyms,
    ),
    of("density", "Density", "density", also=DENSITY_NAMES),
    mass("Mass", "mass", also=("weight",)),
    volume("Volume", "volume"),
    of("percent", "Filling", "fill", also=("fill", "full", "% full")),
    length("Sounding", "sounding"),
    length("Ullage", "ullage"),
)
WEIGHT = (
    Entry(
        "Category",
        ("category",),
        "choice",
        needed=True,
        choices=words.CATEGORIES,
        synonyms=words.CATEGORY_SYNONYMS,
    ),
    mass("Mass", "mass", needed=True, also=("weight in t",)),
    x_position("LCG", "lcg", also=LCG_NAMES),
    length("VCG", "vcg", needed=True, also=VCG_NAMES),
    y_position("TCG", "tcg", needed=False, also=TCG_NAMES),
    *ENDS,
    Entry("Hold", ("hold",), "id", also=("in hold",)),
    Entry("Timber between superstructures", ("timber", "between_superstructures"), "flag"),
    Entry("Timber over full breadth", ("timber", "full_breadth"), "flag"),
    Entry("Timber secured", ("timber", "secured"), "flag"),
    Entry("Timber buoyant", ("timber", "buoyant"), "flag"),
    of("percent", "Water absorbed by timber", "timber", "absorption"),
)
GRAIN = (
    Entry("Hold", ("hold",), "id", needed=True),
    Entry("Filling", ("filling",), "choice", needed=True, choices=words.GRAIN_FILLINGS),
    volume("Volume", "volume"),
    of("stowage", "Stowage factor", "stowage_factor", needed=True, also=("SF",)),
    of("inertia", "Heeling moment", "heeling_moment"),
    Entry("Centre taken of", ("vcg_basis",), "choice", choices=words.VCG_BASES),
)
WIND = (
    text("What stands in the wind", "name", needed=True, also=("name",)),
    of("area", "Area", "area", needed=True, also=("lateral area",)),
    length("Height of centroid", "centroid_height", needed=True, also=("centroid",)),
    text("Side of the weight", "of", also=("of",)),
)

PRINTED_CONDITIONS = Sheet(
    "Printed conditions",
    "columns",
    (
        Entry("Condition", ("name",), "text", needed=True, also=OF_CONDITION.entry.also),
        text("Page in booklet", "page", also=("page",)),
        PHASE,
        WATER,
        BASIS,
        MARK,
        mass("Displacement", "printed", "displacement"),
        mass("Deadweight", "printed", "deadweight"),
        x_position("LCG", "printed", "lcg", needed=False, also=LCG_NAMES),
        y_position("TCG", "printed", "tcg", needed=False, also=TCG_NAMES),
        length("VCG", "printed", "vcg_solid", also=("VCG solid", *VCG_NAMES)),
        length("VCG corrected", "printed", "vcg_corrected", also=("VCG fluid", "KG corrected", "KG fluid")),
        length("Draft at LCF", "printed", "draft_at_lcf"),
        length("Draft forward", "printed", "draft_forward", also=("draft at FP", "draft fwd")),
        length("Draft midship", "printed", "draft_midship", also=("mean draft", "draft amidships")),
        length("Draft aft", "printed", "draft_aft", also=("draft at AP",)),
        trim("Trim by the stern", "printed", "trim", also=("trim",)),
        Entry("List to port", ("printed", "list"), quantity="angle", also=("list", "heel")),
        x_position("LCB", "printed", "lcb", needed=False),
        x_position("LCF", "printed", "lcf", needed=False),
        length("KM", "printed", "km", also=("KMT",)),
        of("immersion", "TPC", "printed", "tpc", also=("TPI",)),
        of("trim_moment", "MCTC", "printed", "mctc", also=("MCT 1cm", "MTC", "MCT", "MTI", "MCTI")),
        length("GM", "printed", "gm_solid", also=("GM solid", "GMT")),
        of("moment", "Free surface moment", "printed", "free_surface_moment", also=("FSM",)),
        length("Free surface correction", "printed", "free_surface_correction", also=("FSC",)),
        length("GM corrected", "printed", "gm_corrected", also=("GM fluid", "GoM")),
        length("Greatest righting lever", "printed", "maximum_lever", also=("max GZ", "maximum GZ")),
        of(
            "angle",
            "Angle of greatest righting lever",
            "printed",
            "angle_of_maximum",
            also=("angle of max GZ",),
        ),
        of("angle", "Vanishing angle", "printed", "vanishing_angle"),
        of("angle", "Down-flooding angle", "printed", "down_flooding_angle", also=("flooding angle",)),
        of("lever_area", "Area to 30°", "printed", "area_30", also=("area 0-30",)),
        of("lever_area", "Area to 40° or flooding", "printed", "area_40", also=("area 0-40", "area to 40°")),
        of(
            "lever_area",
            "Area 30° to 40° or flooding",
            "printed",
            "area_30_40",
            also=("area 30-40", "area 30° to 40°"),
        ),
    ),
    ("printed_conditions",),
    also=("loading conditions", "conditions", "standard conditions"),
)

CONDITION_TANKS = Sheet(
    "Condition tanks",
    "child",
    (
        Entry("Tank", ("tank",), "id", needed=True, also=("tank id", "tank no")),
        *FILLING,
        x_position("Printed LCG", "printed", "lcg", needed=False, also=(*LCG_NAMES, "LCG")),
        length("Printed VCG", "printed", "vcg", also=(*VCG_NAMES, "VCG")),
        y_position("Printed TCG", "printed", "tcg", needed=False, also=(*TCG_NAMES, "TCG")),
        of(
            "moment",
            "Printed free surface moment",
            "printed",
            "free_surface_moment",
            also=("FSM", "fs moment"),
        ),
    ),
    ("tanks",),
    parent=OF_CONDITION,
    block=OF_CONDITION.entry,
)
CONDITION_WEIGHTS = Sheet(
    "Condition weights",
    "child",
    (text("Weight", "name", needed=True, also=("item", "name")), *WEIGHT),
    ("weights",),
    parent=OF_CONDITION,
    block=OF_CONDITION.entry,
)
CONDITION_LEVERS = Sheet(
    "Condition levers",
    "lever_matrix",
    target=("printed", "righting_levers"),
    also=("condition GZ", "righting levers"),
    parent=OF_CONDITION,
    matrix=Matrix(OF_CONDITION.entry, "", "heel", "lever", "length"),
)
CONDITION_GRAIN = Sheet(
    "Condition grain", "child", GRAIN, ("grain",), parent=OF_CONDITION, block=OF_CONDITION.entry
)
CONDITION_WIND = Sheet(
    "Condition wind", "child", WIND, ("wind_additions",), parent=OF_CONDITION, block=OF_CONDITION.entry
)
