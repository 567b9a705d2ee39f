"""Every file of `openapi_examples/` is posted, and the answer must be the one beside it."""

import asyncio
from typing import Any

import pytest

from tests.api import examples


@pytest.fixture(scope="module")
def answers() -> dict[str, dict[str, Any]]:
    return asyncio.run(
        examples.answers({name: examples.read(name, examples.REQUEST) for name in examples.names()})
    )


def differences(found: Any, kept: Any, path: str = "") -> list[str]:
    """Places where two documents differ by more than the rounding of another machine (1e-9)."""
    if isinstance(kept, dict) and isinstance(found, dict):
        if kept.keys() != found.keys():
            return [f"{path}: members {sorted(kept.keys() ^ found.keys())}"]
        return [d for key in kept for d in differences(found[key], kept[key], f"{path}/{key}")]
    if isinstance(kept, list) and isinstance(found, list):
        if len(kept) != len(found):
            return [f"{path}: {len(found)} entries instead of {len(kept)}"]
        return [d for i, pair in enumerate(zip(found, kept)) for d in differences(*pair, f"{path}/{i}")]
    if isinstance(kept, float) and isinstance(found, float):
        return (
            [] if found == pytest.approx(kept, rel=1e-9, abs=1e-9) else [f"{path}: {found} instead of {kept}"]
        )
    return [] if found == kept and type(found) is type(kept) else [f"{path}: {found!r} instead of {kept!r}"]


@pytest.mark.parametrize("name", examples.names())
def test_example_is_answered_as_kept(name: str, answers: dict[str, dict[str, Any]]) -> None:
    status, body = examples.expected(name)
    assert answers[name]["status"] == status
    assert differences(answers[name]["body"], body) == []


def test_every_demonstration_condition_is_an_example() -> None:
    kept = {name: examples.read(name, examples.REQUEST) for name in examples.names()}
    assert {name: kept.get(name) for name in examples.demo_requests()} == examples.demo_requests()


def test_examples_hold_refusals_and_every_verdict() -> None:
    verdicts = {examples.expected(name)[1].get("verdict") for name in examples.names()}
    assert {"pass", "fail", "incomplete", None} <= verdicts
