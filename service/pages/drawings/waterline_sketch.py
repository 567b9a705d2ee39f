"""How she floats: a side view and an end view from her own length, depth, deck line, mark and drafts, and the same in
words."""

from typing import NamedTuple, Self

from markupsafe import Markup

from service.pages.draft_amidships import amidships_in_words, deflection_of, sag_or_hog
from service.pages.drawings.hull_shape import HullShape
from service.pages.drawings.svg import Anchor, Point, Sheet
from service.wire.assessment import Assessment
from service.wire.fields import UnitSystem
from service.wire.figures import figure, list_in_words, number, trim_in_words, unit
from service.wire.verdict_words import draft_margin, not_computed_in_words

WIDTH, LEFT, RIGHT = 360.0, 12.0, 348.0
TALLER, TALLEST = 2.5, 92.0
"""Heights are drawn so much larger than lengths, but the hull no taller than this."""
END_WIDTH, END_BEAM, END_TALLEST = 150.0, 96.0, 80.0
CLOSE = 9.0
"""Words nearer than this to the water stand beside it instead."""


def floats_in_words(answer: Assessment) -> str:
    """Drafts, trim and list as sentences, or why they are not known."""
    f, system = answer["flotation"], answer["units"]["system"]
    if f["draft_midship"] is None:
        return not_computed_in_words(answer, "flotation")
    return (
        f"Draft aft {figure(f['draft_aft'], 'draft', system)}, forward "
        f"{figure(f['draft_forward'], 'draft', system)}, {amidships_in_words(answer)} {unit('draft', system)}, "
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


def lies_in_short(answer: Assessment) -> str:
    """The angle she lies at, for a key figure: "upright", "1.1° to starboard"; a loll as one angle."""
    listed = answer["flotation"]["list"]
    if listed["angle"] is None and not_computed_in_words(answer, "list"):
        return "not known"
    loll = answer["stability"]["angle_of_loll"]
    if listed["side"] == "either" and loll is not None:
        return f"{abs(loll):.1f}° either side"
    return list_in_words(listed["angle"] or 0.0)


class _Drafts(NamedTuple):
    """Drafts that are all known."""

    aft: float
    midship: float
    forward: float

    @classmethod
    def of(cls, answer: Assessment) -> Self | None:
        f = answer["flotation"]
        aft, midship, forward = f["draft_aft"], f["draft_midship"], f["draft_forward"]
        return None if aft is None or midship is None or forward is None else cls(aft, midship, forward)


class _Side(NamedTuple):
    """Scales of the side view: the water lies level, so the keel slopes by the trim."""

    shape: HullShape
    drafts: _Drafts
    length: float
    height: float
    water: float

    @classmethod
    def of(cls, shape: HullShape, drafts: _Drafts) -> Self:
        aft, fore = shape.ends
        length = (RIGHT - LEFT) / (fore - aft)
        top = max([shape.height, *(z for _, z in shape.deck)]) + 0.08 * shape.height
        height = min(TALLER * length, TALLEST / top)
        return cls(
            shape, drafts, length, height, 6.0 + max(top - min(drafts.aft, drafts.forward), 2.0) * height
        )

    def draft(self, x: float) -> float:
        """Moulded draft at a place."""
        return self.drafts.aft + (self.drafts.forward - self.drafts.aft) * x / self.shape.length_bp

    def at(self, x: float, z: float) -> Point:
        """A point of the ship: x from the aft perpendicular, z above the baseline."""
        left = LEFT + (x - self.shape.ends[0]) * self.length
        return left, self.water - (z - self.draft(x)) * self.height

    @property
    def keel(self) -> float:
        """The deepest point of the drawing."""
        return self.water + max(self.drafts.aft, self.drafts.forward) * self.height


def heights_in_words(shape: HullShape, answer: Assessment) -> str:
    """How much larger heights are drawn than lengths; empty where drafts are not known."""
    drafts = _Drafts.of(answer)
    if drafts is None:
        return ""
    side = _Side.of(shape, drafts)
    return f"Heights {side.height / side.length:.1f} times as large as lengths."


def side_view(
    answer: Assessment, shape: HullShape, *, name: str = "side", standalone: bool = False
) -> Markup:
    """Forward to the right; empty where her drafts are not known."""
    drafts = _Drafts.of(answer)
    if drafts is None:
        return Markup("")
    side, system = _Side.of(shape, drafts), answer["units"]["system"]
    sheet = Sheet(
        WIDTH,
        side.keel + 44.0,
        name=name,
        title="Side view, forward to the right",
        description=floats_in_words(answer),
        kind="side",
        standalone=standalone,
    )
    sheet.polygon(_outline(side), "hull")
    if shape.propeller is not None:
        x, shaft, diameter = shape.propeller
        sheet.line(side.at(x, shaft - diameter / 2.0), side.at(x, shaft + diameter / 2.0), "fat")
    sheet.line((2, side.water), (WIDTH - 2, side.water), "accent")
    mean = (drafts.aft + drafts.forward) / 2.0
    sheet.line(side.at(0.0, mean), side.at(shape.length_bp, mean), "dash")
    _freeboard(sheet, side, system)
    _mark(sheet, side, answer)
    _draft_figures(sheet, side, answer)
    return sheet.markup()


def _outline(side: _Side) -> list[Point]:
    """Deck line, stem, keel and stern."""
    shape, high = side.shape, side.shape.height
    aft, fore = shape.ends
    length = shape.length_bp
    raked = fore - aft > 1.01 * length
    deck = list(shape.deck) or [(aft, high), (fore, high)]
    if not raked:
        return [side.at(x, z) for x, z in (*deck, (length, deck[-1][1]), (length, 0.0), (0.0, 0.0))]
    bow = [(fore, deck[-1][1] + 0.07 * high), (length, 0.62 * high), (0.982 * length, 0.0)]
    stern = [
        (0.05 * length, 0.0),
        (0.012 * length, 0.2 * high),
        (0.012 * length, 0.5 * high),
        (aft, 0.78 * high),
    ]
    first = [] if deck[0][0] <= aft + 1e-9 else [(aft, deck[0][1])]
    return [side.at(x, z) for x, z in (*first, *deck, *bow, *stern)]


def _freeboard(sheet: Sheet, side: _Side, system: UnitSystem) -> None:
    """Height of the deck at side above the water amidships, where her depth is known."""
    depth = side.shape.depth
    if depth is None:
        return
    x = 0.41 * side.shape.length_bp
    left, top = side.at(x, depth)
    freeboard = depth - side.drafts.midship
    if abs(top - side.water) < 2.0 * CLOSE:
        return
    sheet.line((left, side.water), (left, top), "ink")
    sheet.line((left - 3, top), (left + 3, top), "ink")
    words = f"freeboard {number(freeboard, 'draft', system)}"
    sheet.text((left - 5, (side.water + top) / 2.0 + 3), words, "label-halo", "end")


def _mark(sheet: Sheet, side: _Side, answer: Assessment) -> None:
    """The mark in force as the water of today permits it."""
    line = answer.get("load_line")
    if line is None or line["permitted_draft"] is None:
        return
    spare = (
        line["permitted_draft"] - line["draft_midship"]
    )  # with her deflection, which the straight line has not
    x, y = side.at(side.shape.length_bp / 2.0, side.drafts.midship + spare)
    sheet.circle((x, y), 4, "ink")
    sheet.line((x - 8, y), (x + 8, y), "fat")
    words = f"{line['mark'] or 'mark'} {draft_margin(abs(spare), answer['units']['system'])}"
    height = y + 3.0
    if abs(y - side.water) < CLOSE:
        height = side.water - 5.0 if spare >= 0.0 else side.water + 12.0
    sheet.text((x + 12, height), f"{words} {'above' if spare >= 0.0 else 'under'}", "label-halo")


def _draft_figures(sheet: Sheet, side: _Side, answer: Assessment) -> None:
    """The drafts at the perpendiculars, and amidships that which is held against the mark."""
    length, drafts, system = side.shape.length_bp, side.drafts, answer["units"]["system"]
    deflection = deflection_of(answer)
    amidships = f"amidships with {sag_or_hog(deflection)}" if deflection else "amidships"
    places: tuple[tuple[float, str, float, Anchor], ...] = (
        (0.0, "aft", drafts.aft, "start"),
        (length / 2.0, amidships, drafts.midship + deflection, "middle"),
        (length, "forward", drafts.forward, "end"),
    )
    for x, word, draft, anchor in places:
        left, keel = side.at(x, 0.0)
        sheet.line((left, side.water), (left, keel), "dash")
        at = {"start": 2.0, "middle": left, "end": WIDTH - 2.0}[anchor]
        sheet.text((at, side.keel + 16), word, "label-quiet", anchor)
        sheet.text((at, side.keel + 31), number(draft, "draft", system), "label-bold", anchor)


def end_view(answer: Assessment, shape: HullShape, *, name: str = "end", standalone: bool = False) -> Markup:
    """Seen from aft, so port is on the left and a list to port turns her anticlockwise; empty where her drafts are not
    known."""
    drafts = _Drafts.of(answer)
    if drafts is None:
        return Markup("")
    unknown = answer["flotation"]["list"]["angle"] is None and not_computed_in_words(answer, "list") != ""
    angle = answer["flotation"]["list"]["angle"] or 0.0
    scale = min(END_BEAM / shape.breadth, END_TALLEST / max(shape.height, drafts.midship))
    half, deck = shape.breadth / 2.0 * scale, (shape.height - drafts.midship) * scale
    keel = drafts.midship * scale
    reach = min(abs(angle), 60.0) / 60.0 * 0.87 * half
    water = max(deck, 0.0) + 16.0 + reach
    bottom = water + keel + reach * 0.6
    sheet = Sheet(
        END_WIDTH,
        bottom + 44.0,
        name=name,
        title="End view, seen from aft",
        description=lies(answer),
        kind="end",
        standalone=standalone,
    )
    x = END_WIDTH / 2.0
    if unknown:
        sheet.text((x, water), "list not known", "label", "middle")
        return sheet.markup()
    sheet.begin_turn(-angle, (x, water))
    bilge = min(0.09 * shape.breadth, 0.16 * shape.height) * scale
    sheet.box_with_bilges(x - half, water - deck, x + half, water + keel, bilge)
    sheet.line((x, water - deck - 9), (x, water + keel + 6), "dash")
    sheet.end()
    if abs(angle) >= 0.05:
        sheet.line((x, water - deck - 14), (x, water + keel + 6), "hair")
    sheet.line((2, water), (END_WIDTH - 2, water), "accent")
    sheet.text((2, bottom + 25), "port", "label-quiet")
    sheet.text((END_WIDTH - 2, bottom + 25), "starboard", "label-quiet", "end")
    words = lies_in_short(answer)
    if answer["stability"]["angle_of_loll"] is not None:
        words = f"lolls {words}"
    sheet.text((x, bottom + 40), words, "label-bold", "middle")
    return sheet.markup()
