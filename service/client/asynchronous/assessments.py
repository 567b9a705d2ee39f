"""Calls of which nothing is kept: assessments and the other questions about a condition."""

from collections.abc import AsyncIterator
from typing import Literal, cast

from service.client.asynchronous.iteration import Items
from service.client.asynchronous.lines import AsyncLines
from service.client.documents import Document, parameters
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


class AsyncAssessmentCalls(AsyncLines):
    """Questions about a vessel and a condition."""

    async def assess(
        self, request: Document, *, units: UnitSystem | None = None, working: bool = False
    ) -> Assessment:
        """The assessment of a request, with its working if asked for. Raises `Refused` or `Unreachable`."""
        params = parameters(units=units, working=True if working else None)
        return cast(Assessment, await self._ask("/v1/assessments", request, params))

    async def assess_point(
        self, request: Document, point: int, *, units: UnitSystem | None = None
    ) -> PointAnswer:
        """One point of the plan of a request: the condition there, and its assessment."""
        params = parameters(units=units, point=point)
        return cast(PointAnswer, await self._ask("/v1/assessments", request, params))

    def assess_batch(
        self,
        requests: Items[Document],
        *,
        detail: Literal["full", "summary"] = "full",
        units: UnitSystem | None = None,
    ) -> AsyncIterator[BatchAnswer]:
        """An answer per request, in order, as they come in; a refused one is a `LineProblem`, whose `line` counts the
        requests given to this call, from 1.

        Any number of requests: they are taken from the iterable and sent a few hundred at a time, so neither side
        ever holds them all. Raises `CutOff` when answers are missing at the end.
        """
        params = parameters(detail=detail, units=units)
        return self._answers("/v1/assessments/batch", requests, params)

    async def assess_inclining_test(self, request: Document) -> Inclining:
        """GM and lightship by an inclining test."""
        return cast(Inclining, await self._ask("/v1/inclining-tests", request))

    async def get_vcg_limits(self, request: Document) -> VcgLimits:
        """Greatest VCG and least GM by draft and trim."""
        return cast(VcgLimits, await self._ask("/v1/vcg-limits", request))

    async def get_sensitivities(self, request: Document) -> Sensitivities:
        """What a little more or less in each tank does."""
        return cast(Sensitivities, await self._ask("/v1/sensitivities", request))

    async def get_remedies(self, request: Document) -> Remedies:
        """Fillings of tanks at which targets hold."""
        return cast(Remedies, await self._ask("/v1/remedies", request))

    async def assess_uncertainty(self, request: Document) -> Uncertainty:
        """How sure the figures of a condition are."""
        return cast(Uncertainty, await self._ask("/v1/uncertainty", request))
