"""The calculation version: changes whenever a figure of an answer can change."""

from service.core.conventions import CALCULATION_VERSION

__all__ = ["CALCULATION_VERSION"]
