"""Assess posted conditions: parsed JSON in, the bytes of the answer out. Nothing is stored."""

import copy
import hashlib
import marshal
import threading
from collections import OrderedDict
from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass
from typing import Any, Literal, Self, TypeVar

import orjson
import rfc8785
from pydantic import ValidationError

from service.actions.answer import full_answer, summary_answer
from service.actions.refusal import Refusal
from service.actions.translate_condition import condition_of, refusal_of
from service.actions.translate_vessel import vessel_of
from service.actions.units import SCALES
from service.core.assessment import assess
from service.core.condition import Condition
from service.core.errors import CoreError
from service.core.vessel import Vessel
from service.wire.assessment import VesselReference
from service.wire.condition import Condition as ConditionDocument
from service.wire.fields import Axes
from service.wire.parse import UnreadableJson, parse_json
from service.wire.problem import error, errors_of
from service.wire.vessel import Vessel as VesselDocument

Detail = Literal["full", "summary"]
Answer = dict[str, Any]
Finish = Callable[[Answer], Any]
"""What becomes of an answer: its text, or a record of it."""
Asked = tuple["AssessmentDesk", dict[str, Any], str | None, Finish]
"""A request with its sender's desk and units, and what is to become of its answer."""
Model = TypeVar("Model", ConditionDocument, VesselDocument)
KNOWN = {"vessel", "vessel_id", "vessel_revision", "condition"}
Found = dict[tuple[str, int | None], "PreparedVessel"]


@dataclass(frozen=True)
class PreparedVessel:
    """A vessel ready for calculation, with the axes its conditions default to and what to call it."""

    vessel: Vessel
    axes: Axes | None
    reference: VesselReference


FindVessel = Callable[[str, int | None], PreparedVessel]


@dataclass(frozen=True)
class _Job:
    """One request, translated and ready."""

    prepared: PreparedVessel
    document: ConditionDocument
    condition: Condition
    units: str


class AssessmentDesk:
    """Takes requests, keeps the last vessels prepared. Safe to use from several threads."""

    def __init__(
        self,
        find_vessel: FindVessel | None = None,
        *,
        keep: int = 64,
        json_depth: int = 32,
    ) -> None:
        """find_vessel: what gives a vessel held by the service, by id and revision (None: the latest)."""
        self._find_vessel = find_vessel
        self._json_depth = json_depth
        self._prepared: OrderedDict[bytes, PreparedVessel] = OrderedDict()
        self._keep = keep
        self._lock = threading.Lock()

    def within(self, vessels: Collection[str] | None) -> Self:
        """The same desk for a caller who may name these held vessels only (None: all of them)."""
        if vessels is None:
            return self

        def find_within(id: str, revision: int | None) -> PreparedVessel:
            if id not in vessels:
                raise unknown_vessel()
            return self.held(id, revision)

        return self.finding(find_within)

    def finding(self, find_vessel: FindVessel) -> Self:
        """The same desk with another way to find the vessels that requests name."""
        other = copy.copy(self)
        other._find_vessel = find_vessel
        return other

    def held(self, id: str, revision: int | None) -> PreparedVessel:
        """A vessel held by the service; raises Refusal (unknown_vessel)."""
        if self._find_vessel is None:
            raise unknown_vessel()
        return self._find_vessel(id, revision)

    def assessment(self, request: dict[str, Any], units: str | None = None) -> dict[str, Any]:
        """The assessment of one request as a document; raises Refusal."""
        return _assessed(self._job(request, units, {}), "full")

    def answer_lines(
        self, lines: list[bytes], detail: Detail = "full", units: str | None = None
    ) -> list[bytes | Exception]:
        """One answer or error a line, in order: a bad line never stops the rest."""
        answers: list[Any] = [None] * len(lines)
        jobs: list[tuple[int, _Job]] = []
        found: Found = {}
        for i, line in enumerate(lines):
            try:
                jobs.append((i, self._job(parse_json(line, max_depth=self._json_depth), units, found)))
            except (Refusal, ValidationError, UnreadableJson) as refused:
                answers[i] = refused
        return _answered(answers, [(i, job, as_json) for i, job in jobs], detail)

    def prepare(self, document: object, root: tuple[str | int, ...] = ("vessel",)) -> PreparedVessel:
        """A vessel document made ready, from memory where it was seen before; raises Refusal."""
        key = _fingerprint(document)
        with self._lock:
            known = self._prepared.get(key)
            if known is not None:
                self._prepared.move_to_end(key)
                return known
        prepared = prepare_vessel(document, root)
        with self._lock:
            self._prepared[key] = prepared
            while len(self._prepared) > self._keep:
                self._prepared.popitem(last=False)
        return prepared

    def vessel_for(self, request: dict[str, Any], found: Found) -> PreparedVessel:
        """The vessel of a request; `found` holds those looked up for the same call."""
        named, inline = request.get("vessel_id"), request.get("vessel")
        if (named is None) == (inline is None):
            wrong = [error((), "one_vessel", "Give exactly one of vessel and vessel_id.")]
            raise Refusal("invalid_request", "The request names no vessel, or two.", wrong)
        revision = request.get("vessel_revision")
        if inline is not None:
            if revision is not None:
                wrong = [error(("vessel_revision",), "not_here", "Only with vessel_id.")]
                raise Refusal("invalid_request", "vessel_revision goes with vessel_id.", wrong)
            return self.prepare(inline)
        if not isinstance(named, str) or (revision is not None and type(revision) is not int):
            place = ("vessel_id",) if not isinstance(named, str) else ("vessel_revision",)
            raise Refusal(
                "invalid_request", "The vessel is not named properly.", [error(place, "type", "wrong type.")]
            )
        if (named, revision) not in found:
            found[named, revision] = self.held(named, revision)
        return found[named, revision]

    def _job(self, request: dict[str, Any], units: str | None, found: Found) -> _Job:
        unknown = [
            error((name,), "extra_forbidden", "This member is not known here.")
            for name in request
            if name not in KNOWN
        ]
        if unknown:
            raise Refusal("invalid_request", "The request has members that are not known here.", unknown)
        if "condition" not in request:
            raise Refusal(
                "invalid_request",
                "The request holds no condition.",
                [error(("condition",), "missing", "This member is required.")],
            )
        prepared = self.vessel_for(request, found)
        document = _validated(ConditionDocument, request["condition"], ("condition",))
        condition = condition_of(document, prepared.vessel, prepared.axes)
        return _Job(prepared, document, condition, units or document.units)


def answer_together(asked: Sequence[Asked]) -> list[Any]:
    """What becomes of the answers to requests of several callers, in order; an exception where one was refused.

    Conditions of one ship are assessed in one batch: together they cost little more than one of them."""
    answers: list[Any] = [None] * len(asked)
    jobs: list[tuple[int, _Job, Finish]] = []
    found: dict[int, Found] = {}  # by desk: each finds only what its caller may name
    for i, (desk, request, units, finish) in enumerate(asked):
        try:
            jobs.append((i, desk._job(request, units, found.setdefault(id(desk), {})), finish))
        except Exception as refused:  # noqa: BLE001 - whatever one request meets, the others are answered
            answers[i] = refused
    return _answered(answers, jobs, "full")


def _answered(answers: list[Any], jobs: list[tuple[int, _Job, Finish]], detail: Detail) -> list[Any]:
    """Assess jobs and put what becomes of them in their places."""
    for i, job, finish in jobs:
        try:
            answers[i] = finish(_assessed(job, detail))
        except Exception as fault:  # noqa: BLE001 - a fault in one is told to its caller alone
            answers[i] = fault
    return answers


def _assessed(job: _Job, detail: Detail) -> dict[str, Any]:
    """Assess one request; raises Refusal."""
    prepared, units = job.prepared, job.units
    try:
        assessed = assess(prepared.vessel, job.condition)
    except CoreError as problem:
        raise refusal_of(problem, job.document, prepared.vessel, SCALES[job.document.units]) from None
    build = full_answer if detail == "full" else summary_answer
    return build(assessed, SCALES[units], prepared.reference, job.document.title)


def as_json(answer: dict[str, Any]) -> bytes:
    """An answer as it is sent and kept. No figure is ever NaN; if one were, it would be written as null.

    A scalar of numpy that the core gave out counts as the number it is."""
    return orjson.dumps(answer, option=orjson.OPT_SERIALIZE_NUMPY)


def unknown_vessel() -> Refusal:
    """What a request gets that names a vessel not held here, or one its sender may not see."""
    wrong = [error(("vessel_id",), "unknown_vessel", "not held here.")]
    return Refusal("unknown_vessel", "This service holds no vessel of that id and revision.", wrong)


def prepare_vessel(
    document: object,
    root: tuple[str | int, ...] = ("vessel",),
    id: str | None = None,
    revision: int | None = None,
) -> PreparedVessel:
    """Validate and prepare a vessel document; raises Refusal with places below `root`."""
    wire = _validated(VesselDocument, document, root)
    digest = hashlib.sha256(rfc8785.dumps(document)).hexdigest()  # type: ignore[arg-type]
    reference: VesselReference = {"name": wire.name, "id": id, "revision": revision, "digest": digest}
    return PreparedVessel(vessel_of(wire, root), wire.axes, reference)


def _validated(model: type[Model], document: object, root: tuple[str | int, ...]) -> Model:
    try:
        return model.model_validate(document)
    except ValidationError as invalid:
        raise Refusal(
            "invalid_request", "The request breaks its published schema.", errors_of(invalid, root)
        ) from None


def _fingerprint(document: Any) -> bytes:
    """A key that equal documents share: they were parsed from JSON, so marshal is total and exact."""
    return hashlib.sha256(marshal.dumps(document, 2)).digest()
