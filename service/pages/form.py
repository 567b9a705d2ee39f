"""Posted forms: read in time that grows with their length alone, whatever is in them."""

import re
from functools import partial
from typing import Final

import anyio
import anyio.to_thread
from python_multipart.multipart import parse_options_header
from starlette.datastructures import FormData, UploadFile
from starlette.exceptions import HTTPException
from starlette.requests import Request

MAX_FIELDS: Final = 40_000
"""The form of a condition with 500 tanks and 5,000 weights has 32,000."""
MAX_PART_BYTES: Final = 4_000_000
LONG: Final = 64 * 1024
"""Bytes beyond which a form is read in a thread."""

_BYTE: Final = {f"%{code:02x}".encode(): bytes((code,)) for code in range(256)}
_ESCAPE: Final = re.compile(rb"%[0-9A-Fa-f]{2}")
_UTF_8: Final = (b"utf-8", b"utf8", b"us-ascii")


async def form_of(request: Request, limiter: anyio.CapacityLimiter, *, max_files: int = 0) -> FormData:
    """The fields of the form a request brings, with at most so many files; empty where it brings none. It can be read
    again.

    limiter: of the threads that read long ones: they keep the interpreter from the event loop.
    Raises HTTPException: 415 for a form in another encoding than UTF-8, 400 for one that cannot be read or has too
    many fields."""
    kind, parameters = parse_options_header(request.headers.get("content-type"))
    if parameters.get(b"charset", b"utf-8").lower() not in _UTF_8:
        raise HTTPException(415)
    if kind == b"multipart/form-data":
        return await request.form(max_files=max_files, max_fields=MAX_FIELDS, max_part_size=MAX_PART_BYTES)
    if kind != b"application/x-www-form-urlencoded":
        return FormData()
    body = await request.body()
    if body.count(b"&") >= MAX_FIELDS:
        raise HTTPException(400)
    if len(body) <= LONG:
        return FormData(fields_in(body))
    return FormData(await anyio.to_thread.run_sync(partial(fields_in, body), limiter=limiter))


def fields_in(body: bytes) -> list[tuple[str, str | UploadFile]]:
    """Names and values of `application/x-www-form-urlencoded`, in order (URL Standard, section 5.1).

    What is not UTF-8 is shown by U+FFFD."""
    fields: list[tuple[str, str | UploadFile]] = []
    for piece in body.replace(b"+", b" ").split(b"&"):
        if piece:
            name, _, value = piece.partition(b"=")
            fields.append((_plain(name), _plain(value)))
    return fields


def _plain(text: bytes) -> str:
    if b"%" in text:
        text = _ESCAPE.sub(lambda escape: _BYTE[escape[0].lower()], text)
    return text.decode("utf-8", "replace")
