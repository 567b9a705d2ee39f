"""What ice and timber do to her, beside the verdict."""

from collections.abc import Sequence
from math import fsum

from .added_weight import AddedWeight
from .finding_kinds import Finding, finding
from .icing import IcingEffect
from .situation import Situation

STIFF = 0.03
"""Part of the breadth above which the GM of a ship with timber on deck is stiff. Source: Code of Safe Practice for
Ships Carrying Timber Deck Cargoes, 2011, 2.4.2 (GM preferably not above 3 % of the breadth)."""
WINTER = ("W", "WNA", "LW", "LWNA")


def icing_effect(
    factor: float, settled: Sequence[AddedWeight], before: Situation, after: Situation
) -> IcingEffect:
    """With ice minus without. Source: definition."""
    mass = fsum(each.weight.mass for each in settled)
    moment = fsum(each.weight.mass * each.weight.vcg for each in settled)
    loss = None
    if before.gm_corrected is not None and after.gm_corrected is not None:
        loss = before.gm_corrected - after.gm_corrected
    sinkage, trim = None, None
    if before.flotation is not None and after.flotation is not None:
        sinkage = after.flotation.draft_midship - before.flotation.draft_midship
        trim = after.flotation.trim - before.flotation.trim
    return IcingEffect(factor, mass, moment / mass if mass else None, loss, sinkage, trim)


def icing_findings(ship: Situation) -> list[Finding]:
    """A winter mark without ice, and a stiff ship under timber. Source: 2008 IS Code Part B 6 (value from memory)."""
    condition, found = ship.condition, []
    if condition.load_line_mark in WINTER and condition.icing is None:
        found.append(finding("mark_winter_without_icing", ("load_line_mark",)))
    gm = ship.gm_corrected
    if condition.timber_aboard and gm is not None and gm > STIFF * ship.vessel.particulars.breadth:
        found.append(finding("gm_over_3_percent_beam"))
    return found
