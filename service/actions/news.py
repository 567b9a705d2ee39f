"""The latest changes as people read of them: whose ship, which condition, what happened."""

from dataclasses import dataclass

from service.actions.access import Caller
from service.actions.records.transactions import Records
from service.actions.show_fleet import feed_line
from service.storage import Change as ChangeLine
from service.wire.change import Change


@dataclass(frozen=True, slots=True)
class News:
    """One change with the names of what it is about; `title` of the condition, None for a vessel's data."""

    change: Change
    vessel_name: str
    title: str | None


def latest_news(records: Records, caller: Caller, *, after: int, limit: int) -> tuple[str | None, list[News]]:
    """The digest of the first line of the feed, and up to `limit` of the latest changes numbered above `after` that the
    caller may see, newest first.
    """
    with records.reading() as tx:
        first = tx.changes.after(0, limit=1)
        found = [change for change in tx.changes.latest(limit, caller.vessels) if change.id > after]
        names = tx.vessels.names({change.vessel for change in found})
        revisions = tx.conditions.lines([_revision(change) for change in found if change.condition])
    news = [
        News(
            feed_line(change, revisions),
            names.get(change.vessel, change.vessel),
            line.title if (line := revisions.get(_revision(change))) else None,
        )
        for change in found
    ]
    return (first[0].digest if first else None), news


def _revision(change: ChangeLine) -> tuple[str, int]:
    return (change.condition or "", change.revision)
