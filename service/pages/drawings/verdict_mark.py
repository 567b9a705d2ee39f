"""The mark beside a verdict: shapes that differ where tones cannot be told apart."""

from markupsafe import Markup

from service.pages.drawings.svg import Sheet


def verdict_mark(verdict: str, dangers: int | None = 0, standalone: bool = False) -> Markup:
    """An open ring for pass, a solid square for fail, a broken ring for anything that was not decided; a small square
    inside a ring where dangers stand beside the verdict. Further: an arrow back for returned, an hourglass for what
    waits, a short line for what does not apply."""
    sheet = Sheet(16, 16, kind="mark", standalone=standalone)
    if verdict == "fail":
        sheet.rectangle((1.5, 1.5), 13, 13, "solid")
    elif verdict in ("pass", "accepted"):
        sheet.circle((8, 8), 7 if dangers else 6, "accent")
    elif verdict == "not_applicable":
        sheet.line((3, 8), (13, 8), "hair")
    elif verdict == "returned":
        sheet.path("M14 12V6H3M6.5 2.2 2.8 6l3.7 3.8", "fat")
    elif verdict == "waiting":
        sheet.path("M3 3h10L8 8l5 5H3l5-5z", "fat")
    else:
        sheet.polyline([(5.5, 2.3), (2, 8), (5.5, 13.7)], "fat")
        sheet.polyline([(10.5, 2.3), (14, 8), (10.5, 13.7)], "fat")
    if dangers and verdict != "fail":
        sheet.rectangle((5, 5), 6, 6, "solid")
    return sheet.markup()
