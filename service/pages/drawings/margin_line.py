"""The margin line: from zero to twice the requirement, a tick at the requirement, a mark at what is attained."""

from markupsafe import Markup

from service.pages.drawings.svg import Sheet

WIDTH, HEIGHT = 96.0, 14.0


def margin_line(
    attained: float | None, limit: float | None, comparison: str, fails: bool, standalone: bool = False
) -> Markup:
    """Drawn for the eye only: the figures stand beside it. Empty where there is nothing to compare.

    The stretch where the requirement is met is drawn thick. A mark beyond either end becomes an arrow head there.
    """
    if attained is None or limit is None or limit <= 0.0:
        return Markup("")
    sheet = Sheet(WIDTH, HEIGHT, kind="line", standalone=standalone)
    middle, left, right = HEIGHT / 2, 5.0, WIDTH - 5.0
    tick = (left + right) / 2
    sheet.line((left, middle), (right, middle), "hair")
    met = ((tick, middle), (right, middle)) if comparison == ">=" else ((left, middle), (tick, middle))
    sheet.line(*met, "accent")
    sheet.line((tick, 1.5), (tick, HEIGHT - 1.5), "ink")
    share = attained / (2.0 * limit)
    x = left + (right - left) * min(max(share, 0.0), 1.0)
    tone = "solid" if fails else "open"
    if share > 1.0:
        sheet.polygon([(x - 4, middle - 4), (x + 4, middle), (x - 4, middle + 4)], tone)
    elif share < 0.0:
        sheet.polygon([(x + 4, middle - 4), (x - 4, middle), (x + 4, middle + 4)], tone)
    elif fails:
        sheet.rectangle((x - 3.5, middle - 3.5), 7, 7, tone)
    else:
        sheet.circle((x, middle), 3.5, tone)
    return sheet.markup()
