"""Waiting, and iterables of either kind. Written for each kind of client by hand."""

import asyncio
from collections.abc import AsyncIterable, AsyncIterator, Iterable
from typing import TypeVar

ItemT = TypeVar("ItemT")
Items = AsyncIterable[ItemT] | Iterable[ItemT]


async def each(items: Items[ItemT]) -> AsyncIterator[ItemT]:
    """The items of an iterable, one after the other."""
    if isinstance(items, AsyncIterable):
        async for item in items:
            yield item
    else:
        for item in items:
            yield item


async def sleep(seconds: float) -> None:
    """Wait."""
    await asyncio.sleep(seconds)
