"""GET /problems: what each kind of problem means. The `type` of every problem leads here."""

from typing import Annotated

from fastapi import APIRouter, Path

from service.api.description.answers import problems_of
from service.web.problem_kinds import KINDS, Kind
from service.wire.problem import shortened
from service.wire.problem_kind import ProblemKind, ProblemKinds
from service.wire.refusal import Refusal

CodeAddress = Annotated[str, Path(description="Code of the kind of problem.")]
router = APIRouter(tags=["Problems"])


def _description(kind: Kind) -> ProblemKind:
    return {"type": f"/problems/{kind.code}", **kind._asdict()}  # type: ignore[typeddict-item]


@router.get("/problems", summary="Every kind of problem")
async def get_problems() -> ProblemKinds:
    """All rows, by status."""
    return {"items": [_description(kind) for kind in sorted(KINDS.values(), key=lambda kind: kind.status)]}


@router.get("/problems/{code}", summary="One kind of problem", responses=problems_of(404))
async def get_problem(code: CodeAddress) -> ProblemKind:
    """By its code."""
    if code not in KINDS:
        raise Refusal("not_found", f"There is no kind of problem {shortened(code)}.")
    return _description(KINDS[code])
