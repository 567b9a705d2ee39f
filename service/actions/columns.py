"""Columns of numbers on their way to the wire."""

from typing import Any

import numpy as np

from service.core.frame import Floats

Row = dict[str, Any]


def listed(values: Floats) -> list[float | None]:
    """Numbers as a list with None for what is not to be had (NaN or infinite)."""
    if np.isfinite(values).all():
        return values.tolist()  # type: ignore[no-any-return]
    return [value if abs(value) < np.inf else None for value in values.tolist()]
