"""What a condition holds besides tanks and weights, as fields of the sheet: single ones, and short tables.

A single field is named by its path (`voyage.number`), a cell of a table by `<table>:<line>:<member>`. What is listed
nowhere here and has no fields of its own is shown as a line that is kept (`kept_lines`).
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Final, Literal

from service.pages.sheet.numbers import as_typed
from service.wire.figures import Quantity

Row = dict[str, Any]
Path = tuple[str, ...]
Kind = Literal["text", "number", "whole", "choice", "flag", "numbers"]

CONTENTS: Final = (
    *("fuel_oil", "diesel_oil", "lubricating_oil", "fresh_water", "ballast"),
    *("cargo_liquid", "waste", "other"),
)
CONSUMABLE: Final = CONTENTS[:4]
CATEGORIES: Final = (
    *("cargo", "deck_cargo", "stores", "crew", "passengers", "constant", "ice", "other", "removal"),
)
BLANK_LINES: Final = 2
MOST_LINES: Final = 5000


@dataclass(frozen=True)
class Field:
    """One figure, word or choice. `path` leads to it from the document, or from the line of a table.

    choices: value and words; an absent value is offered as `none`. default: what stands for an absent member.
    """

    path: Path
    label: str
    kind: Kind = "number"
    quantity: Quantity | Literal[""] = ""
    needed: bool = False
    choices: tuple[tuple[str, str], ...] = ()
    none: str = "not named"
    default: Any = None
    unit: str = ""
    width: int = 7

    @property
    def name(self) -> str:
        """Name of the field in the form."""
        return ".".join(self.path)


@dataclass(frozen=True)
class Table:
    """A short list of the condition, a line each."""

    name: str
    path: Path
    title: str
    columns: tuple[Field, ...]
    hint: str = ""


@dataclass(frozen=True)
class Part:
    """A part of the sheet that few conditions need: it opens by itself where it holds something."""

    key: str
    title: str
    fields: tuple[Field, ...] = ()
    tables: tuple[Table, ...] = ()
    hint: str = ""


def _text(path: str, label: str, width: int = 14, *, needed: bool = False) -> Field:
    return Field(tuple(path.split(".")), label, "text", width=width, needed=needed)


def _number(path: str, label: str, quantity: Quantity | Literal[""] = "", **more: Any) -> Field:
    return Field(tuple(path.split(".")), label, "number", quantity, **more)


def _choice(path: str, label: str, choices: tuple[tuple[str, str], ...], **more: Any) -> Field:
    return Field(tuple(path.split(".")), label, "choice", choices=choices, **more)


def _flag(path: str, label: str) -> Field:
    return Field(tuple(path.split(".")), label, "flag", default=False)


_PHASES = (
    *(("departure", "departure"), ("arrival", "arrival"), ("at_sea", "at sea"), ("in_port", "in port")),
)
_MARKS = (
    *(("S", "summer"), ("T", "tropical"), ("F", "fresh"), ("TF", "tropical fresh"), ("W", "winter")),
    *(("WNA", "winter North Atlantic"), ("LS", "timber summer"), ("LT", "timber tropical")),
    *(("LW", "timber winter"), ("LWNA", "timber winter North Atlantic"), ("LF", "timber fresh")),
    ("LTF", "timber tropical fresh"),
)
_BASES = (
    ("by_rule", "as her rule sets ask"),
    ("maximum_when_slack", "greatest moment when slack"),
    ("as_filled", "at the filling"),
)

HEAD: Final = (
    _text("title", "Title", 40, needed=True),
    _text("voyage.number", "Voyage", 8),
    _text("voyage.from", "From"),
    _text("voyage.to", "To"),
    _choice("voyage.phase", "Part of the voyage", _PHASES),
    _number("water_density", "Water, t/m³", needed=True),
    _choice("load_line_mark", "Load line mark", _MARKS),
    _choice("free_surface.basis", "Free surface", _BASES, needed=True),
)
"""Always in view."""

READ: Final = (
    _number("observed.list", "List read, ° to port"),
    _number("observed.roll_period", "Full roll, s"),
    _choice(
        "observed.mean",
        "Mean of the drafts",
        (
            ("quarter", "(F + A + 6M) / 8"),
            ("two_thirds", "(F + A + 4M) / 6"),
            ("mean_of_means", "(F + A + 2M) / 4"),
        ),
        none="plain readings",
    ),
)
"""Beside the draft marks."""

_GRAIN = Table(
    "grain",
    ("grain",),
    "Grain in bulk",
    (
        _choice("hold", "Hold", (), needed=True, none="no hold"),
        _choice(
            "filling",
            "Filled how",
            (
                ("filled_trimmed", "filled, trimmed"),
                ("filled_untrimmed", "filled, ends untrimmed"),
                ("partly_filled", "partly filled"),
            ),
            needed=True,
            none="not said",
        ),
        _number("stowage_factor", "Stowage factor", unit="stowage", needed=True),
        _number("volume", "Volume if partly filled", "volume"),
        _number("heeling_moment", "Heeling moment, own", unit="fourth"),
        _choice("vcg_basis", "Weight entered at", (("cargo", "centre of the grain"), ("hold", "centre of the hold")),
                none="centre of the grain"),
    ),
    "A line a hold. The grain's mass is entered with the holds above.",
)  # fmt: skip
_WIND = Table(
    "wind_additions",
    ("wind_additions",),
    "Standing in the wind",
    (
        _text("name", "What", 22, needed=True),
        _number("area", "Side area", "area", needed=True),
        _number("centroid_height", "Its centre above baseline", "length", needed=True),
        _text("of", "Side of the weight", 22),
    ),
    "Lateral area that her wind profile does not hold, such as deck cargo. Area 0 for what stands in the lee.",
)
_SURFACES = Table(
    "surfaces",
    ("icing", "surfaces"),
    "Surfaces of deck cargo that ice settles on",
    (
        _text("name", "What", 22, needed=True),
        _choice("kind", "Deck or side", (("deck", "deck"), ("side", "side")), needed=True, none="not said"),
        _number("area", "Area", "area", needed=True),
        _number("x", "x", "length", needed=True),
        _number("z", "z", "length", needed=True),
        _number("y", "y", "length", default=0.0),
    ),
)
_LIMITS = Table(
    "limits",
    ("limits",),
    "Limits of a berth, a bar or a charter",
    (
        _choice(
            "quantity",
            "Figure",
            tuple(
                (value, value.replace("_", " "))
                for value in (
                    *("draft_forward", "draft_aft", "draft_midship", "draft_greatest", "trim", "list"),
                    *("propeller_immersion", "air_draft", "displacement", "gm_corrected", "freeboard_least"),
                )
            ),
            needed=True,
            none="none",
        ),
        _number("at_least", "At least"),
        _number("at_most", "At most"),
        _choice("when", "Where", (("always", "always"), ("at_sea", "at sea"), ("in_port", "in port")), none="always"),
        _text("clause", "Clause", 10),
        _text("source", "Who sets it", 14),
    ),
)  # fmt: skip
_VIEW = Table(
    "obstructions",
    ("obstructions",),
    "Standing in the view ahead",
    (
        _text("name", "What", 22, needed=True),
        _number("x", "x", "length", needed=True),
        _number("z", "Top above baseline", "length", needed=True),
        _number("y_from", "One side", "length"),
        _number("y_to", "Other side", "length"),
        _text("of", "Top of the weight", 22),
    ),
)
_PASSENGERS = Table(
    "passengers",
    ("passengers",),
    "Passengers by the space they stand in",
    (
        _text("space", "Space", 12, needed=True),
        Field(("number",), "How many", "whole", needed=True),
        _number("mass_each", "Mass of one", unit="person"),
    ),
    "Their mass is added by the service: it is no weight of its own.",
)

PARTS: Final = (
    Part("grain", "Grain in bulk", tables=(_GRAIN,)),
    Part("wind", "Deck cargo in the wind", tables=(_WIND,)),
    Part(
        "ice",
        "Ice",
        (
            _number("icing.factor", "Part of the full allowance, 0 to 2"),
            _number("icing.timber_formula.freeboard", "On timber: freeboard", "length"),
            _number("icing.timber_formula.bow_flare_length", "On timber: length of bow flare", "length"),
        ),
        (_SURFACES,),
    ),
    Part(
        "water",
        "More about the water, the mark and the drafts",
        (
            _choice(
                "dock_water",
                "Mark in lighter water",
                (("linear", "in proportion to the density"), ("exact", "to the same displacement")),
                none="in proportion to the density",
            ),
            _flag("inland", "On inland waters, no mark binds"),
            _flag("voyage.ballast", "A ballast condition (MARPOL I/18)"),
            _number("deflection", "Sag amidships", "length", default=0.0),
            Field(("drafts_at",), "Drafts wanted at, from the x origin", "numbers", "length", width=20),
            _text("reference", "Own reference", 20),
        ),
    ),
    Part("limits", "Limits of this call", tables=(_LIMITS,)),
    Part(
        "doing",
        "Passengers, a lift, an escorted ship",
        (
            _text("operation.lift.name", "On the hook", 20),
            _number("operation.lift.mass", "Its mass", "mass"),
            _number("operation.lift.x", "Head of the crane, x", "length"),
            _number("operation.lift.y", "y", "length"),
            _number("operation.lift.z", "z", "length"),
            _number("operation.escort.heeling_moment", "Heeling moment of an escorted ship", "mass_moment"),
        ),
        (_PASSENGERS,),
    ),
    Part("view", "View ahead", tables=(_VIEW,)),
    Part(
        "axes",
        "How positions are typed",
        (
            _choice(
                "axes.x_origin",
                "x is from",
                (
                    ("aft_perpendicular", "the aft perpendicular"),
                    ("midship", "midship"),
                    ("forward_perpendicular", "the forward perpendicular"),
                ),
                none="as in her booklet",
            ),
            _choice("axes.x_positive", "positive", (("forward", "forward"), ("aft", "aft")), none="as in her booklet"),
            _choice("axes.y_positive", "y is positive to", (("port", "port"), ("starboard", "starboard")),
                    none="as in her booklet"),
        ),
        hint="All three, or none of them.",
    ),
)  # fmt: skip
"""What few conditions need."""

SINGLES: Final = (*HEAD, *READ, *(one for part in PARTS for one in part.fields))
TABLES: Final = tuple(table for part in PARTS for table in part.tables)
WEIGHT_TEXTS: Final = ("name", "category", "hold")
TIMBER: Final = (
    ("between_superstructures", "between superstructures"),
    ("full_breadth", "over the full breadth"),
    ("secured", "stays fixed at large heel"),
    ("buoyant", "its buoyancy counts"),
)
"""Members of a weight's `timber` that are answered by yes or no."""

_WITH_FIELDS: Final = frozenset(
    (
        *(one.path[0] for one in SINGLES),
        *(table.path[0] for table in TABLES),
        "units",
        "tanks",
        "weights",
        "rule_sets",
    )
)


@dataclass(frozen=True)
class KeptLine:
    """Something a condition holds that has no field: it is named, and goes on to the next revision."""

    member: str
    words: str


@dataclass
class Read:
    """What a form says. `document` is as far as it can be read: what cannot is there as it was typed. `wrong` and
    `missing`: sentences by the name of the field; `broken`: places in the document that cannot be judged."""

    document: Row
    wrong: dict[str, str] = field(default_factory=dict)
    missing: dict[str, str] = field(default_factory=dict)
    broken: dict[tuple[str | int, ...], str] = field(default_factory=dict)


def kept_lines(document: Mapping[str, Any]) -> list[KeptLine]:
    """What of `document` has no field of its own, in words."""
    lines = []
    for member, value in document.items():
        if member == "plan":
            lines.append(KeptLine(member, plan_in_words(value)))
        elif member == "id":
            lines.append(KeptLine(member, f"Entered under the id {value}"))
        elif member not in _WITH_FIELDS:
            lines.append(KeptLine(member, member.replace("_", " ").capitalize()))
    return lines


def plan_in_words(plan: Mapping[str, Any]) -> str:
    """A plan by its stages: "A voyage in 3 stages: Ocean 10 days; Channel 2 days; Discharging"."""
    stages = plan.get("stages") or []
    kind = {"voyage": "A voyage", "loading": "Loading", "discharging": "Discharging"}.get(
        plan.get("kind", ""), "Plan"
    )
    told = [_stage_in_words(stage) for stage in stages]
    used = plan.get("consumption") or []
    beside = f"; {len(used)} line{'' if len(used) == 1 else 's'} of what is used a day" if used else ""
    return f"{kind} in {len(stages)} stage{'' if len(stages) == 1 else 's'}: {'; '.join(told)}{beside}"


def _stage_in_words(stage: Mapping[str, Any]) -> str:
    """A stage, also one that is half typed."""
    name: str = stage.get("name", "no name yet")
    days = stage.get("days")
    return f"{name} {as_typed(days)} days" if days else name


def steps_of(pointer: str) -> list[str]:
    """The steps of a refusal's pointer into the document of a condition; none for the whole of it."""
    return pointer.removeprefix("/condition").split("/")[1:]


def member_at(document: Any, path: Path) -> Any:
    """The member at a path; None where there is none."""
    for step in path:
        if not isinstance(document, Mapping):
            return None
        document = document.get(step)
    return document


def set_member(document: Row, path: Path, value: Any) -> None:
    """Set the member at a path; objects on the way are made."""
    for step in path[:-1]:
        document = document.setdefault(step, {})
    document[path[-1]] = value
