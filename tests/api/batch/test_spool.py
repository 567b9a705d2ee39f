"""Bytes come out as they went in, from memory or from a file."""

import anyio
import anyio.lowlevel
import pytest

from service.api.batch.spool import Spool

pytestmark = pytest.mark.anyio


@pytest.fixture
def anyio_backend() -> str:
    return "asyncio"


async def test_order_is_kept_past_the_limit_of_memory() -> None:
    spool = Spool()
    pieces = [bytes([number % 251]) * 70_000 for number in range(120)]  # 8.4 MB
    for piece in pieces:
        spool.write(piece)
    spool.end()
    read = b"".join([block async for block in _blocks(spool)])
    assert read == b"".join(pieces)
    spool.close()


async def test_reader_waits_for_the_writer() -> None:
    spool = Spool()
    read = bytearray()

    async def reader() -> None:
        async for block in _blocks(spool):
            read.extend(block)

    with anyio.fail_after(20):
        async with anyio.create_task_group() as tasks:
            tasks.start_soon(reader)
            for number in range(200):
                spool.write(b"%d," % number)
                if number % 3 == 0:
                    await anyio.lowlevel.checkpoint()
            spool.end()
    assert bytes(read) == b"".join(b"%d," % number for number in range(200))
    spool.close()


async def _blocks(spool: Spool):  # type: ignore[no-untyped-def]
    while block := await spool.read():
        yield block
