"""The ship herself: her name and axes, particulars, lightship, hydrostatics and cross curves."""

from dataclasses import replace

from service.imports import words
from service.imports.entries import (
    DENSITY_NAMES,
    DRAFT,
    LCG_NAMES,
    TCG_NAMES,
    TRIM,
    VCG_NAMES,
    length,
    mass,
    of,
    text,
    x_position,
    y_position,
)
from service.imports.layout import Entry, Matrix, Sheet

SHIP = Sheet(
    "Ship",
    "form",
    (
        text("Name of ship", "name", needed=True, also=("name", "ship", "vessel", "ship's name")),
        replace(text("IMO number", "imo_number", also=("IMO", "IMO no")), before="IMO"),
        text("Booklet", "source", "booklet", needed=True, also=("title of booklet", "stability booklet")),
        text("Booklet revision", "source", "revision", also=("revision", "rev")),
        Entry("Booklet date", ("source", "date"), "date", also=("date",)),
        Entry(
            "Units",
            ("units",),
            "choice",
            needed=True,
            also=("unit system",),
            choices=words.SYSTEMS,
            synonyms=words.SYSTEM_SYNONYMS,
        ),
        Entry(
            "Longitudinal positions are from",
            ("axes", "x_origin"),
            "choice",
            also=("x from", "longitudinal origin", "origin of x"),
            choices=words.ORIGINS,
            synonyms=words.ORIGIN_SYNONYMS,
        ),
        Entry(
            "Longitudinal positions are positive",
            ("axes", "x_positive"),
            "choice",
            also=("x positive",),
            choices=words.FORE_AND_AFT,
            synonyms=words.FORE_AND_AFT_SYNONYMS,
        ),
        Entry(
            "Transverse positions are positive to",
            ("axes", "y_positive"),
            "choice",
            also=("y positive", "y positive to"),
            choices=words.PORT_OR_STARBOARD,
            synonyms=words.PORT_OR_STARBOARD_SYNONYMS,
        ),
        Entry(
            "Decimal sign in typed text",
            (),
            "choice",
            also=("decimal sign", "decimal separator"),
            choices=words.DECIMAL_SIGNS,
            synonyms={".": "point", ",": "comma", "dot": "point"},
        ),
        Entry("Id", ("id",), "id", also=("id of ship",)),
        text("Reference", "reference", also=("sender's reference",)),
    ),
    also=("vessel", "ship data", "general"),
    needed=True,
    title="Ship. Said once, for every sheet: her name, her booklet, its units and its axes.",
)

PARTICULARS = Sheet(
    "Particulars",
    "form",
    (
        length(
            "Length between perpendiculars",
            "particulars",
            "length_bp",
            needed=True,
            also=("Lpp", "Lbp", "LBP"),
        ),
        length(
            "Breadth moulded",
            "particulars",
            "breadth",
            needed=True,
            also=("breadth", "beam", "B", "moulded breadth"),
        ),
        length("Length on waterline", "particulars", "length_waterline", also=("Lwl", "waterline length")),
        length(
            "Length, load lines",
            "particulars",
            "length_load_line",
            also=("load line length", "freeboard length"),
        ),
        length("Length over all", "particulars", "length_overall", also=("Loa", "length overall")),
        length("Depth moulded", "particulars", "depth", also=("depth", "D", "moulded depth")),
        length(
            "Keel plate thickness", "particulars", "keel_thickness", also=("keel thickness", "keel plate")
        ),
        Entry("Block coefficient", ("particulars", "block_coefficient"), also=("Cb",)),
        Entry("Bilge", ("particulars", "bilge"), "choice", choices=words.BILGES),
        of("area", "Bilge keels, total area", "particulars", "bilge_keel_area", also=("bilge keel area",)),
        of("speed", "Service speed", "particulars", "service_speed", also=("speed",)),
        mass("Least displacement in service", "particulars", "minimum_service_displacement"),
        Entry(
            "Waters she serves in",
            ("particulars", "service"),
            "choice",
            also=("service",),
            choices=words.WATERS,
        ),
        Entry("Superstructure", ("particulars", "superstructure"), "choice", choices=words.SUPERSTRUCTURES),
        length("Superstructure, length", "particulars", "superstructure_length"),
        length("Least freeboard", "particulars", "freeboard_least"),
        length("Breadth at half draft", "particulars", "breadth_half_draft"),
    ),
    also=("main particulars", "main dimensions", "principal particulars"),
    needed=True,
)

LIGHTSHIP = Sheet(
    "Lightship",
    "form",
    (
        mass(
            "Lightship mass",
            "lightship",
            "mass",
            needed=True,
            also=("mass", "lightship weight", "lightweight"),
        ),
        x_position("LCG", "lightship", "lcg", also=LCG_NAMES),
        length("VCG", "lightship", "vcg", needed=True, also=VCG_NAMES),
        y_position("TCG", "lightship", "tcg", needed=False, also=TCG_NAMES),
    ),
    also=("light ship",),
    needed=True,
)

LIGHTSHIP_CURVE = Sheet(
    "Lightship curve",
    "list",
    (
        x_position("From", "x_from", also=("x from",)),
        x_position("To", "x_to", also=("x to",)),
        mass("Mass", "mass", also=("weight",)),
        of("mass_per_length", "Mass per length at from", "mass_from"),
        of("mass_per_length", "Mass per length at to", "mass_to"),
    ),
    ("lightship", "segments"),
    also=("lightship distribution", "lightweight curve"),
)

HYDROSTATICS = Sheet(
    "Hydrostatics",
    "list",
    (
        TRIM,
        DRAFT,
        mass(
            "Displacement", "displacement", needed=True, also=("displ.", "displ", "disp", "displacement mass")
        ),
        x_position("LCB", "lcb", also=("LCB from AP", "XB", "longitudinal centre of buoyancy")),
        x_position("LCF", "lcf", also=("LCF from AP", "XF", "longitudinal centre of flotation")),
        length("KM", "km", needed=True, also=("KMT", "KM transverse", "transverse KM")),
        of(
            "immersion",
            "TPC",
            "tpc",
            needed=True,
            also=("TPI", "tonnes per cm", "tons per inch", "TPC immersion"),
        ),
        of(
            "trim_moment",
            "MCTC",
            "mctc",
            needed=True,
            also=("MCT 1cm", "MTC", "MCT", "MTI", "MCTI", "MT1", "MCT1", "MT1in", "MTC1cm", "MCT1in"),
        ),
        length("VCB", "vcb", also=("KB",)),
        length("KML", "kml", also=("KM longitudinal", "longitudinal KM")),
        y_position("TCB", "tcb", needed=False),
        of("area", "Waterplane area", "waterplane_area", also=("WPA", "Aw")),
        Entry("Block coefficient", ("block_coefficient",), also=("Cb",)),
    ),
    ("hydrostatics", "rows"),
    lines=(
        of(
            "density",
            "Water density",
            "hydrostatics",
            "density",
            needed=True,
            also=("density", *DENSITY_NAMES),
        ),
        Entry(
            "Drafts are",
            ("hydrostatics", "draft_reference"),
            "choice",
            choices=words.DRAFT_REFERENCES,
            synonyms=words.DRAFT_REFERENCE_SYNONYMS,
        ),
    ),
    also=("hydrostatic table", "hydrostatic tables", "hydrostatic data", "hydrostatic particulars"),
    needed=True,
    must_say=True,
    block=TRIM,
)

CROSS_CURVES = Sheet(
    "Cross curves",
    "matrix",
    target=("cross_curves",),
    lines=(
        Entry(
            "Levers are",
            ("cross_curves", "basis"),
            "choice",
            needed=True,
            choices=words.LEVERS,
            synonyms=words.LEVER_SYNONYMS,
        ),
        length("Assumed VCG", "cross_curves", "vcg", also=("assumed KG", "VCG", "KG")),
        of("density", "Water density", "cross_curves", "density", also=("density", *DENSITY_NAMES)),
        Entry("Other trims", (), "choice", choices={"none": "none"}),
    ),
    also=("KN", "KN curves", "KN table", "KN tables", "cross curves of stability", "stability cross curves"),
    block=TRIM,
    matrix=Matrix(
        mass("Displacement", needed=True, also=("displ.", "displ", "disp")),
        "displacements",
        "heels",
        "levers",
        "length",
        others="at_other_trims",
    ),
)

CROSS_CURVES_TIMBER = replace(
    CROSS_CURVES,
    name="Cross curves timber",
    target=("cross_curves_timber",),
    lines=tuple(
        replace(entry, path=("cross_curves_timber", *entry.path[1:])) if entry.path else entry
        for entry in CROSS_CURVES.lines
    ),
    also=("KN timber", "cross curves with timber", "timber cross curves"),
)
