"""The drawings as XML: what they show is what the figures say."""

import re
from copy import deepcopy
from typing import Any
from xml.etree import ElementTree

import pytest

from service.pages.drawings.gm_ledger import TOP, gm_ledger, required_gm, slices_of
from service.pages.drawings.hull_shape import HullShape
from service.pages.drawings.level_bar import FULL, level_bar
from service.pages.drawings.margin_line import WIDTH, margin_line
from service.pages.drawings.measure import lever_at
from service.pages.drawings.righting_lever_plot import (
    LEFT,
    RIGHT,
    Compared,
    lever_in_words,
    righting_lever_plot,
    table_of_levers,
)
from service.pages.drawings.svg import Sheet, coordinate, ticks
from service.pages.drawings.table_plot import Series, table_plot
from service.pages.drawings.verdict_mark import verdict_mark
from service.pages.drawings.waterline_sketch import end_view, heights_in_words, side_view
from service.pages.drawings.wind_plot import wind_plot
from tests.api.office import vessel_document
from tests.pages.conftest import assessment

SHAPE = HullShape.of(vessel_document(), "metric")


def drawn(markup: str) -> ElementTree.Element:
    return ElementTree.fromstring(markup)


def rectangles(svg: ElementTree.Element, tone: str) -> list[dict[str, float]]:
    return [
        {name: float(r.attrib[name]) for name in ("x", "y", "width", "height")}
        for r in svg.iter("rect")
        if r.get("class") == tone
    ]


def last_heel(svg: ElementTree.Element) -> float:
    """The heel at the right end of a plot, from the numbers under its axis."""
    at = {
        float(text.attrib["x"]): float((text.text or "").removesuffix("°"))
        for text in svg.iter("text")
        if re.fullmatch(r"\d+°", text.text or "")
    }
    (x0, h0), (x1, h1) = min(at.items()), max(at.items())
    return h0 + (RIGHT - x0) * (h1 - h0) / (x1 - x0)


def words_of(svg: ElementTree.Element) -> str:
    return " | ".join(text.text or "" for text in svg.iter("text"))


def test_no_drawing_needs_what_the_content_policy_refuses(answer: dict[str, Any]) -> None:
    for markup in (
        gm_ledger(answer),
        side_view(answer, SHAPE),
        end_view(answer, SHAPE),
        righting_lever_plot(answer),
        wind_plot(answer),
        level_bar(40, 98),
        margin_line(1.0, 2.0, ">=", True),
    ):
        assert "style=" not in markup
        assert "<style" not in markup
        assert "xlink" not in markup


def test_drawings_with_meaning_have_a_title_and_a_description(answer: dict[str, Any]) -> None:
    drawings = (gm_ledger(answer), side_view(answer, SHAPE), righting_lever_plot(answer), wind_plot(answer))
    for markup in drawings:
        svg = drawn(markup)
        named, described = svg.attrib["aria-labelledby"], svg.attrib["aria-describedby"]
        parts = {part.get("id"): part.text for part in svg if part.get("id")}
        assert parts[named]
        assert len(parts[described] or "") > 40


def test_drawings_beside_their_figures_are_for_the_eye_only() -> None:
    for markup in (level_bar(40, 98), margin_line(1.0, 2.0, ">=", False), verdict_mark("pass")):
        assert drawn(markup).attrib["aria-hidden"] == "true"


def test_names_are_escaped() -> None:
    sheet = Sheet(10, 10, name="x", title='<b>&"', description="</desc><script>")
    sheet.text((1, 1), "<i>")
    svg = drawn(sheet.markup())
    assert [child.tag for child in svg] == ["title", "desc", "text"]
    assert svg[2].text == "<i>"


def test_the_ledger_shares_out_the_solid_gm(answer: dict[str, Any]) -> None:
    """Slices and corrected GM together are as wide as GM solid, at one scale."""
    svg = drawn(gm_ledger(answer))
    lower = [
        r for tone in ("solid-accent", "wash", "wash-deep") for r in rectangles(svg, tone) if r["y"] == TOP
    ]
    corrected = next(r for r in rectangles(svg, "solid-accent") if r["y"] == TOP)
    scale = corrected["width"] / answer["stability"]["gm_corrected"]
    total = max(r["x"] + r["width"] for r in lower) - min(r["x"] for r in lower)
    assert total == pytest.approx(answer["stability"]["gm_solid"] * scale, abs=1.2)


def test_slices_are_in_order_of_loss_and_add_up_to_the_correction(answer: dict[str, Any]) -> None:
    slices = slices_of(answer)
    losses = [s.loss for s in slices]
    assert losses == sorted(losses, reverse=True)
    assert sum(losses) == pytest.approx(answer["free_surface_correction"], rel=1e-9)


def test_each_drawn_slice_links_to_its_tank(answer: dict[str, Any]) -> None:
    svg = drawn(gm_ledger(answer))
    targets = [link.attrib["href"] for link in svg.iter("a")]
    assert targets
    assert {t.removeprefix("#tank-") for t in targets} <= {*(t["tank"] for t in answer["tanks"]), "#tanks"}
    assert not list(drawn(gm_ledger(answer, links=False)).iter("a"))


def test_the_required_gm_is_the_greatest_that_any_clause_asks(answer: dict[str, Any]) -> None:
    asked = [c["limit"] for c in answer["criteria"] if c["key"] == "gm"]
    required = required_gm(answer)
    assert required is not None
    assert required.value == max(asked)


def test_the_ledger_of_a_ship_that_lolls_reaches_below_zero() -> None:
    lolling = assessment("timber-loll")
    assert lolling["stability"]["gm_corrected"] < 0
    svg = drawn(gm_ledger(lolling))
    assert not [r for r in rectangles(svg, "solid-accent") if r["y"] == TOP]
    assert all(0 <= r["x"] <= 360 for tone in ("wash", "wash-deep") for r in rectangles(svg, tone))


def test_the_margin_line_has_its_tick_in_the_middle_and_its_mark_where_the_value_is() -> None:
    svg = drawn(margin_line(0.9, 0.6, ">=", False))
    tick = next(line for line in svg.iter("line") if line.attrib["x1"] == line.attrib["x2"])
    assert float(tick.attrib["x1"]) == WIDTH / 2
    mark = next(svg.iter("circle"))
    assert float(mark.attrib["cx"]) == pytest.approx(5 + (WIDTH - 10) * 0.75, abs=0.06)


def test_a_failing_mark_differs_in_shape() -> None:
    assert not list(drawn(margin_line(0.5, 0.6, ">=", True)).iter("circle"))
    assert list(drawn(margin_line(0.5, 0.6, ">=", True)).iter("rect"))
    shapes = {v: [e.tag for e in drawn(verdict_mark(v))] for v in ("pass", "fail", "not_computable")}
    assert len({tuple(s) for s in shapes.values()}) == 3


@pytest.mark.parametrize(("value", "points_right"), [(5.0, True), (-1.0, False)])
def test_a_value_beyond_the_line_becomes_an_arrow(value: float, points_right: bool) -> None:
    points = next(drawn(margin_line(value, 1.0, ">=", False)).iter("polygon")).attrib["points"]
    xs = [float(p.split(",")[0]) for p in points.split()]
    assert (xs[1] > xs[0]) is points_right


@pytest.mark.parametrize(("attained", "limit"), [(None, 1.0), (1.0, None), (1.0, 0.0)])
def test_nothing_to_compare_draws_nothing(attained: float | None, limit: float | None) -> None:
    assert margin_line(attained, limit, ">=", False) == ""


def test_the_level_bar_is_as_long_as_the_tank_is_full() -> None:
    assert rectangles(drawn(level_bar(25.0, 98.0)), "wash-deep")[0]["width"] == pytest.approx(FULL / 4)
    assert rectangles(drawn(level_bar(103.0, 98.0)), "solid")
    assert not rectangles(drawn(level_bar(100.0, 98.0)), "solid")


def test_the_keel_lies_under_the_water_by_her_drafts(answer: dict[str, Any]) -> None:
    """At the perpendiculars and amidships, at one scale, which is the one the words name."""
    svg = drawn(side_view(answer, SHAPE))
    places = sorted(
        (float(line.attrib["x1"]), float(line.attrib["y2"]) - float(line.attrib["y1"]))
        for line in svg.iter("line")
        if line.get("class") == "dash" and line.attrib["x1"] == line.attrib["x2"]
    )
    f = answer["flotation"]
    drafts = (f["draft_aft"], f["draft_midship"], f["draft_forward"])
    scale = places[0][1] / drafts[0]
    assert [deep / scale for _, deep in places] == pytest.approx(drafts, abs=0.02)
    along = (places[2][0] - places[0][0]) / SHAPE.length_bp
    times = float(heights_in_words(SHAPE, answer).split()[1])
    assert scale / along == pytest.approx(times, abs=0.06)


def test_the_mark_lies_above_the_water_by_what_is_left(answer: dict[str, Any]) -> None:
    light = assessment("ballast-departure")
    svg = drawn(side_view(light, SHAPE))
    water = next(float(e.attrib["y1"]) for e in svg.iter("line") if e.get("class") == "accent")
    midship = next(
        e
        for e in svg.iter("line")
        if e.get("class") == "dash" and e.attrib["x1"] == e.attrib["x2"] and 100 < float(e.attrib["x1"]) < 250
    )
    scale = (float(midship.attrib["y2"]) - water) / light["flotation"]["draft_midship"]
    mark = next(float(e.attrib["cy"]) for e in svg.iter("circle"))
    assert (water - mark) / scale == pytest.approx(light["load_line"]["margin"], abs=0.03)
    assert "S 1.45 m above" in words_of(svg)
    assert "S 31 mm above" in words_of(drawn(side_view(answer, SHAPE)))


def test_a_ship_measured_from_amidships_aft_has_her_bow_to_the_right() -> None:
    """Ostrel's document counts x from amidships, positive aft, in feet."""
    shape = HullShape.of(vessel_document("ostrel"), "metric")
    assert shape.length_bp == pytest.approx(190.0 * 0.3048)
    assert shape.deck[-1][1] > shape.deck[0][1]  # the sheer rises forward
    assert shape.ends[0] <= 0.0
    assert shape.ends[1] > shape.length_bp


@pytest.mark.parametrize(("side", "turned"), [(1.0, -1), (-1.0, 1)])
def test_the_end_view_seen_from_aft_turns_to_the_low_side(
    answer: dict[str, Any], side: float, turned: int
) -> None:
    listing = deepcopy(answer)
    listing["flotation"]["list"] = {"angle": 4.0 * side, "side": "port" if side > 0 else "starboard"}
    turn = next(g.attrib["transform"] for g in drawn(end_view(listing, SHAPE)).iter("g"))
    found = re.match(r"rotate\((-?[\d.]+)", turn)
    assert found is not None
    assert float(found[1]) == 4.0 * turned
    assert ("port" if side > 0 else "starboard") in words_of(drawn(end_view(listing, SHAPE)))


def test_the_curve_passes_through_its_points(answer: dict[str, Any]) -> None:
    svg = drawn(righting_lever_plot(answer))
    line = next(p for p in svg.iter("polyline") if p.get("class") == "accent")
    points = [tuple(map(float, p.split(","))) for p in line.attrib["points"].split()]
    greatest = min(points, key=lambda p: p[1])
    curve = answer["righting_lever"]
    heel = (greatest[0] - LEFT) / (RIGHT - LEFT) * last_heel(svg)
    assert heel == pytest.approx(curve["angle_of_maximum"], abs=1.0)
    assert lever_at(curve, 10.5) == pytest.approx((curve["levers"][10] + curve["levers"][11]) / 2)


def test_what_counts_and_what_lies_beyond_have_strokes_of_their_own(answer: dict[str, Any]) -> None:
    """The line ends at the end of the range, the dotted one goes on from there and is labelled."""
    svg = drawn(righting_lever_plot(answer))
    curve, lines = answer["righting_lever"], {}
    for line in svg.iter("polyline"):
        points = [tuple(map(float, p.split(","))) for p in line.attrib["points"].split()]
        lines[line.attrib["class"]] = [(x - LEFT) / (RIGHT - LEFT) * last_heel(svg) for x, _ in points]
    end = curve["range_end"]["angle"]
    assert curve["range_end"]["reason"] == "down_flooding"
    assert lines["accent"][-1] == pytest.approx(end, abs=0.02)
    assert lines["beyond"][0] == pytest.approx(end, abs=0.02)
    assert max(lines["accent"]) <= min(lines["beyond"]) + 1e-9
    words = lever_in_words(answer)
    assert words.index("that counts") < words.index("which does not count")
    assert f"levers count to {end:.1f}°, where she floods" in words


def test_a_maximum_beyond_the_end_of_the_range_is_not_marked(answer: dict[str, Any]) -> None:
    """A ship that floods at 29 degrees whose curve goes on rising."""
    flooded = deepcopy(answer)
    curve = flooded["righting_lever"]
    whole = (curve["maximum"], curve["angle_of_maximum"])
    curve |= {"maximum": lever_at(curve, 29.0), "angle_of_maximum": 29.0, "vanishing_angle": None}
    curve["range_end"] = {"angle": 29.0, "reason": "down_flooding"}
    curve["beyond"] = {"maximum": whole[0], "angle_of_maximum": whole[1], "vanishing_angle": 59.8}
    seen = words_of(drawn(righting_lever_plot(flooded)))
    assert f"{curve['maximum']:.3f} at 29.0°" in seen
    assert f"{whole[0]:.3f} at {whole[1]:.1f}°" not in seen
    assert f"the curve reaches {whole[0]:.3f} m at {whole[1]:.1f}°" in lever_in_words(flooded)


def test_a_curve_that_counts_to_its_end_has_nothing_beyond(answer: dict[str, Any]) -> None:
    whole = deepcopy(answer)
    last = whole["righting_lever"]["heels"][-1]
    whole["righting_lever"] |= {"range_end": {"angle": last, "reason": "end_of_cross_curves"}, "beyond": None}
    svg = drawn(righting_lever_plot(whole))
    assert "beyond" not in {p.get("class") for p in svg.iter("polyline")}


def test_a_pass_with_a_danger_has_a_mark_of_its_own() -> None:
    shapes = {d: [e.tag for e in drawn(verdict_mark("pass", d))] for d in (0, 1)}
    assert shapes == {0: ["circle"], 1: ["circle", "rect"]}
    assert verdict_mark("fail", 2) == verdict_mark("fail")
    assert verdict_mark("pass", None) == verdict_mark("pass")


def test_areas_maximum_flooding_deck_edge_and_requirement_are_in_the_plot(answer: dict[str, Any]) -> None:
    """Every judged area has its bracket with both figures; nothing is named that the answer does not hold."""
    seen = words_of(drawn(righting_lever_plot(answer)))
    curve = answer["righting_lever"]
    for row in answer["criteria"]:
        if row["key"] in ("area_to_30", "area_to_40", "area_30_to_40"):
            assert f"{row['attained']:.3f}, needs {row['limit']:.3f}" in seen
    assert f"{curve['maximum']:.3f} at {curve['angle_of_maximum']:.1f}°" in seen
    assert f"floods {curve['down_flooding']['angle']:.1f}°" in seen
    assert f"deck edge {curve['deck_edge_angle']:.1f}°" in seen
    assert "needs 0.20" in seen
    assert "GZ, m" in seen
    assert "m·rad" in seen


def test_the_wind_plot_has_both_winds_the_roll_and_both_areas(answer: dict[str, Any]) -> None:
    svg = drawn(wind_plot(answer))
    details = {
        d["key"]: d["value"] for c in answer["criteria"] if c["key"] == "weather_areas" for d in c["details"]
    }
    seen = words_of(svg)
    assert f"gust {details['gust_wind_lever']:.3f}" in seen
    assert f"steady {details['steady_wind_lever']:.3f}" in seen
    assert f"rolls {details['roll_angle']:.1f}° to windward from {details['steady_wind_angle']:.1f}°" in seen
    assert f"area a {details['area_a']:.3f}" in seen
    assert f"area b {details['area_b']:.3f}, needs {details['area_a']:.3f}" in seen
    assert wind_plot({**answer, "criteria": []}) == ""


def test_a_ship_that_does_not_rest_upright_has_no_area_a() -> None:
    svg = drawn(wind_plot(assessment("timber-loll")))
    assert "no area a, not upright" in words_of(svg)
    assert not [p for p in svg.iter("polygon") if p.get("class") == "wash-deep"]


def test_a_ship_without_cross_curves_has_words_instead_of_a_plot(answer: dict[str, Any]) -> None:
    bare = {**answer, "righting_lever": None}
    assert righting_lever_plot(bare) == ""
    assert "no cross curves" in lever_in_words(bare)


def test_unknown_openings_are_said_to_be_unknown(answer: dict[str, Any]) -> None:
    blind = deepcopy(answer)
    blind["righting_lever"]["down_flooding"] = {"known": False, "angle": None, "opening": None, "name": None}
    assert "not known" in lever_in_words(blind)


def test_two_curves_in_one_plot_are_told_apart_by_more_than_tone(answer: dict[str, Any]) -> None:
    other = assessment("timber-gm-fails")["righting_lever"]
    svg = drawn(righting_lever_plot(answer, compared=Compared("revision 1", other, "revision 2")))
    assert {p.get("class") for p in svg.iter("polyline")} == {"accent", "before", "beyond"}
    assert "revision 2 | revision 1" in words_of(svg)


def test_the_table_of_levers_holds_the_curve(answer: dict[str, Any]) -> None:
    rows = table_of_levers(answer["righting_lever"])
    assert [heel for heel, _, _ in rows][:4] == [0.0, 5.0, 10.0, 15.0]
    assert {heel: lever for heel, lever, _ in rows}[40.0] == answer["righting_lever"]["levers"][40]
    end = answer["righting_lever"]["range_end"]["angle"]
    assert [counts for _, _, counts in rows] == [heel <= end for heel, _, _ in rows]
    assert not rows[-1][2]


def test_a_standalone_drawing_brings_its_own_tones(answer: dict[str, Any]) -> None:
    svg = drawn(righting_lever_plot(answer, standalone=True))
    name = "{http://www.w3.org/2000/svg}"
    assert svg.tag == f"{name}svg"
    assert all(line.get("stroke") for line in svg.iter(f"{name}line"))


def test_every_row_of_a_table_is_a_dot_and_a_doubted_one_is_framed() -> None:
    plot = table_plot("p", "KM, m", "draft, m", [Series([1, 2, 3, 4], [5, 4, 9, 3])], doubtful=[(3, 9)])
    svg = drawn(plot)
    assert len(list(svg.iter("circle"))) == 4
    frame = rectangles(svg, "accent")[0]
    dots = [(float(c.attrib["cx"]), float(c.attrib["cy"])) for c in svg.iter("circle")]
    assert (frame["x"] + 5, frame["y"] + 5) == pytest.approx(dots[2], abs=0.11)


@pytest.mark.parametrize(
    ("low", "high", "about", "expected"),
    [
        (0, 80, 8, [0, 10, 20, 30, 40, 50, 60, 70, 80]),
        (-0.1, 0.33, 5, [-0.1, 0, 0.1, 0.2, 0.3]),
        (3, 3, 4, [3]),
    ],
)
def test_ticks_are_round_and_inside(low: float, high: float, about: int, expected: list[float]) -> None:
    assert ticks(low, high, about) == pytest.approx(expected)


def test_coordinates_have_at_most_one_decimal_and_no_negative_zero() -> None:
    assert [coordinate(v) for v in (1.04, 2.0, -0.04, -3.25, 10.0)] == ["1", "2", "0", "-3.2", "10"]
