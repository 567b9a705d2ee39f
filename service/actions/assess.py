"""Assess posted conditions: parsed JSON in, the bytes of the answer out. Nothing is stored.

One request at a time: parse, find or prepare the vessel, validate, translate, assess, answer, text. Many lines are a
loop over that.
"""

import copy
from collections.abc import Callable, Collection, Iterator
from dataclasses import dataclass
from typing import Any, Literal, Self, TypeVar

import orjson

from service.actions.inline_vessels import Cut, InlineVessels, cut
from service.actions.named_condition import (
    NAME,
    FindCondition,
    StoredCondition,
    named_condition,
    no_records,
    unknown_condition,
)
from service.actions.request_members import (
    Members,
    has_few_lines,
    named_vessel,
    reference_of,
    require_known_members,
)
from service.translation.assess_documents import (
    Answer,
    AnswerLength,
    Working,
    assess_documents,
    curved_documents,
    point_documents,
    worked_documents,
)
from service.translation.prepared_vessel import (
    FindDocument,
    FindVessel,
    PreparedVessel,
    ReadyVessel,
    once_each,
    prepare_vessel,
    unknown_vessel,
)
from service.wire.parse import UnreadableJson, parse_json
from service.wire.problem import error
from service.wire.refusal import Refusal

__all__ = [
    "Answer",
    "AnswerLength",
    "Assessor",
    "PreparedVessel",
    "as_json",
    "prepare_vessel",
    "unknown_vessel",
]

T = TypeVar("T")
WorkingAsked = bool | Literal["compact"]

SMALL_TEXT = 64 * 1024
"""Bytes of a small request, its inline vessel not counted."""


@dataclass(frozen=True, slots=True)
class Request:
    """A parsed request: its members, and its vessel where she is known already.

    inline: her text was recognised; the member is null then. stored: she is ready. text: the request as it was cut
    where her text was not recognised."""

    members: Members
    inline: PreparedVessel | None = None
    stored: PreparedVessel | None = None
    text: Cut | None = None


class Assessor:
    """Answers requests; keeps the last inline vessels prepared. Safe to use from several threads."""

    def __init__(
        self,
        find_vessel: FindVessel | None = None,
        ready_vessel: ReadyVessel | None = None,
        find_document: FindDocument | None = None,
        *,
        keep: int = 64,
        json_depth: int = 32,
    ) -> None:
        """find_vessel: what gives a stored vessel; without it there are none. ready_vessel: the same where it takes no
        time. find_document: what gives the document of a stored vessel. keep: inline vessels kept prepared."""
        self._find_vessel, self._ready_vessel = find_vessel, ready_vessel
        self._find_document = find_document
        self._find_condition: FindCondition | None = None
        self._json_depth = json_depth
        self._inline = InlineVessels(keep, json_depth)
        self._scope: Collection[str] | None = None

    def within(self, vessels: Collection[str] | None) -> Self:
        """The same assessor for a caller who may name these stored vessels only (None: all of them)."""
        if vessels is None:
            return self
        other = copy.copy(self)
        other._scope = vessels
        return other

    def with_vessels_from(self, find_vessel: FindVessel) -> Self:
        """The same assessor, scope and all, with another way to find the vessels that requests name."""
        other = copy.copy(self)
        other._find_vessel, other._ready_vessel = find_vessel, None
        return other

    def with_conditions_from(self, find_condition: FindCondition) -> Self:
        """The same assessor for lines that name stored conditions too."""
        other = copy.copy(self)
        other._find_condition = find_condition
        return other

    def finding_once(self) -> Self:
        """The same assessor for requests that come together: it finds each stored vessel once."""
        return self.with_vessels_from(once_each(self.stored))

    def stored(self, id: str, revision: int | None) -> PreparedVessel:
        """A stored vessel by id and revision (None: the latest); raises Refusal (unknown_vessel)."""
        if (
            self._find_vessel is None
            or not id.isprintable()
            or (self._scope is not None and id not in self._scope)
        ):
            raise unknown_vessel()
        return self._find_vessel(id, revision)

    def stored_condition(self, id: str, revision: int | None) -> StoredCondition:
        """A stored condition by id and revision (None: the latest); raises Refusal, for one of a vessel outside the
        scope the same as for one that is not there."""
        if self._find_condition is None:
            raise no_records()
        found = self._find_condition(id, revision)
        if self._scope is not None and found.vessel not in self._scope:
            raise unknown_condition()
        return found

    def assessment(self, members: Members, units: str | None = None) -> Answer:
        """The assessment of one parsed request as a document; raises Refusal."""
        return self._assessment(Request(members), "full", units)

    def answer(self, text: bytes, detail: AnswerLength = "full", units: str | None = None) -> bytes:
        """The text of the answer to one request; raises Refusal and UnreadableJson."""
        return as_json(self._assessment(self._read(text), detail, units))

    def answer_line(self, text: bytes, detail: AnswerLength = "full", units: str | None = None) -> bytes:
        """The text of the answer to one line of a batch: a request, or the name of a stored condition.

        Raises Refusal and UnreadableJson."""
        request = self._read(text)
        if NAME not in request.members:
            return as_json(self._assessment(request, detail, units))
        reference = reference_of(request.members)
        try:
            line = named_condition(request.members, self.stored_condition)
            answer = self._assessment(Request(line.request), detail, line.units or units)
        except Refusal as refused:
            refused.reference = refused.reference or reference
            raise
        return as_json({**answer, **line.named})

    def worked_answer(self, text: bytes, units: str | None = None, *, compact: bool = False) -> bytes:
        """The same with its working, as nodes or compact; raises Refusal and UnreadableJson."""
        request = Request(parse_json(text, max_depth=self._json_depth))

        def work(prepared: PreparedVessel, condition: Any) -> Answer:
            working = Working(self._document(request, prepared), compact)
            return worked_documents(prepared, condition, units, working)

        return as_json(self._answer_of(request, work))

    def with_curves(self, members: Members, units: str | None = None) -> Answer:
        """The assessment of one parsed request with the curves of her strength; raises Refusal."""
        return self._curved(Request(members), units)

    def answer_with_curves(self, text: bytes, units: str | None = None) -> bytes:
        """The text of the same for a request; raises Refusal and UnreadableJson."""
        return as_json(self._curved(self._read(text), units))

    def _curved(self, request: Request, units: str | None) -> Answer:
        return self._answer_of(
            request, lambda prepared, condition: curved_documents(prepared, condition, units)
        )

    def point(
        self, members: Members, number: int, units: str | None = None, working: WorkingAsked = False
    ) -> Answer:
        """The condition and the assessment of one point of a parsed request's plan, with its working where it is asked
        for; raises Refusal."""
        return self._point(Request(members), number, units, working)

    def answer_point(
        self, text: bytes, number: int, units: str | None = None, working: WorkingAsked = False
    ) -> bytes:
        """The text of the same for a request; raises Refusal and UnreadableJson."""
        whole = Request(parse_json(text, max_depth=self._json_depth)) if working else self._read(text)
        return as_json(self._point(whole, number, units, working))

    def answer_about_vessel(
        self, text: bytes, question: Callable[[Members, PreparedVessel], Answer]
    ) -> bytes:
        """The text of the answer to another question about a vessel, named or inline as in a request to assess: what
        `question` makes of the parsed members and the vessel. Raises Refusal and UnreadableJson."""
        return as_json(self.question(text, question))

    def question(self, text: bytes, question: Callable[[Members, PreparedVessel], T]) -> T:
        """What `question` makes of the parsed members of a request and its vessel.

        Raises Refusal and UnreadableJson."""
        request = self._read(text)
        return question(request.members, self._vessel(request))

    def answer_lines(
        self, lines: list[bytes], detail: AnswerLength = "full", units: str | None = None
    ) -> list[bytes | Exception]:
        """One answer or error a line, in order: a bad line never stops the rest.

        A stored vessel is found once for all of them."""
        return list(self.answers(lines, detail, units))

    def answers(
        self, lines: list[bytes], detail: AnswerLength = "full", units: str | None = None
    ) -> Iterator[bytes | Exception]:
        """The same, one after the other."""
        assessor = self.finding_once()
        for line in lines:
            try:
                answer: bytes | Exception = assessor.answer_line(line, detail, units)
            except Exception as fault:  # noqa: BLE001 - whatever one line meets, the others are answered
                answer = fault
            yield answer

    def answer_if_small(self, text: bytes, units: str | None = None) -> bytes | None:
        """The text of the answer to a request that takes a few milliseconds at most; None for any other.

        Raises Refusal and UnreadableJson."""
        apart, inline = self._recognised(text)
        short = text if apart is None or inline is None else apart.rest
        if len(short) > SMALL_TEXT:
            return None
        try:
            members = parse_json(short, max_depth=self._json_depth)
        except UnreadableJson:
            if inline is not None:  # its place in the whole text is still to be found
                return None
            raise
        stored = self._ready(members) if inline is None else None
        if (inline is None and stored is None) or not has_few_lines(members):
            return None
        return as_json(self._assessment(Request(members, inline, stored), "full", units))

    def is_small(self, members: Members) -> bool:
        """Whether a parsed request has few lines and names a stored vessel that is ready."""
        return has_few_lines(members) and self._ready(members) is not None

    def _ready(self, members: Members) -> PreparedVessel | None:
        """The stored vessel that a request names, where she is ready and this caller may name her."""
        name = named_vessel(members)
        if self._ready_vessel is None or name is None:
            return None
        return None if self._scope is not None and name[0] not in self._scope else self._ready_vessel(*name)

    def _recognised(self, text: bytes) -> tuple[Cut | None, PreparedVessel | None]:
        """A request in two where it can be cut, and its vessel where her text is known."""
        apart = cut(text)
        return apart, None if apart is None else self._inline.recognised(apart.vessel)

    def _read(self, text: bytes) -> Request:
        """A request parsed, its vessel only where she is not known yet; raises UnreadableJson."""
        apart, inline = self._recognised(text)
        if apart is not None and inline is not None:
            try:
                return Request(parse_json(apart.rest, max_depth=self._json_depth), inline)
            except UnreadableJson:
                pass  # said below, with its place in the whole text
        return Request(parse_json(text, max_depth=self._json_depth), text=apart)

    def prepare(self, document: object, root: tuple[str | int, ...] = ("vessel",)) -> PreparedVessel:
        """A vessel document made ready, from memory where it was seen before; raises Refusal."""
        return self._inline.prepare(document, root)

    def _vessel(self, request: Request) -> PreparedVessel:
        """The vessel of a request, recognised, prepared or found; raises Refusal."""
        members = request.members
        named, inline = members.get("vessel_id"), members.get("vessel")
        has_inline = inline is not None or request.inline is not None
        if (named is None) != has_inline:
            wrong = [error((), "one_vessel", "Give exactly one of vessel and vessel_id.")]
            raise Refusal("invalid_request", "The request names no vessel, or two.", wrong)
        revision = members.get("vessel_revision")
        if not has_inline:
            return request.stored or self._stored(members)
        if revision is not None:
            wrong = [error(("vessel_revision",), "not_here", "Only with vessel_id.")]
            raise Refusal("invalid_request", "vessel_revision goes with vessel_id.", wrong)
        if request.inline is not None:
            return request.inline
        prepared = self.prepare(inline)
        if request.text is not None:
            self._inline.remember(request.text.vessel, inline, prepared)
        return prepared

    def _stored(self, members: Members) -> PreparedVessel:
        """The stored vessel that a request names; raises Refusal, also where it does so by other types."""
        name = named_vessel(members)
        if name is not None:
            return self.stored(*name)
        place = ("vessel_revision",) if isinstance(members.get("vessel_id"), str) else ("vessel_id",)
        wrong = [error(place, "type", "wrong type.")]
        raise Refusal("invalid_request", "The vessel is not named properly.", wrong)

    def _document(self, request: Request, prepared: PreparedVessel) -> dict[str, Any]:
        """The document, as typed, of the vessel of a request that was parsed whole; raises Refusal."""
        inline: dict[str, Any] | None = request.members.get("vessel")
        if inline is not None:
            return inline
        id, revision = prepared.reference["id"], prepared.reference["revision"]
        if self._find_document is None or id is None or revision is None:
            raise unknown_vessel()
        return self._find_document(id, revision)

    def _assessment(self, request: Request, detail: AnswerLength, units: str | None) -> Answer:
        """The answer to one request as a document; raises Refusal."""

        def work(prepared: PreparedVessel, condition: Any) -> Answer:
            return assess_documents(prepared, condition, detail, units)

        return self._answer_of(request, work)

    def _answer_of(self, request: Request, work: Callable[[PreparedVessel, Any], Answer]) -> Answer:
        """What `work` makes of the vessel and the condition of a request, with the sender's own name for it; raises
        Refusal."""
        reference = reference_of(request.members)
        try:
            require_known_members(request.members)
            answer = work(self._vessel(request), request.members["condition"])
        except Refusal as refused:
            refused.reference = reference
            raise
        given = reference or request.members["condition"].get("reference")
        return answer if given is None else {**answer, "reference": given}

    def _point(self, request: Request, number: int, units: str | None, asked: WorkingAsked) -> Answer:
        require_known_members(request.members)
        prepared = self._vessel(request)
        working = Working(self._document(request, prepared), asked == "compact") if asked else None
        return point_documents(prepared, request.members["condition"], number, units, working)


def as_json(answer: Answer) -> bytes:
    """An answer as it is sent and kept. No figure is ever NaN; if one were, it would be written as null.

    A scalar of numpy that the core gave out counts as the number it is."""
    return orjson.dumps(answer, option=orjson.OPT_SERIALIZE_NUMPY)
