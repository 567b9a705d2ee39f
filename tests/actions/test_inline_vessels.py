"""A posted vessel is recognised by her text: never another one's, never where the request is to be refused."""

import json
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.actions import inline_vessels
from service.actions.assess import Assessor
from service.actions.inline_vessels import cut
from service.translation.prepared_vessel import PreparedVessel
from service.wire.parse import UnreadableJson, parse_json
from service.wire.refusal import Refusal
from tests.actions.documents import changed, condition, vessel

VESSEL, CONDITION = json.dumps(vessel()), json.dumps(condition())
ORDERS = {
    "vessel first": '{"vessel": @V, "condition": @C}',
    "vessel last": '{"condition": @C, "vessel": @V}',
    "no spaces": '{"vessel":@V,"condition":@C}',
    "many spaces": ' \t\r\n{ "vessel"\n:\n@V \r\n,\t"condition" : @C\n}\n ',
    "many spaces, vessel last": '\n{\n "condition":\t@C\n ,\n "vessel" :  @V\n }\n\n',
}


def text(template: str, ship: str = VESSEL, aboard: str = CONDITION) -> bytes:
    return template.replace("@V", ship).replace("@C", aboard).encode()


class Watched(Assessor):
    """An assessor that counts how often a vessel was looked up by her parsed document."""

    read = 0

    def prepare(self, document: object, root: tuple[str | int, ...] = ("vessel",)) -> PreparedVessel:
        self.read += 1
        return super().prepare(document, root)


@pytest.mark.parametrize("template", ORDERS.values(), ids=ORDERS.keys())
def test_a_text_that_comes_again_is_not_read_again(template: str) -> None:
    assessor = Watched()
    fresh = Assessor().answer(text(template))
    other = json.dumps(changed(condition(), "title", "Another"))
    assert assessor.answer(text(template)) == fresh
    assert assessor.read == 1
    assert assessor.answer(text(template)) == fresh
    assert assessor.answer_if_small(text(template)) == fresh
    again = assessor.answer(text(template, aboard=other))
    assert again == Assessor().answer(text(template, aboard=other)) != fresh
    assert assessor.read == 1


def test_one_text_is_recognised_in_every_order() -> None:
    assessor = Watched()
    answers = {assessor.answer(text(template)) for template in ORDERS.values()}
    assert len(answers) == 1
    assert assessor.read == 1


def test_an_equal_document_in_other_words_is_prepared_once(monkeypatch: pytest.MonkeyPatch) -> None:
    made: list[object] = []
    prepare = inline_vessels.prepare_vessel

    def counted(document: object, *rest: Any, **more: Any) -> PreparedVessel:
        made.append(document)
        return prepare(document, *rest, **more)

    monkeypatch.setattr(inline_vessels, "prepare_vessel", counted)
    assessor = Assessor()
    spaced = json.dumps(vessel(), indent=1)
    assert spaced != VESSEL
    answers = {assessor.answer(text(ORDERS["no spaces"], ship)) for ship in (VESSEL, spaced, spaced, VESSEL)}
    assert len(answers) == 1
    assert len(made) == 1
    assessor.answer(text(ORDERS["no spaces"], json.dumps(changed(vessel(), "lightship/vcg", 5.5))))
    assert len(made) == 2


def test_texts_are_forgotten_with_the_number_kept() -> None:
    assessor = Watched(keep=2)
    ships = [json.dumps(changed(vessel(), "name", f"Ship {i}")) for i in range(3)]
    for ship in ships:
        assessor.answer(text(ORDERS["no spaces"], ship))
    assessor.answer(text(ORDERS["no spaces"], ships[2]))
    assert assessor.read == 3
    assessor.answer(text(ORDERS["no spaces"], ships[0]))
    assert assessor.read == 4


def outcome(assessor: Assessor, request: bytes) -> Any:
    """The answer, or what it was refused with in every word."""
    try:
        return assessor.answer(request)
    except (Refusal, UnreadableJson) as refused:
        return type(refused), vars(refused)


def outcome_if_small(assessor: Assessor, request: bytes) -> Any:
    """The same by the way of small requests."""
    try:
        return assessor.answer_if_small(request)
    except (Refusal, UnreadableJson) as refused:
        return type(refused), vars(refused)


HOSTILE = {
    "vessel twice": '{"vessel": @V, "condition": @C, "vessel": @V}',
    "vessel twice, null first": '{"vessel": null, "condition": @C, "vessel": @V}',
    "vessel twice, one escaped": '{"vessel": @V, "condition": @C, "v\\u0065ssel": {}}',
    "vessel and id": '{"vessel": @V, "vessel_id": "a", "condition": @C}',
    "id and vessel": '{"vessel_id": "a", "condition": @C, "vessel": @V}',
    "revision and vessel": '{"vessel_revision": 1, "condition": @C, "vessel": @V}',
    "vessel and revision": '{"vessel": @V, "vessel_revision": 1, "condition": @C}',
    "condition twice": '{"vessel": @V, "condition": @C, "condition": @C}',
    "no condition": '{"vessel": @V}',
    "condition is null": '{"vessel": @V, "condition": null}',
    "unknown member last": '{"vessel": @V, "condition": @C, "extra": 1}',
    "unknown member between": '{"vessel": @V, "extra": {"condition": 1}, "condition": @C}',
    "unknown member first": '{"extra": 1, "condition": @C, "vessel": @V}',
    "inside the condition": '{"condition": {"vessel": @V}}',
    "inside an unknown member": '{"condition": @C, "extra": {"vessel": @V}}',
    "inside a list": '{"condition": @C, "extra": ["vessel", @V]}',
    "in a string": '{"condition": @C, "extra": "{\\"vessel\\": @V"}',
    "a longer name": '{"condition": @C, "a\\"vessel": @V}',
    "a name that ends so": '{"condition": @C, "my,"vessel": @V}',
    "no colon": '{"condition": @C, "vessel" @V}',
    "two colons": '{"vessel": : @V, "condition": @C}',
    "too much after": '{"vessel": @V}, "condition": @C}',
    "too much after, brace": '{"vessel": @V}}',
    "too little after": '{"vessel": @V, "condition": @C',
    "letters before": '{"vessel": x@V, "condition": @C}',
    "letters after": '{"vessel": @Vx, "condition": @C}',
    "comma twice": '{"vessel": @V,, "condition": @C}',
    "comma at the end": '{"condition": @C, "vessel": @V,}',
    "two objects": '{"vessel": @V @V, "condition": @C}',
    "a list of her": '{"vessel": [@V], "condition": @C}',
    "byte order mark": '\ufeff{"vessel": @V, "condition": @C}',
    "other spaces": '{\u00a0"vessel": @V, "condition": @C}',
    "a combining character after": '{"vessel": @V\u0301, "condition": @C}',
    "NaN after": '{"vessel": @V, "condition": NaN}',
    "condition as a string": '{"vessel": @V, "condition": "condition"}',
}


@pytest.mark.parametrize("template", HOSTILE.values(), ids=HOSTILE.keys())
def test_what_stands_around_a_known_text_is_read_as_strictly(template: str) -> None:
    knows, knows_none = Assessor(), Assessor()
    knows.answer(text(ORDERS["vessel first"]))
    assert outcome(knows, text(template)) == outcome(knows_none, text(template))
    assert not isinstance(outcome(knows, text(template)), bytes)
    assert outcome_if_small(knows, text(template)) in (None, outcome(knows_none, text(template)))


def test_a_text_in_another_normal_form_is_the_same_ship() -> None:
    """Names are compared in normal form C (Unicode Standard Annex 15), raw or escaped, in her and beside her."""
    decomposed = json.dumps(changed(vessel(), "name", "Ma\u0308rz"), ensure_ascii=False)
    composed = json.dumps(changed(vessel(), "name", "M\u00e4rz"), ensure_ascii=False)
    escaped = json.dumps(changed(vessel(), "name", "Ma\u0308rz"))
    aboard = json.dumps(changed(condition(), "title", "Mu\u0308nze"), ensure_ascii=False)
    assessor = Watched()
    template = ORDERS["vessel first"]
    answers = [assessor.answer(text(template, ship)) for ship in (decomposed, composed, escaped) * 2]
    assert len(set(answers)) == 1
    assert assessor.read == 3
    titled = json.loads(assessor.answer(text(template, decomposed, aboard)))
    assert (titled["title"], titled["provenance"]["vessel"]["name"]) == ("M\u00fcnze", "M\u00e4rz")
    assert assessor.read == 3


def test_depth_counts_from_the_top_of_the_request() -> None:
    deep = '{"a": ' * 8 + "1" + "}" * 8
    for depth in (8, 9, 10):
        assessor = Assessor(json_depth=depth)
        assessor._inline.remember(deep.encode(), json.loads(deep), None)  # type: ignore[arg-type]
        assert (assessor._inline._by_text._values == {}) == (depth < 9)
        request = text('{"vessel": @V, "condition": {}}', deep)
        if depth < 9:
            with pytest.raises(UnreadableJson):
                assessor.answer(request)
        else:
            with pytest.raises(Refusal):
                assessor.answer(request)


JSON = st.recursive(
    st.one_of(st.none(), st.booleans(), st.integers(-9, 9), st.text('{}[],:"\\ vesslcondit', max_size=12)),
    lambda inner: st.one_of(
        st.lists(inner, max_size=3),
        st.dictionaries(st.sampled_from(["vessel", "condition", 'x"vessel', "", "a"]), inner, max_size=3),
    ),
    max_leaves=8,
)


@settings(max_examples=400, deadline=None, derandomize=True)
@given(
    st.dictionaries(st.sampled_from(["vessel", "condition", "vessel_id", "a"]), JSON, max_size=4),
    st.sampled_from([None, 1]),
)
def test_a_cut_gives_the_parts_of_any_request_or_a_text_that_is_no_document(
    document: dict[str, Any], indent: int | None
) -> None:
    request = json.dumps(document, indent=indent).encode()
    apart = cut(request)
    if apart is None:
        return
    try:
        her = parse_json(apart.vessel)
    except UnreadableJson:
        return  # a wrong guess: never remembered, so never recognised
    rest = parse_json(apart.rest)
    assert her == document["vessel"]
    assert rest == {**document, "vessel": None}
