"""The file that `--resume` of `check` and `recheck` keeps: every answer as it comes, for the next run over the same.

JSON lines: the first says what made the answers, each other one holds an answer with the SHA-256 of its request.
"""

import fcntl
import hashlib
import json
from pathlib import Path
from types import TracebackType
from typing import Any, Self

import orjson

from service.translation.calculation_version import CALCULATION_VERSION


def request_digest(around: bytes | None, text: bytes) -> bytes:
    """What tells a request from every other: of the vessel it is put beside, and of its own text."""
    of_vessel = hashlib.sha256(around or b"").digest()
    return hashlib.sha256(of_vessel + text).hexdigest().encode()


class Journal:
    """Answers kept in a file, by the digest of their request. For one process at a time."""

    def __init__(self, path: Path, answers: str) -> None:
        """Open or make the file; `answers` says of which kind they are. Raises OSError, and ValueError where it is not
        such a file, of another calculation, or in use."""
        self._file = path.open("a+b")
        try:
            fcntl.flock(self._file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            self._file.close()
            raise ValueError(f"{path} is in use by another run.") from None
        self._places: dict[bytes, int] = {}
        head = json.dumps({"answers": answers, "calculation_version": CALCULATION_VERSION}).encode() + b"\n"
        try:
            self._read(path, head)
        except BaseException:
            self._file.close()
            raise

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._file.close()

    def answer(self, digest: bytes) -> dict[str, Any] | None:
        """The answer to a request, None where there is none."""
        place = self._places.get(digest)
        if place is None:
            return None
        self._file.seek(place)
        answer: dict[str, Any] = orjson.loads(self._file.readline())["answer"]
        return answer

    def keep(self, digest: bytes, answer: bytes) -> None:
        """Append an answer, which is JSON without line breaks."""
        self._file.write(b'{"request":"%b","answer":%b}\n' % (digest, answer))

    def flush(self) -> None:
        """Hand over to the system what was kept: it outlives this process then."""
        self._file.flush()

    def _read(self, path: Path, head: bytes) -> None:
        """Note where each answer stands; a last line that was not written whole is cut off."""
        self._file.seek(0)
        first = self._file.readline()
        if not first.endswith(b"\n"):
            if not head.startswith(first):
                raise ValueError(f"{path} is no file of answers; nothing was changed in it.")
            self._file.truncate(0)
            self._file.write(head)
            return
        if first != head:
            raise ValueError(
                f"{path} is no file of answers of this kind by calculation {CALCULATION_VERSION}; remove it, or name "
                "another one."
            )
        place = self._file.tell()
        while (line := self._file.readline()).endswith(b"\n"):
            self._places[line[len(b'{"request":"') :][:64]] = place
            place += len(line)
        self._file.truncate(place)
