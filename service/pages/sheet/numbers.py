"""Numbers as people type them: point or comma, spaces between thousands, a true minus sign. None is guessed."""

import re
from collections.abc import Iterable
from typing import Final

from service.wire.figures import MINUS

LONGEST: Final = 24
_SPACES: Final = dict.fromkeys(map(ord, " \u00a0\u2007\u2008\u2009\u200a\u202f'’"))
_PLAIN: Final = re.compile(r"-?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)\Z")
_COMMA: Final = re.compile(r"-?(?:[0-9]+(?:,[0-9]*)?|,[0-9]+)\Z")
_TWO_WAYS: Final = re.compile(r"-?[1-9][0-9]{0,2},[0-9]{3}\Z")
_THOUSANDS: Final = re.compile(r"-?[1-9][0-9]{0,2}(?:,[0-9]{3})+(?:\.[0-9]*)?\Z")
_POINTED: Final = re.compile(r"-?[1-9][0-9]{0,2}(?:\.[0-9]{3})+,[0-9]*\Z")
_SURE_COMMA: Final = re.compile(r"-?(?:[0-9]+,(?:[0-9]{1,2}|[0-9]{4,})|0+,[0-9]+|[0-9]{4,},[0-9]+|,[0-9]+)\Z")


class NotANumber(ValueError):
    """What is wrong with a typed number, as a sentence."""


def number_in(text: str, *, comma: bool = False, most: float = float("inf")) -> float:
    """The number a text says.

    comma: other figures of the sheet are typed with a decimal comma. most: the greatest that can be meant; both decide
    where one comma stands before three digits. Raises NotANumber."""
    shown = f"“{text[:20]}”"
    plain = text.replace(MINUS, "-").translate(_SPACES)
    if len(plain) > LONGEST:
        raise NotANumber(f"{shown} is not a number.")
    if _PLAIN.match(plain):
        return float(plain)
    if _TWO_WAYS.match(plain):
        as_decimal, whole = float(plain.replace(",", ".")), float(plain.replace(",", ""))
        if comma or abs(whole) > most:
            return as_decimal
        raise NotANumber(
            f"{shown} can be read as {as_decimal:g} or as {whole:g}: type {whole:.0f} without a comma, or "
            f"{plain}0."
        )
    if _THOUSANDS.match(plain):
        return float(plain.replace(",", ""))
    if _POINTED.match(plain):
        return float(plain.replace(".", "").replace(",", "."))
    if _COMMA.match(plain):
        return float(plain.replace(",", "."))
    raise NotANumber(f"{shown} is not a number.")


def has_decimal_comma(texts: Iterable[str]) -> bool:
    """Whether one of these texts is a number that can only be read with a decimal comma."""
    return any(
        _SURE_COMMA.match(plain) or _POINTED.match(plain)
        for text in texts
        if "," in text and (plain := text.replace(MINUS, "-").translate(_SPACES))
    )


def as_typed(value: float | str) -> str:
    """A number as it is typed: no more digits than it has. A text stays what it is."""
    return value if isinstance(value, str) else repr(float(value)).removesuffix(".0")
