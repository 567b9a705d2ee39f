"""Differences of documents are named as a person would name them."""

from typing import Any

import pytest

from service.actions.comparison.documents import document_changes


def _found(before: Any, after: Any) -> dict[tuple[str, ...], tuple[str, Any, Any]]:
    return {tuple(c["path"]): (c["change"], c["before"], c["after"]) for c in document_changes(before, after)}


def test_equal_documents_do_not_differ() -> None:
    document = {"a": [1, {"id": "x", "b": None}], "c": {"d": 1.0}}
    assert document_changes(document, document) == []
    assert document_changes({"a": 1}, {"a": 1.0}) == []


@pytest.mark.parametrize(
    ("before", "after", "path", "change"),
    [
        ({"a": 1}, {"a": 2}, ("a",), ("changed", 1, 2)),
        ({}, {"a": None}, ("a",), ("added", None, None)),
        ({"a": {"b": 1}}, {"a": {}}, ("a", "b"), ("removed", 1, None)),
        ({"a": 1}, {"a": True}, ("a",), ("changed", 1, True)),
        ({"a": [1, 2]}, {"a": [1, 3]}, ("a", "entry 2"), ("changed", 2, 3)),
        ({"a": [1, 2]}, {"a": [1]}, ("a",), ("changed", [1, 2], [1])),
        ({"a": {"b": 1}}, {"a": [1]}, ("a",), ("changed", {"b": 1}, [1])),
    ],
)
def test_places(before: Any, after: Any, path: tuple[str, ...], change: tuple[str, Any, Any]) -> None:
    assert _found(before, after) == {path: change}


def test_tanks_keep_their_names_wherever_they_stand() -> None:
    before = {
        "tanks": [{"id": "1", "capacity": 10}, {"id": "2", "capacity": 20}, {"id": "3", "capacity": 30}]
    }
    after = {"tanks": [{"id": "3", "capacity": 31}, {"id": "1", "capacity": 10}, {"id": "4", "capacity": 5}]}
    assert _found(before, after) == {
        ("tanks", "3", "capacity"): ("changed", 30, 31),
        ("tanks", "2"): ("removed", before["tanks"][1], None),
        ("tanks", "4"): ("added", None, after["tanks"][2]),
    }


def test_rows_are_named_by_what_they_are_entered_with() -> None:
    before = {"rows": [{"trim": 0, "draft": 4.0, "km": 6.0}, {"trim": 1, "draft": 4.0, "km": 6.1}]}
    after = {"rows": [{"trim": 0, "draft": 4.0, "km": 6.2}, {"trim": 1, "draft": 4.0, "km": 6.1}]}
    assert _found(before, after) == {("rows", "trim 0, draft 4.0", "km"): ("changed", 6.0, 6.2)}
    twice = {"rows": [{"draft": 4.0, "km": 6.0}, {"draft": 4.0, "km": 6.1}]}
    other = {"rows": [{"draft": 4.0, "km": 6.0}, {"draft": 4.0, "km": 6.3}]}
    assert _found(twice, other) == {("rows", "entry 2", "km"): ("changed", 6.1, 6.3)}
