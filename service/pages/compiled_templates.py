"""Templates as code, made once a process: the largest takes a fifth of a second, and nobody should wait for it."""

import asyncio
from types import CodeType
from typing import Final

from anyio import to_thread
from jinja2 import BytecodeCache, Environment
from jinja2.bccache import Bucket

SECONDS_AFTER_THE_START: Final = 3.0


class CompiledTemplates(BytecodeCache):
    """The code of every template, shared by the applications of this process, which give them the same names."""

    _code: dict[tuple[str, str], CodeType] = {}  # noqa: RUF012 - of the process

    def load_bytecode(self, bucket: Bucket) -> None:
        """Find what was made of the same text."""
        bucket.code = self._code.get((bucket.key, bucket.checksum))

    def dump_bytecode(self, bucket: Bucket) -> None:
        """Note what was made of a text."""
        if bucket.code is not None:
            self._code[bucket.key, bucket.checksum] = bucket.code


async def compile_templates(environment: Environment) -> None:
    """Compile them before they are asked for, one after the other, once the first answers are given."""
    await asyncio.sleep(SECONDS_AFTER_THE_START)
    for name in environment.list_templates():
        await to_thread.run_sync(environment.get_template, name)
