"""She floats like this: a line for the hull, a line for the water, drafts at their places, the list as an end view."""

from typing import NamedTuple, Self

from markupsafe import Markup

from service.pages.drawings.svg import Sheet
from service.wire.assessment import Assessment
from service.wire.fields import UnitSystem
from service.wire.figures import figure, list_in_words, trim_in_words
from service.wire.verdict_words import not_computed_in_words

WIDTH, HEIGHT = 360.0, 132.0
AFT, FORWARD, WATER = 26.0, 218.0, 58.0
"""Places of the perpendiculars and of the water in the side view."""
END_VIEW = (308.0, 58.0)
TALLEST = 46.0
"""Height of the deepest draft in the drawing: heights are drawn larger than lengths."""


def floats_in_words(answer: Assessment) -> str:
    """Drafts, trim and list as sentences, or why they are not known."""
    f, system = answer["flotation"], answer["units"]["system"]
    if f["draft_midship"] is None:
        return not_computed_in_words(answer, "flotation")
    return (
        f"Draft aft {figure(f['draft_aft'], 'draft', system)}, amidships "
        f"{figure(f['draft_midship'], 'draft', system)}, forward {figure(f['draft_forward'], 'draft', system)}, "
        f"moulded, at the perpendiculars. Trim {trim_in_words(f['trim'], system)}. {lies(answer)}"
    )


def lies(answer: Assessment) -> str:
    """How she lies, as a sentence, or why that is not known."""
    listed = answer["flotation"]["list"]
    unknown = not_computed_in_words(answer, "list")
    if listed["angle"] is None and unknown:
        return unknown
    if listed["side"] == "either":
        loll = answer["stability"]["angle_of_loll"]
        return "She lolls to either side." if loll is None else f"She lolls {abs(loll):.1f}° to either side."
    words = list_in_words(listed["angle"])
    if answer["stability"]["angle_of_loll"] is not None:
        return f"She lolls {words}."
    return "Upright." if words == "upright" else f"List {words}."


def waterline_sketch(answer: Assessment, *, name: str = "floats", standalone: bool = False) -> Markup:
    """Side view (forward to the right) and end view (seen from aft) of one assessment; empty where her drafts are not
    known."""
    f = answer["flotation"]
    drafts = _Drafts.of(f["draft_aft"], f["draft_midship"], f["draft_forward"])
    if drafts is None:
        return Markup("")
    sheet = Sheet(
        WIDTH,
        HEIGHT,
        name=name,
        title="She floats like this",
        description=floats_in_words(answer),
        kind="floats",
        standalone=standalone,
    )
    _side_view(sheet, drafts, answer["units"]["system"])
    _end_view(sheet, answer)
    return sheet.markup()


class _Drafts(NamedTuple):
    """Drafts that are all known."""

    aft: float
    midship: float
    forward: float

    @classmethod
    def of(cls, aft: float | None, midship: float | None, forward: float | None) -> Self | None:
        return None if aft is None or midship is None or forward is None else cls(aft, midship, forward)


def _side_view(sheet: Sheet, drafts: _Drafts, system: UnitSystem) -> None:
    aft, forward = drafts.aft, drafts.forward
    deepest = max(*drafts, 1e-6)
    scale = TALLEST / deepest
    deck = 1.38 * deepest

    def at(x: float, z: float) -> tuple[float, float]:
        """x: 0 aft to 1 forward perpendicular; z: height above the baseline."""
        draft = aft + (forward - aft) * x
        return AFT + (FORWARD - AFT) * x, WATER - (z - draft) * scale

    sheet.line((4, WATER), (FORWARD + 24, WATER), "accent")
    sheet.polygon(
        [
            at(-0.05, deck),
            at(-0.05, deepest * 0.75),
            at(0.05, 0.0),
            at(0.95, 0.0),
            at(1.0, deepest * 0.12),
            at(1.07, deck * 1.12),
            at(0.86, deck * 1.06),
            at(0.84, deck),
        ],
        "ink",
    )
    places = (
        (0.03, "aft", drafts.aft, "start"),
        (0.5, "amidships", drafts.midship, "middle"),
        (0.97, "forward", drafts.forward, "end"),
    )
    for x, word, draft, anchor in places:
        keel = at(x, 0.0)
        sheet.line((keel[0], WATER), keel, "dash")
        place = {"start": 4.0, "middle": keel[0], "end": FORWARD + 24}[anchor]
        sheet.text((place, 120), word, "label-quiet", anchor)  # type: ignore[arg-type]
        sheet.text((place, 131 - 1), figure(draft, "draft", system), "label", anchor)  # type: ignore[arg-type]


def _end_view(sheet: Sheet, answer: Assessment) -> None:
    x, y = END_VIEW
    angle = answer["flotation"]["list"]["angle"]
    if angle is None and not_computed_in_words(answer, "list"):
        sheet.text((x, y), "list not known", "label", "middle")
        return
    angle = angle or 0.0
    # Seen from aft, port is on the left: a list to port turns her anticlockwise.
    sheet.begin_turn(-angle, (x, y))
    sheet.polyline(
        [
            (x - 26, y - 20),
            (x - 26, y + 14),
            (x - 20, y + 22),
            (x + 20, y + 22),
            (x + 26, y + 14),
            (x + 26, y - 20),
        ],
        "ink",
    )
    sheet.line((x - 26, y - 20), (x + 26, y - 20), "ink")
    sheet.line((x, y - 26), (x, y + 26), "dash")
    sheet.end()
    sheet.line((x - 44, y), (x + 44, y), "accent")
    sheet.text((x - 46, 120), "port", "label-quiet")
    sheet.text((x + 46, 120), "starboard", "label-quiet", "end")
    words = lies(answer).removesuffix(".").replace("List ", "").replace("She lolls", "lolls")
    sheet.text((x, 130), words, "label", "middle")
