"""Waiting, and iterables. Written for each kind of client by hand."""

import time
from collections.abc import Iterable, Iterator
from typing import TypeVar

ItemT = TypeVar("ItemT")
Items = Iterable[ItemT]


def each(items: Items[ItemT]) -> Iterator[ItemT]:
    """The items of an iterable, one after the other."""
    yield from items


def sleep(seconds: float) -> None:
    """Wait."""
    time.sleep(seconds)
