"""Calls of which nothing is kept: assessments and the other questions about a condition."""

from collections.abc import Iterator
from typing import Literal, cast

from service.client.documents import Document, parameters
from service.client.synchronous.iteration import Items
from service.client.synchronous.lines import Lines
from service.wire.assessment import Assessment, AssessmentSummary
from service.wire.batch import LineProblem
from service.wire.fields import UnitSystem
from service.wire.inclining import Inclining
from service.wire.plan_point import PointAnswer
from service.wire.remedy import Remedies
from service.wire.sensitivity import Sensitivities
from service.wire.uncertainty import Uncertainty
from service.wire.vcg_limit import VcgLimits

BatchAnswer = Assessment | AssessmentSummary | LineProblem


class AssessmentCalls(Lines):
    """Questions about a vessel and a condition."""

    def assess(
        self, request: Document, *, units: UnitSystem | None = None, working: bool = False
    ) -> Assessment:
        """The assessment of a request, with its working if asked for. Raises `Refused` or `Unreachable`."""
        params = parameters(units=units, working=True if working else None)
        return cast(Assessment, self._ask("/v1/assessments", request, params))

    def assess_point(self, request: Document, point: int, *, units: UnitSystem | None = None) -> PointAnswer:
        """One point of the plan of a request: the condition there, and its assessment."""
        params = parameters(units=units, point=point)
        return cast(PointAnswer, self._ask("/v1/assessments", request, params))

    def assess_batch(
        self,
        requests: Items[Document],
        *,
        detail: Literal["full", "summary"] = "full",
        units: UnitSystem | None = None,
    ) -> Iterator[BatchAnswer]:
        """An answer per request, in order, as they come in; a refused one is a `LineProblem`, whose `line` counts the
        requests given to this call, from 1.

        Any number of requests: they are taken from the iterable and sent a few hundred at a time, so neither side
        ever holds them all. Raises `CutOff` when answers are missing at the end.
        """
        params = parameters(detail=detail, units=units)
        return self._answers("/v1/assessments/batch", requests, params)

    def assess_inclining_test(self, request: Document) -> Inclining:
        """GM and lightship by an inclining test."""
        return cast(Inclining, self._ask("/v1/inclining-tests", request))

    def get_vcg_limits(self, request: Document) -> VcgLimits:
        """Greatest VCG and least GM by draft and trim."""
        return cast(VcgLimits, self._ask("/v1/vcg-limits", request))

    def get_sensitivities(self, request: Document) -> Sensitivities:
        """What a little more or less in each tank does."""
        return cast(Sensitivities, self._ask("/v1/sensitivities", request))

    def get_remedies(self, request: Document) -> Remedies:
        """Fillings of tanks at which targets hold."""
        return cast(Remedies, self._ask("/v1/remedies", request))

    def assess_uncertainty(self, request: Document) -> Uncertainty:
        """How sure the figures of a condition are."""
        return cast(Uncertainty, self._ask("/v1/uncertainty", request))
