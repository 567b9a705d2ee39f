"""Figures as people type them: decimal signs, thousands, feet and inches, letters for the direction, units behind.

A figure is never guessed. Where one comma or point stands before three digits and nothing tells whether it is a decimal
sign, both readings are given and whoever reads the sheet decides.
"""

import re
from functools import lru_cache
from typing import NamedTuple

from service.imports.quantities import Unit, units_named

_MINUS = str.maketrans(
    dict.fromkeys("−–—‐‑‒﹣－", "-")
    | dict.fromkeys("\u00a0\u2007\u2009\u202f\u2008\u200a", " ")
    | {"’": "'", "′": "'", "″": '"', "”": '"', "“": '"'}
)
_PLAIN = re.compile(r"-?(?:0|[1-9][0-9]*)(?:\.(?:[0-9]{1,2}|[0-9]{4,}))?\Z")
"""A figure that can be read in one way and says at most that the point is the decimal sign."""
_GROUPS = re.compile(r"[1-9][0-9]{0,2}(?:[' ][0-9]{3})+(?![0-9])")
_POINT = re.compile(r"(?:[0-9]+|[1-9][0-9]{0,2}(?:,[0-9]{3})+)(?:\.[0-9]*)?\Z|\.[0-9]+\Z")
_COMMA = re.compile(r"(?:[0-9]+|[1-9][0-9]{0,2}(?:\.[0-9]{3})+)(?:,[0-9]*)?\Z|,[0-9]+\Z")
_EXPONENT = re.compile(r"(.*[0-9.,])[eE]([+-]?[0-9]{1,3})\Z")
_MARK = re.compile(
    r"(?:\s*(?:[*†‡]+|\((?:see )?(?:foot)?notes?\.? ?[0-9]*\)|\([a-z*]\)|[¹²³]|(?<=\s)[0-9]{1,2}\))){1,4}\Z",
    re.IGNORECASE,
)
_WORDS = re.compile(r"([0-9.,][-0-9.,' \"/]*(?:[eE][+-]?[0-9]{1,3}(?![0-9]))?)\s*([^\W\d_°%].*|[°%])\Z")
_DASHES = frozenset(("-", "--", "---", "----", "n/a", "n.a.", "na", ".", "...", "…", "nil"))

_FRACTION = r"(?:\s+([0-9]{1,2})/([0-9]{1,2}))?"
_INCHES = r"([0-9]{1,2}(?:\.[0-9]+)?)" + _FRACTION
_FEET = (
    re.compile(r"([0-9]{1,4})\s*'\s*-?\s*(?:" + _INCHES + r'\s*(?:"|\'\'|in)?)?\Z'),
    re.compile(
        r"([0-9]{1,4})\s*(?:ft|feet|foot)\.?\s*(?:" + _INCHES + r'\s*(?:inches|inch|ins|in|")\.?)\Z',
        re.IGNORECASE,
    ),
    re.compile(r"([0-9]{1,4})-([0-9]{1,2}(?:\.[0-9]+)?)()()\Z"),
)
_EIGHTHS = re.compile(r"([0-9]{1,4})-([0-9]{1,2})-([0-7])\Z")

LETTERS = {
    "x": {**dict.fromkeys(("f", "fwd", "fwd.", "forward", "fore"), 1), **dict.fromkeys(("a", "aft"), -1)},
    "y": {
        **dict.fromkeys(("p", "ps", "port"), 1),
        **dict.fromkeys(("s", "sb", "stbd", "stbd.", "starboard"), -1),
    },
    "trim": {
        **dict.fromkeys(("by the stern", "by stern", "a", "aft", "stern"), 1),
        **dict.fromkeys(("by the head", "by head", "by the bow", "f", "fwd", "forward", "head"), -1),
    },
}
"""Letters and words behind a figure: +1 forward, to port or by the stern; −1 the other way."""


class Typed(NamedTuple):
    """A typed figure: its value if the point, and if the comma is the decimal sign (None: not so), the letter behind it
    (+1, −1, 0 for none), whether it has a minus sign, units behind it, whether it is in feet and inches, and a mark
    that was left out."""

    point: float | None
    comma: float | None
    letter: int = 0
    minus: bool = False
    units: tuple[Unit, ...] = ()
    feet: bool = False
    mark: str = ""

    @property
    def sign(self) -> str:
        """The decimal sign it gives away: point, comma, or nothing."""
        if self.feet or self.point == self.comma:
            return ""
        return "comma" if self.point is None else "point" if self.comma is None else ""

    @property
    def is_ambiguous(self) -> bool:
        """Whether two readings differ."""
        return self.point is not None and self.comma is not None and self.point != self.comma

    def value(self, sign: str = "") -> float:
        """The figure; `sign` decides between two readings."""
        found = self.comma if sign == "comma" or self.point is None else self.point
        assert found is not None
        return found


def is_plain_figure(text: str) -> bool:
    """Whether a text can be read in one way, with the point as its decimal sign if it has one."""
    return _PLAIN.match(text) is not None


class NotAFigure(Exception):
    """A code of the catalogue."""


BLANK = Typed(None, None)
"""A dash, or another word for nothing."""


@lru_cache(maxsize=16_384)
def typed(text: str, quantity: str | None, axis: str) -> Typed | str:
    """What a cleaned text says as a figure of a quantity; the code of the catalogue where it says none."""
    if _PLAIN.match(text):
        value = float(text)
        return Typed(value, None if "." in text else value, minus=text[0] == "-")
    try:
        return _typed(text.translate(_MINUS).strip(), quantity, axis)
    except NotAFigure as no:
        return str(no)


def _typed(text: str, quantity: str | None, axis: str) -> Typed:
    if text.casefold() in _DASHES:
        return BLANK
    mark = _MARK.search(text)
    if mark and mark.start():
        return _typed(text[: mark.start()].strip(), quantity, axis)._replace(mark=mark[0].strip())
    minus = text.startswith("-") or (text.endswith("-") and text[:1].isdigit())
    body = text.lstrip("+-").removesuffix("-").strip() if minus or text.startswith("+") else text
    if text.startswith(("--", "+-", "-+")):
        raise NotAFigure("not_a_number")
    found = _core(body, quantity)
    if found is None:
        found = _with_words(body, quantity, axis)
    return _signed(found, minus)


def _core(body: str, quantity: str | None) -> Typed | None:
    """Feet and inches, or digits with their signs; None where it is neither."""
    feet = _feet_and_inches(body) if quantity == "length" else None
    return _readings(body) if feet is None else Typed(feet, feet, feet=True)


def _signed(found: Typed, minus: bool) -> Typed:
    if not minus:
        return found
    point = None if found.point is None else -found.point
    return found._replace(point=point, comma=None if found.comma is None else -found.comma, minus=True)


def _with_words(body: str, quantity: str | None, axis: str) -> Typed:
    """A figure with a letter, a unit, or both behind it: 9.5 S, 1476 t, 1.0 m by the stern."""
    letters = LETTERS.get(axis, {})
    parts = _WORDS.match(body)
    if parts is None:
        raise NotAFigure("not_a_number")
    number, words = parts[1].strip(), parts[2].strip()
    letter, units = letters.get(words.casefold()), tuple(units_named(words))
    first, _, rest = words.partition(" ")
    if letter is None and not units:
        letter, units = letters.get(rest.strip().casefold()), tuple(units_named(first))
        if letter is None or not units:
            raise NotAFigure("not_a_number")
    found = _core(number, quantity)
    if found is None:
        raise NotAFigure("not_a_number")
    return found._replace(letter=letter or 0, units=() if letter and not rest else units)


def _readings(body: str) -> Typed | None:
    """Both readings of digits with their signs; None where it is neither."""
    exponent = _EXPONENT.match(body)
    digits, power = (exponent[1], f"e{exponent[2]}") if exponent else (body, "")
    if "'" in digits or " " in digits:
        grouped = _GROUPS.match(digits)
        if grouped is None:
            return None
        digits = grouped[0].replace("'", "").replace(" ", "") + digits[grouped.end() :]
        if digits.count(",") + digits.count(".") > 1:
            return None
        decimal = re.search(r"[.,]", digits)
        if decimal:  # the thousands are told by another sign: this one is the decimal
            value = _number(digits.replace(",", "."), power)
            return Typed(value, None) if decimal[0] == "." else Typed(None, value)
    if power and digits.count(",") + digits.count(".") == 1:  # no thousands stand before an exponent
        value = _number(digits.replace(",", "."), power)
        return Typed(value, None) if "." in digits else Typed(None, value)
    point = _number(digits.replace(",", ""), power) if _POINT.match(digits) else None
    comma = _number(digits.replace(".", "").replace(",", "."), power) if _COMMA.match(digits) else None
    return None if point is None and comma is None else Typed(point, comma)


def _number(digits: str, power: str) -> float:
    value = float(digits + power)
    if value - value != 0.0:
        raise NotAFigure("too_large")
    return value


def _feet_and_inches(body: str) -> float | None:
    """Decimal feet of 22-07.5, 22'07.5", 22' 7 1/2", 22-07-4 (eighths of an inch) or 26 ft 6 in."""
    eighths = _EIGHTHS.match(body)
    if eighths:
        feet, inches, part = int(eighths[1]), float(eighths[2]), int(eighths[3]) / 8.0
    else:
        found = next((match for pattern in _FEET if (match := pattern.match(body))), None)
        if found is None:
            return None
        feet, inches, part = int(found[1]), float(found[2] or 0.0), 0.0
        if found[3]:
            if not int(found[4]) or int(found[3]) >= int(found[4]):
                return None
            part = int(found[3]) / int(found[4])
    if inches + part >= 12.0:
        raise NotAFigure("inches_too_great")
    return feet + (inches + part) / 12.0
