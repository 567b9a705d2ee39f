"""A small request is answered at once, as any request is; whatever could take long is left to somebody else."""

import json
from typing import Any

import pytest

from service.actions.assess import SMALL_TEXT, Assessor, as_json
from service.actions.request_members import SMALL_LINES
from service.translation.prepared_vessel import PreparedVessel, prepare_vessel, unknown_vessel
from service.wire.parse import UnreadableJson
from service.wire.refusal import Refusal
from tests.actions.documents import changed, condition, vessel

STORED = prepare_vessel(vessel(), id="own", revision=4)
BY_ID = {"vessel_id": "own", "condition": condition()}


class Store:
    """One stored vessel, which is ready or not; counts who waited for her."""

    def __init__(self, ready: bool = True) -> None:
        self._ready, self.waited = ready, 0

    def find(self, id: str, revision: int | None) -> PreparedVessel:
        self.waited += 1
        if id != "own" or revision not in (None, 4):
            raise unknown_vessel()
        return STORED

    def ready(self, id: str, revision: int | None) -> PreparedVessel | None:
        return STORED if self._ready and id == "own" and revision in (None, 4) else None


def text(document: Any) -> bytes:
    return json.dumps(document).encode()


def with_weights(count: int) -> dict[str, Any]:
    """The request by id with so many tank lines and weights."""
    lines = len(condition()["tanks"])
    weight = {"name": "Box", "category": "cargo", "mass": 0.001, "lcg": 50.0, "vcg": 5.0, "tcg": 0.0}
    boxes = [{**weight, "name": f"Box {n}"} for n in range(count - lines - 1)]
    return {**BY_ID, "condition": changed(condition(), "weights", [*condition()["weights"][:1], *boxes])}


@pytest.mark.parametrize("units", [None, "us"])
@pytest.mark.parametrize("named", [{}, {"vessel_revision": 4}, {"vessel_revision": None}])
def test_by_id_with_her_ready(units: str | None, named: dict[str, Any]) -> None:
    store = Store()
    assessor, request = Assessor(store.find, store.ready), {**BY_ID, **named}
    assert assessor.is_small(request)
    assert assessor.answer_if_small(text(request), units) == as_json(assessor.assessment(BY_ID, units))
    assert store.waited == 1, "by the second one"


def test_by_id_with_her_not_ready() -> None:
    for assessor in (
        Assessor(Store(ready=False).find, Store(ready=False).ready),
        Assessor(Store().find),
        Assessor(),
    ):
        assert not assessor.is_small(BY_ID)
        assert assessor.answer_if_small(text(BY_ID)) is None


def test_a_vessel_out_of_scope_is_never_ready() -> None:
    store = Store()
    assessor = Assessor(store.find, store.ready)
    assert assessor.within({"own", "other"}).answer_if_small(text(BY_ID)) is not None
    for scope in ((), {"other"}):
        scoped = assessor.within(scope)
        assert not scoped.is_small(BY_ID)
        assert scoped.answer_if_small(text(BY_ID)) is None
        with pytest.raises(Refusal) as refused:
            scoped.answer(text(BY_ID))
        assert refused.value.code == "unknown_vessel"
    assert store.waited == 0


@pytest.mark.parametrize(
    "wrong",
    [
        {"vessel_revision": True}, {"vessel_revision": 4.0}, {"vessel_revision": "4"}, {"vessel_revision": 5},
        {"vessel_id": None}, {"vessel_id": 4}, {"vessel_id": ["own"]}, {"vessel_id": {"own": 1}}, {"vessel_id": "none"},
    ],
)  # fmt: skip
def test_other_names_are_left_to_be_refused(wrong: dict[str, Any]) -> None:
    store = Store()
    assessor, request = Assessor(store.find, store.ready), {**BY_ID, **wrong}
    assert assessor.answer_if_small(text(request)) is None
    assert not assessor.is_small(request)
    with pytest.raises(Refusal):
        assessor.answer(text(request))


@pytest.mark.parametrize(
    ("change", "code"),
    [
        ({"vessel": vessel()}, "one_vessel"),
        ({"extra": 1}, "extra_forbidden"),
        ({"condition": None}, "model_type"),
        ({"condition": {"tanks": 5, "weights": {}}}, "missing"),
        ({"condition": changed(condition(), "tanks/0/tank", "NONE")}, "unknown_tank"),
    ],
)
def test_a_small_request_is_refused_as_any_is(change: dict[str, Any], code: str) -> None:
    store = Store()
    assessor, request = Assessor(store.find, store.ready), {**BY_ID, **change}
    refused = []
    for answer in (assessor.answer_if_small, assessor.answer):
        with pytest.raises(Refusal) as caught:
            answer(text(request))
        refused.append(vars(caught.value))
    assert refused[0] == refused[1]
    assert code in {error["code"] for error in refused[0]["errors"]}


def test_a_text_that_cannot_be_read() -> None:
    assessor = Assessor(Store().find, Store().ready)
    for unreadable in (b"", b"{", b"[]", b'{"a": 1, "a": 2}', b"\xff"):
        with pytest.raises(UnreadableJson):
            assessor.answer_if_small(unreadable)
    assert assessor.answer_if_small(b"{" * SMALL_TEXT + b"{") is None, (
        "too long to look for what is wrong here"
    )


def test_the_bound_of_lines() -> None:
    assessor = Assessor(Store().find, Store().ready)
    inside, outside = with_weights(SMALL_LINES), with_weights(SMALL_LINES + 1)
    assert assessor.is_small(inside)
    assert assessor.answer_if_small(text(inside)) == assessor.answer(text(inside))
    assert not assessor.is_small(outside)
    assert assessor.answer_if_small(text(outside)) is None


def test_the_bound_of_text() -> None:
    assessor = Assessor(Store().find, Store().ready)
    inside = text(BY_ID).ljust(SMALL_TEXT)
    assert assessor.answer_if_small(inside) == assessor.answer(text(BY_ID))
    assert assessor.answer_if_small(inside + b" ") is None


def test_an_inline_vessel_is_small_once_her_text_is_known() -> None:
    assessor = Assessor()
    request = text({"vessel": vessel(), "condition": condition()})
    assert assessor.answer_if_small(request) is None
    answer = assessor.answer(request)
    assert assessor.answer_if_small(request) == answer
    assert assessor.answer_if_small(request.ljust(SMALL_TEXT + len(text(vessel())))) is None
    many = {"vessel": vessel(), "condition": with_weights(SMALL_LINES + 1)["condition"]}
    assert assessor.answer_if_small(text(many)) is None
