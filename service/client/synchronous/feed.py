"""The feed of changes: read to its end, or followed for as long as a program runs."""

from collections.abc import Iterator
from typing import cast

from service.client.attempts import BETWEEN, BUSY, LONGEST_PAUSE, pause_before
from service.client.documents import parameters
from service.client.errors import FeedRewound, Refused, Unreachable
from service.client.feed_place import FeedPlace, PlaceInMemory, Position
from service.client.synchronous.connection import Connection
from service.client.synchronous.iteration import sleep
from service.wire.change import Change, Changes


class FeedCalls(Connection):
    """What was kept since."""

    def list_changes(self, after: int = 0) -> Iterator[Change]:
        """Every change kept after the one with the number `after`; ends when there are no more for now."""
        more = True
        while more:
            found = self._changes(after)
            for change in found["items"]:
                yield change
            after, more = found["after"], found["more"]

    def follow_changes(
        self, place: FeedPlace | None = None, *, wait: int = 25, pause: float = 5.0
    ) -> Iterator[Change]:
        """Every change from the position in `place` on, for ever, as they are kept.

        A change counts as taken when the next one is asked for, and only then the position moves: what is being
        handled when the program ends comes once more. Where the service is away, it is asked again until it is back.

        `wait`: seconds for which the service holds a question back while nothing comes; with 0 it is asked every
        `pause` seconds.

        Raises `FeedRewound` where the feed does not hold what was taken from it: the service runs on a restored backup.
        Decide then what to do with what came since, and write the position from which to go on; `Position()` is the
        beginning. Raises `Refused` for what does not pass by itself.
        """
        place = place or PlaceInMemory()
        position = place.read()
        failures, is_checked = 0, False
        while True:
            try:
                if not is_checked:
                    self._check(position)
                    is_checked = True
                found = self._changes(position.after, wait)
                failures = 0
            except (Unreachable, Refused) as error:
                if isinstance(error, Refused) and error.problem["status"] not in BUSY + BETWEEN:
                    raise
                failures, is_checked = failures + 1, False
                sleep(pause_before(min(failures, 8)) or LONGEST_PAUSE)
                continue
            for change in found["items"]:
                yield change
                position = Position(change["id"], change["id"], change["digest"])
                place.write(position)
            if found["after"] != position.after:
                position = position._replace(after=found["after"])
                place.write(position)
            if not found["items"] and not wait:
                sleep(pause)

    def _changes(self, after: int, wait: int = 0, limit: int | None = None) -> Changes:
        params = parameters(after=after, wait=wait or None, limit=limit)
        return cast(Changes, self._get("/v1/changes", params, wait=wait))

    def _check(self, position: Position) -> None:
        """Raise FeedRewound where the feed holds another change in the place of the one that was taken last."""
        if position.digest is None:
            return
        found = self._changes(position.change - 1, limit=1)
        for change in found["items"]:
            if change["id"] == position.change and change["digest"] != position.digest:
                raise FeedRewound(
                    {
                        "type": "/problems/feed_rewound",
                        "title": "Feed rewound",
                        "status": 409,
                        "detail": f"The feed holds another change of the number {position.change} than was taken.",
                        "code": "feed_rewound",
                        "request_id": "",
                        "head": found["head"],
                    },
                    found["head"],
                )
