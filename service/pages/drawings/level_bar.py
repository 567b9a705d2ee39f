"""The level bar: how full a tank is, with her normal limit marked."""

from markupsafe import Markup

from service.pages.drawings.svg import Sheet

WIDTH, HEIGHT = 74.0, 12.0
FULL = 62.0


def level_bar(fill: float, limit: float, standalone: bool = False) -> Markup:
    """fill, limit: percent of capacity. More than full sticks out of the end. For the eye only."""
    sheet = Sheet(WIDTH, HEIGHT, kind="bar", standalone=standalone)
    sheet.rectangle((0.5, 2.5), min(max(fill, 0.0), 100.0) / 100.0 * FULL, 7, "wash-deep")
    if fill > 100.0:
        sheet.rectangle((0.5 + FULL, 1), min((fill - 100.0) / 100.0 * FULL, 4.0) + 4.0, 10, "solid")
    sheet.polyline([(0.5, 2.5), (0.5 + FULL, 2.5), (0.5 + FULL, 9.5), (0.5, 9.5), (0.5, 2.5)], "hair")
    mark = 0.5 + limit / 100.0 * FULL
    sheet.line((mark, 0), (mark, HEIGHT), "ink")
    return sheet.markup()
