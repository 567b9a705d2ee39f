"""Her lateral area above the waterline, and the height of its centroid."""

from service.core.heeling_lever import Wind, WindProfile
from service.core.interpolation import interval
from service.translation.working.sources import Sources, State


def write(a: Sources, state: State) -> None:
    """Lateral area and height of its centroid at her draft, deck cargo included, in the answer's units."""
    ship = state.ship
    profile, wind = ship.vessel.wind_profile, ship.wind
    if a.sheet.has(state.id("wind/area")) or profile is None or wind is None or ship.flotation is None:
        return
    k, part = interval(profile.draft, ship.flotation.draft_midship)
    _of_profile(a, state, profile, k, part)
    _with_additions(a, state, wind)


def _of_profile(a: Sources, state: State, profile: WindProfile, k: int, part: float) -> None:
    """Area and centroid of her profile, between rows k and k + 1."""
    s = a.sheet
    x = {
        f"x{n}": a.vessel.number(("wind_profile", k + n, "draft"), "length", "draft of the profile")
        for n in (0, 1)
    }
    for member, dimension, column in (
        ("area", "area", profile.area),
        ("centroid_height", "length", profile.centroid_height),
    ):
        y = {
            f"y{n}": a.vessel.number(("wind_profile", k + n, member), dimension, member.replace("_", " "))
            for n in (0, 1)
        }
        value = column[k] + part * (column[k + 1] - column[k])
        s.linear(
            state.id(f"wind/profile_{member}"),
            {"x": state.id("draft_midship"), **x, **y},
            name=state.name(f"{member.replace('_', ' ')} of the profile"),
            unit=s.unit(dimension),
            value=s.here(value, dimension),
            source="the vessel's booklet: wind profile",
        )


def _with_additions(a: Sources, state: State, wind: Wind) -> None:
    """The same with what the condition adds."""
    s, area, height = a.sheet, state.id("wind/profile_area"), state.id("wind/profile_centroid_height")
    additions = a.condition.document.get("wind_additions") or ()
    areas = [
        a.condition.number(("wind_additions", i, "area"), "area", f"area of {each['name']}")
        for i, each in enumerate(additions)
    ]
    heights = [
        a.condition.number(("wind_additions", i, "centroid_height"), "length", f"height of {each['name']}")
        for i, each in enumerate(additions)
    ]
    s.total(
        state.id("wind/area"), [area, *areas], name=state.name("projected lateral area"), unit=s.unit("area"),
        value=s.here(wind.area, "area"),
    )  # fmt: skip
    moment = sum(x.value * z.value for x, z in zip(areas, heights))
    s.products(
        state.id("wind/moment"), [(area, height), *zip(areas, heights)],
        name=state.name("moment of the lateral area about the baseline"), unit=s.unit("volume"),
        value=s.value(area) * s.value(height) + moment,
    )  # fmt: skip
    if s.value(state.id("wind/area")) > 0.0:
        s.add(
            state.id("wind/height"),
            "expression",
            "M / A",
            {"M": state.id("wind/moment"), "A": state.id("wind/area")},
            name=state.name("height of the centroid of the lateral area"),
            unit=s.unit("length"),
            value=s.here(wind.height, "length"),
        )
    else:
        s.copy(state.id("wind/height"), height)
