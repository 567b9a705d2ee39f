"""Wind and roll: she leans under the steady wind, rolls to windward, and a gust strikes; areas a and b."""

from collections.abc import Callable
from dataclasses import dataclass
from math import cos, radians

from markupsafe import Markup

from service.pages.drawings.measure import detail, lever_at
from service.pages.drawings.righting_lever_plot import BOTTOM, TOP, WIDTH, Frame, draw_axes
from service.pages.drawings.svg import Sheet
from service.wire.assessment import Assessment
from service.wire.figures import figure, rounded
from service.wire.righting_lever import RightingLever

RIGHT = 280.0
"""The plot ends there; what the lines of the wind are stands right of it."""
KEY = "weather_areas"
Lever = Callable[[float], float]


@dataclass(frozen=True)
class Wind:
    """What the weather criterion found, in the units of the answer. windward, area_a: None where she does not rest
    upright enough to roll."""

    steady: float
    gust: float
    leans: float
    roll: float | None
    windward: float | None
    first: float
    end: float
    area_a: float | None
    area_b: float

    @classmethod
    def of(cls, answer: Assessment) -> "Wind | None":
        """None where the criterion was not judged, or not as far as the areas."""
        known = {key: detail(answer, KEY, key) for key in _NEEDED}
        if any(value is None for value in known.values()):
            return None
        return cls(
            steady=known["steady_wind_lever"] or 0.0,
            gust=known["gust_wind_lever"] or 0.0,
            leans=known["steady_wind_angle"] or 0.0,
            roll=detail(answer, KEY, "roll_angle"),
            windward=detail(answer, KEY, "windward_angle"),
            first=known["first_intercept"] or 0.0,
            end=known["end_of_area_b"] or 0.0,
            area_a=detail(answer, KEY, "area_a"),
            area_b=known["area_b"] or 0.0,
        )


_NEEDED = (
    *("steady_wind_lever", "gust_wind_lever", "steady_wind_angle"),
    *("first_intercept", "end_of_area_b", "area_b"),
)


def wind_plot(answer: Assessment, *, name: str = "wind", standalone: bool = False) -> Markup:
    """The plot; empty where the criterion was not judged or she has no curve."""
    curve, wind = answer["righting_lever"], Wind.of(answer)
    if curve is None or wind is None:
        return Markup("")
    lever = _both_sides(answer, curve)
    frame = _frame(curve, wind, lever)
    sheet = Sheet(
        WIDTH,
        BOTTOM + 62.0,
        name=name,
        title="Wind and roll",
        description=wind_in_words(answer),
        kind="wind",
        standalone=standalone,
    )
    if wind.windward is not None:
        _between(sheet, frame, lever, (max(wind.windward, frame.first), wind.first), wind.gust, "wash-deep")
    _between(sheet, frame, lever, (wind.first, wind.end), wind.gust, "wash")
    draw_axes(sheet, frame, answer)
    steps = int((frame.last - frame.first) * 2.0)
    heels = [frame.first + i / 2.0 for i in range(steps + 1)]
    sheet.polyline([frame.at(h, lever(h)) for h in heels if frame.low <= lever(h) <= frame.high], "accent")
    _winds(sheet, frame, wind)
    _angles(sheet, frame, wind)
    _areas(sheet, frame, wind)
    return sheet.markup()


def _both_sides(answer: Assessment, curve: RightingLever) -> Lever:
    """The levers to leeward as answered; to windward the same hull, her weight off centre on the other side."""
    off = answer["tcg"] * (1.0 if curve["side"] == "port" else -1.0)

    def lever(heel: float) -> float:
        if heel >= 0.0:
            return lever_at(curve, heel)
        return -(lever_at(curve, -heel) + 2.0 * off * cos(radians(heel)))

    return lever


def _frame(curve: RightingLever, wind: Wind, lever: Lever) -> Frame:
    first = 0.0 if wind.windward is None else 10.0 * ((wind.windward - 3.0) // 10.0)
    last = min(curve["heels"][-1], 70.0 if wind.end > 52.0 else 60.0)
    levers = [lever(first + i) for i in range(int(last - first) + 1)]
    high = 1.2 * max(*levers, wind.gust, 0.02)
    return Frame(first, last, max(min(1.1 * min(levers), -0.08 * high), -0.8 * high), high, RIGHT)


def _between(
    sheet: Sheet, frame: Frame, lever: Lever, span: tuple[float, float], level: float, tone: str
) -> None:
    """The surface between the curve and the lever of the gust."""
    start, end = span
    if end <= start:
        return
    heels = [start + (end - start) * i / 60.0 for i in range(61)]
    top = [frame.at(h, max(lever(h), frame.low)) for h in heels]
    sheet.polygon([*top, frame.at(end, level), frame.at(start, level)], tone)


def _winds(sheet: Sheet, frame: Frame, wind: Wind) -> None:
    start = 0.0 if wind.windward is None else wind.windward
    heights = []
    for lever in (wind.steady, wind.gust):
        x, y = frame.at(start, lever)
        sheet.line((x, y), (RIGHT + 4, y), "ink")
        heights.append(y)
    steady, gust = heights
    apart, middle = max(7.0, (steady - gust) / 2.0), (steady + gust) / 2.0
    sheet.text((RIGHT + 7, middle - apart + 3), f"gust {rounded(wind.gust, 3)}", "label")
    sheet.text((RIGHT + 7, middle + apart + 5), f"steady {rounded(wind.steady, 3)}", "label")


def _angles(sheet: Sheet, frame: Frame, wind: Wind) -> None:
    """How far she leans and rolls, above the plot."""
    leans, _ = frame.at(wind.leans, 0.0)
    if wind.windward is None or wind.roll is None:
        sheet.line((leans, 10), (leans, BOTTOM), "dash")
        words = f"leans {wind.leans:.1f}° under steady wind"
        right = leans < WIDTH / 2.0
        sheet.text((leans + (5 if right else -5), 18), words, "label-halo", "start" if right else "end")
    else:
        windward, _ = frame.at(wind.windward, 0.0)
        sheet.line((windward, 14), (leans, 14), "ink")
        sheet.line((windward, 10), (windward, BOTTOM), "dash")
        sheet.line((leans, 10), (leans, 18), "ink")
        words = f"rolls {wind.roll:.1f}° to windward from {wind.leans:.1f}°"
        sheet.text((leans + 6, 18), words, "label-halo")
    end, _ = frame.at(min(wind.end, frame.last), 0.0)
    sheet.line((end, TOP), (end, BOTTOM), "dash")


def _areas(sheet: Sheet, frame: Frame, wind: Wind) -> None:
    """Brackets below the axis."""
    first, _ = frame.at(wind.first, 0.0)
    end, _ = frame.at(min(wind.end, frame.last), 0.0)
    fails = wind.area_a is not None and wind.area_b < wind.area_a
    y = BOTTOM + 28.0
    if wind.area_a is not None and wind.windward is not None:
        windward, _ = frame.at(wind.windward, 0.0)
        _bracket(sheet, windward, first, y, "ink")
        sheet.text((first + 6, y + 4), f"area a {rounded(wind.area_a, 3)}", "label")
    y += 15.0
    if end > first:
        _bracket(sheet, first, end, y, "fat" if fails else "ink")
    words = f"area b {rounded(wind.area_b, 3)}"
    words += "; no area a, not upright" if wind.area_a is None else f", needs {rounded(wind.area_a, 3)}"
    sheet.text((first, y + 16), words, "label-bold" if fails else "label")


def _bracket(sheet: Sheet, left: float, right: float, y: float, tone: str) -> None:
    sheet.line((left, y), (right, y), tone)
    sheet.line((left, y - 4), (left, y + 4), "ink")
    sheet.line((right, y - 4), (right, y + 4), "ink")


def wind_in_words(answer: Assessment) -> str:
    """The same as sentences; empty where there is nothing to draw."""
    wind, system = Wind.of(answer), answer["units"]["system"]
    if wind is None:
        return ""
    leans = (
        f"Wind levers steady {figure(wind.steady, 'lever', system)}, gust {figure(wind.gust, 'lever', system)}. "
        f"She leans {wind.leans:.1f}° under the steady wind"
    )
    area = figure(wind.area_b, "lever_area", system)
    if wind.area_a is None or wind.roll is None:
        return f"{leans}. Area b is {area}; there is no area a, she does not rest upright."
    other = figure(wind.area_a, "lever_area", system)
    return f"{leans} and rolls {wind.roll:.1f}° to windward. Area a is {other}, area b {area}."
