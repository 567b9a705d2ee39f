"""One criterion of the answer while its nodes are written."""

from dataclasses import dataclass
from functools import cached_property
from math import isinf

from service.core.lever_measures import LeverMeasures
from service.core.rules import is_code_2008_a_2_3 as code
from service.core.rules.limit import Criterion, RuleSet
from service.core.situation import Heeled
from service.translation.working import openings
from service.translation.working.given import Given, Inputs
from service.translation.working.levers import Levers
from service.translation.working.sheet import Sheet
from service.translation.working.sources import Sources


@dataclass(frozen=True)
class Clause:
    """Criterion `k` of the answer, and her heeling to the side it was judged on."""

    a: Sources
    k: int
    rule_set: RuleSet
    criterion: Criterion
    heeled: Heeled
    levers: Levers | None

    @property
    def sheet(self) -> Sheet:
        """The sheet it is written on."""
        return self.a.sheet

    @property
    def id(self) -> str:
        """The id of its node."""
        return f"criterion/{self.criterion.row.id}"

    @property
    def curve(self) -> Levers:
        """The nodes of the lever curve; there is one wherever a clause was judged by it."""
        assert self.levers is not None
        return self.levers

    @property
    def measures(self) -> LeverMeasures:
        """What is measured on the curve up to the flooding that its document counts."""
        found = self.heeled.levers_automatic if self.rule_set.automatic_closure else self.heeled.levers
        assert found is not None
        return found

    def flooding(self) -> str | None:
        """The node of the angle of down-flooding that its document counts."""
        return openings.flooding(self.a, self.heeled, self.rule_set.automatic_closure)

    def rule(self, name: str, value: float, unit: str = "") -> Given:
        """A figure of the document."""
        return self.sheet.rule(self.criterion.row.id, name, value, unit)

    def node(
        self,
        name: str,
        text: str,
        inputs: Inputs,
        value: float,
        unit: str,
        **more: str,
    ) -> str:
        """An expression of the clause under an id of its own."""
        source = more.pop("source", self.criterion.row.source)
        return self.sheet.add(
            f"{self.rule_set.name}/{name}" if "/" not in name else name, "expression", text, inputs,
            name=more.pop("words", name.replace("_", " ")), unit=unit, value=value, source=source,
        )  # fmt: skip

    def end(self, degree: float) -> str:
        """The node of `degree` degrees, or of the end of the usable part where that comes first."""
        usable = self.measures.usable
        assert usable is not None
        if degree <= usable:
            return self.curve.angle(degree)
        flooding = self.flooding()
        if flooding is not None and self.sheet.value(flooding) == usable:
            return flooding
        given = self.sheet.constant("last heel of the cross curves", usable, "degree")
        return self.sheet.copy(f"angle/{usable:g}", given)

    def greatest(self) -> str | None:
        """The node of the angle of the greatest lever on the usable part."""
        angle = self.measures.angle_of_greatest
        if angle is None or isinf(angle):
            return None
        words = "automatic/" if self.rule_set.automatic_closure else ""
        side = "port" if self.heeled.side > 0.0 else "starboard"
        return self.curve.greatest(
            f"greatest/{words}{side}",
            angle,
            self.heeled.side,
            "angle of the greatest lever on the usable part",
        )

    @cached_property
    def wind(self) -> code.WindLevers | None:
        """Wind levers and where her righting lever meets them."""
        return code.wind_levers(self.a.assessed.situation, self.measures.curve)

    @cached_property
    def roll(self) -> code.Roll | None:
        """The angle of roll and what it is made of."""
        return code.angle_of_roll(self.a.assessed.situation)

    @cached_property
    def wind_areas(self) -> code.Areas | None:
        """Areas a and b."""
        if self.wind is None:
            return None
        phi1 = None if self.roll is None else self.roll.phi1
        return code.areas(self.measures.curve, self.measures.flooding, self.wind, phi1)
