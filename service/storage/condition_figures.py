"""The figures of a condition that lists and the fleet show without opening its answer."""

from .table import Record, number, text, whole


class ConditionFigures(Record):
    """Dangers and margins, None in a revision of form 1, which was kept before they were columns (see `digest`).

    `dangers`: how many findings of severity danger stand beside the verdict. `least_margin`: of the stability criterion
    `least_margin_criterion` nearest to its limit, in its own `least_margin_unit` (lengths in metres whatever the
    document's units), `least_margin_gm` what it is as a GM in metres, `least_margin_side` port or starboard.
    `load_line_draft` (m) and `load_line_mass` (t): what is left to the load line.
    """

    dangers: int | None = whole(default=None)
    least_margin: float | None = number(default=None)
    least_margin_unit: str | None = text(default=None)
    least_margin_criterion: str | None = text(default=None)
    least_margin_gm: float | None = number(default=None)
    least_margin_side: str | None = text(default=None)
    load_line_draft: float | None = number(default=None)
    load_line_mass: float | None = number(default=None)


class FleetFigures(Record):
    """What the fleet shows besides: the ports of the voyage, and the drafts at the perpendiculars in metres."""

    port_from: str | None = text(default=None)
    port_to: str | None = text(default=None)
    draft_aft: float | None = number(default=None)
    draft_forward: float | None = number(default=None)
