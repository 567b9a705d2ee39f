"""The mark beside a verdict: shapes that differ where tones cannot be told apart."""

from markupsafe import Markup

from service.pages.drawings.svg import Sheet


def verdict_mark(verdict: str, dangers: int | None = 0, standalone: bool = False) -> Markup:
    """An open ring for pass, a solid square for fail, an interrupted ring for anything that was not decided; a small
    square inside a ring where dangers stand beside the verdict."""
    sheet = Sheet(16, 16, kind="mark", standalone=standalone)
    if verdict == "fail":
        sheet.rectangle((1.5, 1.5), 13, 13, "solid")
    elif verdict == "pass":
        sheet.circle((8, 8), 6, "accent")
    elif verdict == "not_applicable":
        sheet.line((3, 8), (13, 8), "hair")
    else:
        sheet.polyline([(5, 2.8), (2, 8), (5, 13.2)], "ink")
        sheet.polyline([(11, 2.8), (14, 8), (11, 13.2)], "ink")
    if dangers and verdict != "fail":
        sheet.rectangle((5.5, 5.5), 5, 5, "solid")
    return sheet.markup()
