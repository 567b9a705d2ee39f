"""When a reader was last here: one visit goes on while his pages are no further apart than half an hour."""

from datetime import UTC, datetime, timedelta
from pathlib import Path

from service.actions.access import Caller
from service.actions.last_visit import last_visit
from service.actions.records.lifecycle import visited_records
from service.storage import as_text, migrate


def test_a_visit_ends_half_an_hour_after_its_last_page(tmp_path: Path) -> None:
    database = f"sqlite:///{tmp_path / 'records.db'}"
    migrate(database)
    reader, other = (Caller(id, id, "reviewer", None) for id in ("reader", "other"))
    begun = datetime(2026, 11, 25, 18, 0, tzinfo=UTC)
    ended = begun + timedelta(minutes=25)
    with visited_records(database) as records:
        assert last_visit(records, reader, begun) is None
        assert last_visit(records, reader, ended) is None
        back = begun + timedelta(hours=20)
        assert last_visit(records, reader, back) == as_text(ended)
        assert last_visit(records, reader, back + timedelta(seconds=10)) == as_text(ended)
        assert last_visit(records, reader, back + timedelta(minutes=29)) == as_text(ended)
        assert last_visit(records, other, back) is None
        again = last_visit(records, reader, back + timedelta(hours=3))
        assert again == as_text(back + timedelta(minutes=29))
