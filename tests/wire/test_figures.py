"""What a person reads: decimals, signs, sides."""

import pytest

from service.wire.figures import figure, figure_in, list_in_words, number, rounded, trim_in_words, unit, words


@pytest.mark.parametrize(
    ("value", "quantity", "system", "text"),
    [
        (4.2061, "draft", "metric", "4.21 m"),
        (13.8, "draft", "us", "13.80 ft"),
        (0.5584, "lever", "metric", "0.558 m"),
        (3950.04, "mass", "metric", "3950.0 t"),
        (3950.06, "mass", "us", "3950.1 LT"),
        (2117.4, "volume", "us", "2117 ft³"),
        (1.0254, "density", "us", "1.025 t/m³"),
        (12.34, "angle", "metric", "12.3°"),
        (97.96, "percent", "metric", "98.0 %"),
        (0.05504, "lever_area", "metric", "0.055 m·rad"),
        (-0.25, "lever", "metric", "\u22120.250 m"),
        (None, "lever", "metric", "—"),
    ],
)
def test_figure(value: float | None, quantity: str, system: str, text: str) -> None:
    assert figure(value, quantity, system) == text  # type: ignore[arg-type]


def test_number_and_unit_apart() -> None:
    assert number(61.549, "mass", "metric") == "61.5"
    assert unit("mass_moment", "us") == "ft·LT"


@pytest.mark.parametrize("value", [-0.0, -0.0004, 0.0004])
def test_no_negative_zero(value: float) -> None:
    assert rounded(value, 3) == "0.000"


@pytest.mark.parametrize(
    ("angle", "text"),
    [
        (1.24, "1.2° to port"),
        (-1.26, "1.3° to starboard"),
        (0.04, "upright"),
        (-0.04, "upright"),
        (None, "—"),
    ],
)
def test_list_in_words(angle: float | None, text: str) -> None:
    assert list_in_words(angle) == text


@pytest.mark.parametrize(
    ("trim", "system", "text"),
    [
        (0.352, "metric", "0.35 m by the stern"),
        (-1.5, "us", "1.50 ft by the head"),
        (0.004, "metric", "even keel"),
        (-0.004, "metric", "even keel"),
        (None, "metric", "—"),
    ],
)
def test_trim_in_words(trim: float | None, system: str, text: str) -> None:
    assert trim_in_words(trim, system) == text  # type: ignore[arg-type]


def test_figure_in_a_unit_of_the_answer() -> None:
    assert figure_in(0.0551, "m·rad") == "0.055 m·rad"
    assert figure_in(25.04, "degree") == "25.0°"
    assert figure_in(1.2345, "") == "1.234"
    assert figure_in(None, "m") == "—"


def test_words() -> None:
    assert [words(code) for code in ("at_limit", "overfull", "not_computable")] == [
        "at limit",
        "over-full",
        "not computable",
    ]
