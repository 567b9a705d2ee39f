"""The text of an answer: byte for byte what pydantic's encoder writes, so that the library behind it can change without
a kept digest, a stored revision or a client noticing."""

import json
import struct
from collections.abc import Callable
from random import Random
from typing import Any

import numpy as np
import pydantic_core
import pytest

from service.actions.assess import Assessor, as_json
from service.actions.demo_vessel import find_demo_vessel
from service.demo import condition_names, demo_vessel_ids, read_condition

DEMO = [(ship, name) for ship in demo_vessel_ids() for name in condition_names(ship)]
DOUBLES = 50_000


def by_pydantic(value: object) -> bytes:
    return pydantic_core.to_json(value, inf_nan_mode="null")


@pytest.mark.parametrize("units", ["metric", "us"])
@pytest.mark.parametrize(("ship", "name"), DEMO)
def test_demo_answers_are_written_the_same_by_both_encoders(ship: str, name: str, units: str) -> None:
    request = {"vessel_id": ship, "condition": json.loads(read_condition(ship, name))}
    answer = Assessor(find_demo_vessel).assessment(request, units)
    assert as_json(answer) == by_pydantic(answer)


def any_bits(random: Random) -> float:
    """A double of any bit pattern: subnormal, huge, infinite and NaN among them."""
    value: float = struct.unpack("<d", random.randbytes(8))[0]
    return value


def of_the_size_of_a_figure(random: Random) -> float:
    return random.uniform(-1.0, 1.0) * 10.0 ** random.randint(-9, 22)


def short_decimal(random: Random) -> float:
    return round(random.uniform(-10_000.0, 10_000.0), random.randint(0, 6))


@pytest.mark.parametrize("draw", [any_bits, of_the_size_of_a_figure, short_decimal])
def test_doubles_are_written_the_same_by_both_encoders(draw: Callable[[Random], float]) -> None:
    random = Random(1)
    doubles = [draw(random) for _ in range(DOUBLES)]
    assert as_json({"doubles": doubles}) == by_pydantic({"doubles": doubles})


@pytest.mark.parametrize(
    "value",
    [
        0.0, -0.0, 5e-324, 2.2250738585072014e-308, 1.7976931348623157e308, 1e15, 1e16, 1e21, 1e22, 1e-5, 1e-6, 1e-7,
        0.1 + 0.2, float("inf"), float("-inf"), float("nan"), 2**53, -(2**53), True, None,
        "\x00\x1f\x7f\"\\/\b\f\n\r\t", "Ærø, Łódź, \u2028\u2029, 船, 🚢", "</script>",
    ],
)  # fmt: skip
def test_edges_are_written_the_same_by_both_encoders(value: Any) -> None:
    assert as_json({"a": [value]}) == by_pydantic({"a": [value]})


def test_scalars_of_numpy_are_written_as_the_numbers_they_are() -> None:
    scalars = {"a": np.float64(0.1), "b": np.int64(3), "c": np.bool_(True), "d": np.float64("nan")}
    assert as_json(scalars) == b'{"a":0.1,"b":3,"c":true,"d":null}'
