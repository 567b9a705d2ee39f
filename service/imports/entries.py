"""Entries that several sheets share, and short ways to write one."""

from service.imports import words
from service.imports.layout import Entry, Parent


def length(heading: str, *path: str, needed: bool = False, also: tuple[str, ...] = ()) -> Entry:
    """A length without a sign of its own."""
    return Entry(heading, path, quantity="length", needed=needed, also=also)


def x_position(heading: str, *path: str, needed: bool = True, also: tuple[str, ...] = ()) -> Entry:
    """A longitudinal position."""
    return Entry(heading, path, quantity="length", needed=needed, also=also, axis="x")


def y_position(heading: str, *path: str, needed: bool = True, also: tuple[str, ...] = ()) -> Entry:
    """A transverse position."""
    return Entry(heading, path, quantity="length", needed=needed, also=also, axis="y")


def trim(heading: str, *path: str, needed: bool = False, also: tuple[str, ...] = ()) -> Entry:
    """A trim, positive by the stern."""
    return Entry(heading, path, quantity="length", needed=needed, also=also, axis="trim")


def mass(heading: str, *path: str, needed: bool = False, also: tuple[str, ...] = ()) -> Entry:
    """A mass."""
    return Entry(heading, path, quantity="mass", needed=needed, also=also)


def volume(heading: str, *path: str, needed: bool = False, also: tuple[str, ...] = ()) -> Entry:
    """A volume."""
    return Entry(heading, path, quantity="volume", needed=needed, also=also)


def of(quantity: str, heading: str, *path: str, needed: bool = False, also: tuple[str, ...] = ()) -> Entry:
    """A figure of any other quantity."""
    return Entry(heading, path, quantity=quantity, needed=needed, also=also)


def text(heading: str, *path: str, needed: bool = False, also: tuple[str, ...] = ()) -> Entry:
    """A text."""
    return Entry(heading, path, "text", needed=needed, also=also)


LCG_NAMES = ("LCG from AP", "longitudinal centre of gravity", "longitudinal centre", "XG", "lcg full")
VCG_NAMES = (
    "KG",
    "vertical centre of gravity",
    "vertical centre",
    "VCG above BL",
    "VCG above baseline",
    "ZG",
)
TCG_NAMES = ("TCG from CL", "transverse centre of gravity", "transverse centre", "YG")
CONTENTS = Entry(
    "Contents",
    ("contents",),
    "choice",
    needed=True,
    also=("liquid", "content", "use", "fluid"),
    choices=words.CONTENTS,
    synonyms=words.CONTENTS_SYNONYMS,
)
DENSITY_NAMES = ("SG", "specific gravity", "spec. gravity", "rho")
TANK_KEY = Entry("Tank", (), "id", needed=True, also=("tank id", "tank no", "tank number"))
OF_TANK = Parent(("tanks",), "id", TANK_KEY, "unknown_tank", "Tanks")
OF_HOLD = Parent(
    ("holds",),
    "id",
    Entry("Hold", (), "id", needed=True, also=("hold id", "hold no")),
    "unknown_hold",
    "Holds",
)
OF_OPENING = Parent(
    ("openings",),
    "id",
    Entry("Opening", (), "id", needed=True, also=("opening id",)),
    "unknown_opening",
    "Openings",
)
ENDS = (
    x_position(
        "Aft or fore end, from", "extent", "x_from", needed=False, also=("from", "aft end", "fore end from")
    ),
    x_position("To", "extent", "x_to", needed=False, also=("aft or fore end, to", "fore end")),
)
DRAFT = length("Draft", "draft", needed=True, also=("draught", "mean draft", "draft moulded", "d", "T"))
IMMERSION = (
    DRAFT,
    of(
        "angle",
        "Immersion angle",
        "angle",
        needed=True,
        also=("angle", "immersion", "heel", "flooding angle"),
    ),
    trim("Trim", "trim", also=("at trim",)),
)
MASS_LIMIT = (
    length("Draft", "draft", needed=True, also=("draught",)),
    mass("Greatest mass", "most", also=("most",)),
    mass("Least mass", "least", also=("least",)),
    Entry("Holds at", ("set",), "choice", choices=words.SETS),
)
"""Masses permitted in a hold, or in two together, by draft."""
TRIM = trim("Trim", "trim", also=("trim by stern",))
