"""The working of an answer as sums on paper: which nodes stand under which step, and each as symbols, numbers, result.

Everything comes from the nodes of the answer; nothing is computed here.
"""

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from math import cos, radians, sin

from service.wire.figures import MINUS, rounded
from service.wire.working import SymbolNames, WorkingNode

_DECIMALS: Mapping[str, int] = {
    "t": 2, "LT": 2, "t·m": 2, "ft·LT": 2, "m": 4, "ft": 4, "degree": 3, "%": 2, "t/m3": 4, "m3": 2, "ft3": 1,
    "m·rad": 5, "ft·rad": 5, "": 5, "rad": 6, "s": 2,
}  # fmt: skip
_SYMBOL = re.compile(r"[A-Za-z_][A-Za-z_0-9]*")
_UNITS: Mapping[str, str] = {"degree": "°", "m3": "m³", "m2": "m²", "m4": "m⁴", "t/m3": "t/m³", "ft3": "ft³"}
SAME_LINES = "the same lines"
MOST_TERMS, MOST_NAMES = 8, 24
"""Terms of a sum that are written out, and names of lines that are listed."""


@dataclass(frozen=True)
class Sum:
    """One node on paper. over, under: numerator and denominator where the whole is one quotient, else empty. where:
    what its symbols stand for, as far as no sum before it says so."""

    id: str
    name: str
    symbols: str
    numbers: str
    over: tuple[str, str]
    under: tuple[str, str]
    value: str
    how: str
    from_memory: str | None
    where: str


@dataclass(frozen=True)
class Step:
    """A step of the work: its title, the nodes under it, the sources they name."""

    title: str
    sums: list[Sum]
    sources: list[str]


def shown(value: float, unit: str) -> str:
    """A number of the working, with a digit more than the pages print."""
    return rounded(value, _DECIMALS.get(unit, 4))


def with_unit(value: float, unit: str) -> str:
    """The same with its unit."""
    symbol = _UNITS.get(unit, unit)
    number = shown(value, unit)
    return f"{number}{symbol}" if symbol == "°" else f"{number} {symbol}".rstrip()


def sum_of(node: WorkingNode, said: SymbolNames) -> Sum:
    """A node as it stands on paper. said: what symbols stand for by the sums before it."""
    by_symbol = {i["symbol"]: i for i in node["inputs"]}

    def number(match: re.Match[str]) -> str:
        given = by_symbol.get(match[0])
        if given is None:
            return match[0]
        text = shown(given["value"], given["unit"])
        return f"({text})" if text.startswith(MINUS) else text

    expression = node["expression"]
    kind = node["kind"]
    over, under = ("", ""), ("", "")
    if kind == "sum":
        symbols, numbers = _terms(node)
    elif kind in ("copy", "root"):
        symbols, numbers = "", ""
    elif kind == "interpolation":
        symbols, numbers = "", _printed(_SYMBOL.sub(number, expression))
    else:
        symbols, numbers = _printed(expression), _printed(_SYMBOL.sub(number, expression))
        parts = _quotient(expression)
        if parts is not None:
            over = (_printed(parts[0]), _printed(_SYMBOL.sub(number, parts[0])))
            under = (_printed(parts[1]), _printed(_SYMBOL.sub(number, parts[1])))
    return Sum(
        node["id"],
        node["name"],
        symbols,
        numbers,
        over,
        under,
        with_unit(node["value"], node["unit"]),
        _how(node),
        node["from_memory"],
        "; ".join(said.new(node["inputs"])) if symbols and kind != "sum" else "",
    )


def _how(node: WorkingNode) -> str:
    """What is said behind a sum: which rows, or that it was solved."""
    if node["kind"] in ("interpolation", "product_interpolation"):
        names = {i["symbol"]: i["name"] for i in node["inputs"]}
        return f"linear between {names.get('x0', 'one row')} and {names.get('x1', 'the next')}"
    if node["kind"] == "root":
        return "found so that both sides agree: " + node["formula"]
    if node["kind"] == "choice":
        return node["formula"]
    return _lines_of(node) if node["kind"] == "sum" else ""


def _lines_of(node: WorkingNode) -> str:
    """Which lines a sum adds up that is too long to be written out."""
    masses = [i for i in node["inputs"] if i["symbol"].startswith("m")]
    if len(masses) <= MOST_TERMS:
        return ""
    names = [i["name"] for i in masses]
    same = names[0].partition(" of ")[0] + " of "
    if all(name.startswith(same) for name in names):
        names = [name.removeprefix(same) for name in names]
    if len(names) > MOST_NAMES:
        return f"from {names[0]} to {names[-1]}"
    return ", ".join(names)


def _terms(node: WorkingNode) -> tuple[str, str]:
    values = [(i["symbol"], i["value"], i["unit"]) for i in node["inputs"]]
    if node["expression"] == "sum(m*z)":
        masses = [v for v in values if v[0].startswith("m")]
        levers = [v for v in values if v[0].startswith("z")]
        parts = [f"{shown(m[1], m[2])} × {shown(z[1], z[2])}" for m, z in zip(masses, levers, strict=True)]
    else:
        parts = [shown(value, unit) for _, value, unit in values]
    if len(parts) > MOST_TERMS:
        origins = [i["from"].get("id", "") for i in node["inputs"]]
        grouped = any(each.startswith(("liquid/", "weights/")) for each in origins)
        each = (
            "products of mass and lever"
            if node["expression"] == "sum(m*z)"
            else "masses"
            if grouped
            else "figures"
        )
        return f"sum of {len(parts)} {each}{', lines of a group together' if grouped else ''}", ""
    return "", " + ".join(parts)


def _printed(text: str) -> str:
    """An expression with the signs of print."""
    return text.replace("*", "×").replace("-", MINUS)


def _quotient(expression: str) -> tuple[str, str] | None:
    """Numerator and denominator of an expression that is one quotient; None of any other."""
    depth, slash = 0, -1
    for place, sign in enumerate(expression):
        depth += (sign == "(") - (sign == ")")
        if depth == 0 and sign in "+-" and place:
            return None
        if depth == 0 and sign == "/":
            if slash >= 0:
                return None
            slash = place
    if slash < 0:
        return None
    return expression[:slash].strip(), expression[slash + 1 :].strip()


_STEPS: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("Centre of gravity", ("displacement", "deadweight", "longitudinal_moment", "lcg", "vertical_moment", "vcg_solid",
                           "transverse_moment", "tcg")),
    ("Free surface", ("free_surface_moment", "free_surface_correction", "vcg_corrected")),
    ("Drafts and trim", ("water_density", "table_displacement", "draft/", "trim", "table_draft", "lcb", "lcf", "km",
                         "tpc", "mctc", "draft_at_lcf", "draft_aft", "draft_midship", "draft_forward", "mark/")),
    ("GM and list", ("gm_solid", "gm_corrected", "heeling_arm", "list", "roll_coefficient", "roll_period")),
    ("Down-flooding, deck edge, the greatest lever", ("flooding/", "down_flooding", "deck_edge_angle", "range_end",
                                                      "angle_of_maximum", "maximum", "vanishing_angle")),
    ("Areas under the curve", ("area/",)),
    ("Wind and roll", ("wind/", "is-code-2008-a-2.3/")),
    ("Load line", ("load_line/", "load_line_margin/", "deflection")),
)  # fmt: skip
"""Title of a step, and its nodes by id or by how their id begins."""


def steps_of(nodes: Sequence[WorkingNode]) -> list[Step]:
    """The steps that have nodes, in the order of the work; then what the rules add that stands under none of them."""
    taken: set[str] = set()
    found, said = [], SymbolNames()
    for title, starts in _STEPS:
        mine = [n for n in nodes if _stands_under(n["id"], starts) and n["id"] not in taken]
        taken |= {n["id"] for n in mine}
        if mine:
            found.append(_step(title, [n for n in mine if not _is_plain_copy(n)], said))
    rest = [
        n
        for n in nodes
        if n["id"] not in taken
        and n["kind"] != "copy"
        and n["id"].startswith("criterion/")
        and not n["id"].endswith(("/margin", "/limit"))
    ]
    return [*found, _step("What the rules add", rest, said)] if rest else found


def _stands_under(id: str, starts: Iterable[str]) -> bool:
    return any(
        id.startswith(s) if s.endswith("/") else id == s or id.startswith(f"{s}/table") for s in starts
    )


def _is_plain_copy(node: WorkingNode) -> bool:
    return node["kind"] == "copy" and node["inputs"][0]["from"]["kind"] == "working"


def every_sum(nodes: Iterable[WorkingNode]) -> list[Sum]:
    """All of them in their order."""
    said = SymbolNames()
    return [sum_of(node, said) for node in nodes]


def _step(title: str, nodes: Sequence[WorkingNode], said: SymbolNames) -> Step:
    sources = dict.fromkeys(n["source"] for n in nodes if n["source"] != "definition")
    sums, lines = list[Sum](), set[str]()
    for node in nodes:
        found = sum_of(node, said)
        if node["kind"] == "sum" and found.how in lines:
            found = replace(found, how=SAME_LINES)
        elif node["kind"] == "sum" and found.how:
            lines.add(found.how)
        sums.append(found)
    return Step(title, sums, list(sources))


@dataclass(frozen=True)
class LeverLine:
    """One row of the table of levers."""

    heel: str
    kn: str
    sine: str
    fall: str
    arm: str
    lever: str


def lever_lines(nodes: Sequence[WorkingNode]) -> list[LeverLine]:
    """GZ = KN - KG sin - TCG cos at the heels of the cross curves."""
    found = []
    for node in nodes:
        step, _, heel = node["id"].partition("/")
        if step != "lever" or not heel.replace(".", "").isdigit():
            continue
        given = {i["symbol"]: i["value"] for i in node["inputs"]}
        if not {"KN", "KG", "TCG"} <= set(given):
            continue
        angle = radians(float(heel))
        found.append(
            LeverLine(
                f"{float(heel):g}°",
                rounded(given["KN"], 4),
                rounded(sin(angle), 4),
                rounded(given["KG"] * sin(angle), 4),
                rounded(given["TCG"] * cos(angle), 4),
                rounded(node["value"], 4),
            )
        )
    return found


@dataclass(frozen=True)
class WeightLine:
    """One row of the table of weights and moments: mass, centre and first moments, unrounded."""

    name: str
    mass: float
    centre: tuple[float, float, float]

    @property
    def moments(self) -> tuple[float, float, float]:
        """About the aft perpendicular, the baseline and the centreline."""
        return self.mass * self.centre[0], self.mass * self.centre[1], self.mass * self.centre[2]


_AXES = ("lcg", "vcg", "tcg")


def weight_lines(nodes: Sequence[WorkingNode]) -> list[WeightLine]:
    """Lightship, every tank with something in it, every weight one by one, as the nodes give them."""
    by_id = {n["id"]: n for n in nodes}
    found = []
    for node in nodes:
        start, _, last = node["id"].rpartition("/")
        kind = start.split("/")[0]
        if last != "mass" or not node["value"]:
            continue
        if kind == "weights":
            found += _single_weights(start, by_id)
        elif kind in ("lightship", "tank") and all(f"{start}/{axis}" in by_id for axis in _AXES):
            lcg, vcg, tcg = (by_id[f"{start}/{axis}"]["value"] for axis in _AXES)
            found.append(WeightLine(_bare_name(node["name"]), node["value"], (lcg, vcg, tcg)))
    return found


def _single_weights(start: str, by_id: Mapping[str, WorkingNode]) -> list[WeightLine]:
    """The weights of one kind, from the sums of their moments."""
    sums = [by_id[f"{start}/{axis}_moment"] for axis in _AXES if f"{start}/{axis}_moment" in by_id]
    if len(sums) < len(_AXES):
        return []
    levers = [[i["value"] for i in s["inputs"] if i["symbol"].startswith("z")] for s in sums]
    masses = [i for i in sums[0]["inputs"] if i["symbol"].startswith("m")]
    return [
        WeightLine(_bare_name(mass["name"]), mass["value"], (lcg, vcg, tcg))
        for mass, lcg, vcg, tcg in zip(masses, *levers, strict=True)
    ]


def _bare_name(name: str) -> str:
    bare = name.removeprefix("mass of ").removeprefix("mass in ")
    return bare[:1].upper() + bare[1:]
