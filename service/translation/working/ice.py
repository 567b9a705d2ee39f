"""Absorbed water and ice among the added weights, and the mass and centre of the ice (2008 IS Code Part B 6)."""

from service.core.icing import DECK, MORE_AREA, MORE_MOMENT, ON_DECK, ON_SIDE, SIDE, IcingCase, on_timber
from service.translation.working.given import Given, Input, Inputs, Path
from service.translation.working.sources import Sources, State, before_ice
from service.translation.working.typed import Typed

SOURCE = "2008 IS Code Part B 6.3"
AXES = {"lcg": ("x", "x"), "vcg": ("z", "length"), "tcg": ("y", "y")}


def absorbed(a: Sources, k: int) -> None:
    """Water that a line of timber absorbs: percent of its mass, at its own centre."""
    s, i, path = a.sheet, a.assessed.added[k].of, ("added_weights", k)
    inputs: Inputs = {
        "m": a.condition.number(("weights", i or 0, "mass"), "mass", "mass of the timber"),
        "p": a.condition.number(
            ("weights", i or 0, "timber", "absorption"), "percent", "absorption, percent"
        ),
    }
    s.add(
        f"added/{k}/mass", "expression", "m * p / 100", inputs, name="water absorbed", unit=s.unit("mass"),
        path=(*path, "mass"),
    )  # fmt: skip
    for member, dimension in (("lcg", "x"), ("vcg", "length"), ("tcg", "y")):
        given = a.condition.number(("weights", i or 0, member), dimension, f"{member.upper()} of the timber")
        s.copy(f"added/{k}/{member}", given, path=(*path, member))


def ice(a: Sources, k: int) -> bool:
    """Ice on one surface; whether its nodes are written: not where it cannot be told which surface it is."""
    order = _surfaces(a)
    first = next((n for n, each in enumerate(a.assessed.added) if each.reason == "ice"), 0)
    if k - first >= len(order) or a.assessed.condition.icing is None:
        return False
    document, place, kind = order[k - first]
    if kind == "profile":
        _profile(a, k)
    elif kind == DECK:
        _deck(a, k, document, place)
    else:
        _side(a, k, document, place)
    return True


def _surfaces(a: Sources) -> list[tuple[Typed, Path, str]]:
    """Where each line of ice comes from, in the order of the answer: her decks, those of deck cargo, her sides or the
    wind profile, sides of deck cargo."""
    hers = a.assessed.situation.vessel.icing_surfaces
    case = a.assessed.condition.icing
    added = case.surfaces if case is not None else ()
    own: list[tuple[Typed, Path, str]] = [
        (a.vessel, ("icing_surfaces", i), each.kind) for i, each in enumerate(hers)
    ]
    more: list[tuple[Typed, Path, str]] = [
        (a.condition, ("icing", "surfaces", i), each.kind) for i, each in enumerate(added)
    ]
    profile: tuple[Typed, Path, str] = (a.vessel, ("wind_profile",), "profile")
    without = a.assessed.before_ice
    has_profile = without is not None and without.wind is not None
    sides = [each for each in own if each[2] == SIDE] or ([profile] if has_profile else [])
    return [
        *(each for each in own if each[2] == DECK),
        *(each for each in more if each[2] == DECK),
        *sides,
        *(each for each in more if each[2] == SIDE),
    ]


def _factor(a: Sources) -> Given:
    return a.condition.number(("icing", "factor"), "", "part of the full allowance")


def _rate(a: Sources, rate: float, words: str) -> Given:
    s = a.sheet
    return s.rule(
        "is-code-2008-b-6.3", words, rate * s.scale.area / s.scale.mass, "t/m2" if s.is_metric else "LT/ft2"
    )


def _deck(a: Sources, k: int, document: Typed, place: Path) -> None:
    s, case = a.sheet, a.assessed.condition.icing
    assert case is not None
    rate = _rate(a, _on(a, case, document), "ice on a deck")
    inputs: Inputs = {
        "A": document.number((*place, "area"), "area", "area of the deck"), "q": rate, "f": _factor(a),
    }  # fmt: skip
    s.add(
        f"added/{k}/mass", "expression", "A * q * f", inputs, name="ice on a deck", unit=s.unit("mass"),
        path=("added_weights", k, "mass"), source=SOURCE, memory=a.assessed.added[k].from_memory,
    )  # fmt: skip
    _centre(a, k, document, place)


def _on(a: Sources, case: IcingCase, document: Typed) -> float:
    if case.timber is None or document is not a.condition:
        return ON_DECK
    return on_timber(a.assessed.situation.vessel.particulars.rule_length, case.timber)


def _side(a: Sources, k: int, document: Typed, place: Path) -> None:
    s = a.sheet
    inputs: Inputs = {
        "A": document.number((*place, "area"), "area", "area of one side"),
        "r": s.rule("is-code-2008-b-6.3", "for rails and rigging", MORE_AREA, ""),
        "q": _rate(a, ON_SIDE, "ice on a side"), "f": _factor(a),
    }  # fmt: skip
    s.add(
        f"added/{k}/mass", "expression", "2 * A * r * q * f", inputs, name="ice on both sides", unit=s.unit("mass"),
        path=("added_weights", k, "mass"), source=SOURCE, memory=a.assessed.added[k].from_memory,
    )  # fmt: skip
    _centre(a, k, document, place, side=True)


def _profile(a: Sources, k: int) -> None:
    """Of the wind profile at the draft before ice."""
    s, state = a.sheet, before_ice(a)
    assert state is not None
    inputs: Inputs = {
        "A": state.id("wind/area"), "r": s.rule("is-code-2008-b-6.3", "for rails and rigging", MORE_AREA, ""),
        "q": _rate(a, ON_SIDE, "ice on a side"), "f": _factor(a),
    }  # fmt: skip
    s.add(
        f"added/{k}/mass", "expression", "2 * A * r * q * f", inputs, name="ice on both sides", unit=s.unit("mass"),
        path=("added_weights", k, "mass"), source=SOURCE, memory=a.assessed.added[k].from_memory,
    )  # fmt: skip
    length = a.vessel.number(("particulars", "length_bp"), "length", "length between perpendiculars")
    s.add(
        f"added/{k}/lcg", "expression", "L / 2", {"L": length}, name="LCG of ice on the sides", unit=s.unit("length"),
        path=("added_weights", k, "lcg"), source=SOURCE,
    )  # fmt: skip
    _height(a, k, state.id("wind/height"))
    s.copy(
        f"added/{k}/tcg",
        s.constant("both sides alike", 0.0, s.unit("length")),
        path=("added_weights", k, "tcg"),
    )


def _height(a: Sources, k: int, height: Input) -> None:
    s = a.sheet
    inputs: Inputs = {
        "z": height, "p": s.rule("is-code-2008-b-6.3", "moment for rails and rigging", MORE_MOMENT, ""),
        "r": s.rule("is-code-2008-b-6.3", "for rails and rigging", MORE_AREA, ""),
    }  # fmt: skip
    s.add(
        f"added/{k}/vcg", "expression", "z * p / r", inputs, name="VCG of ice on the sides", unit=s.unit("length"),
        path=("added_weights", k, "vcg"), source=SOURCE, memory=a.assessed.added[k].from_memory,
    )  # fmt: skip


def _centre(a: Sources, k: int, document: Typed, place: Path, side: bool = False) -> None:
    s = a.sheet
    for each, (member, dimension) in AXES.items():
        given = document.number((*place, member), dimension, f"{member} of the surface")
        if side and each == "vcg":
            _height(a, k, given)
        elif side and each == "tcg":
            centre = s.constant("both sides alike", 0.0, s.unit("length"))
            s.copy(f"added/{k}/tcg", centre, path=("added_weights", k, "tcg"))
        else:
            s.copy(f"added/{k}/{each}", given, path=("added_weights", k, each))


def effect(a: Sources) -> None:
    """Mass and centre of all the ice, and what it does to GM, draft and trim."""
    s, found = a.sheet, a.assessed.icing
    if found is None:
        return
    s.copy("icing/factor", _factor(a), path=("icing", "factor"))
    settled = [k for k, each in enumerate(a.assessed.added) if each.reason == "ice"]
    masses: list[Input] = [f"added/{k}/mass" for k in settled]
    if not all(s.has(str(each)) for each in masses):
        return
    s.total(
        "icing/mass", masses, name="mass of ice", unit=s.unit("mass"), value=s.here(found.mass, "mass"),
        path=("icing", "mass"),
    )  # fmt: skip
    _difference(a)
    if found.vcg is None:
        return
    pairs: list[tuple[Input, Input]] = [(f"added/{k}/mass", f"added/{k}/vcg") for k in settled]
    moment = s.products(
        "icing/moment", pairs, name="moment of ice about the baseline", unit=s.unit("moment"),
        value=s.here(found.mass * found.vcg, "moment"),
    )  # fmt: skip
    s.add(
        "icing/vcg", "expression", "M / m", {"M": moment, "m": "icing/mass"}, name="VCG of ice",
        unit=s.unit("length"), path=("icing", "vcg"),
    )  # fmt: skip


def _difference(a: Sources) -> None:
    """What ice does to GM, draft and trim: with it less without it."""
    s, state = a.sheet, before_ice(a)
    assert state is not None
    _gm_before(a, state)
    for name, node, text in (
        ("gm_loss", "gm_corrected", "x_0 - x"),
        ("draft_increase", "draft_midship", "x - x_0"),
        ("trim_change", "trim", "x - x_0"),
    ):
        if s.at(("icing", name)) is None:
            continue
        words = f"{name.replace('_', ' ').replace('gm', 'GM')} by ice"
        s.add(
            f"icing/{name}", "expression", text, {"x": node, "x_0": state.id(node)}, name=words, unit=s.unit("length"),
            path=("icing", name),
        )  # fmt: skip


def _gm_before(a: Sources, state: State) -> None:
    s, gm = a.sheet, state.ship.gm_corrected
    if gm is None:
        return
    inputs: Inputs = {
        "KM": state.id("km"), "KG": state.id("vcg_solid"), "FSM": "free_surface_moment",
        "W": state.id("displacement"),
    }  # fmt: skip
    s.add(
        state.id("gm_corrected"), "expression", "KM - KG - FSM / W", inputs,
        name=state.name("GM, corrected for free surface"), unit=s.unit("length"), value=s.here(gm, "length"),
        symbol="GM", source="2008 IS Code B/3.1.8",
    )  # fmt: skip
