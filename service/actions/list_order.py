"""The order of a list that somebody asks for, and where a page of it ends, as a text for the cursor."""

import json
from collections.abc import Mapping
from typing import Any

from service.storage import Sorting
from service.wire.refusal import foreign_cursor


def sorting_of(sort: str | None, position: str | None) -> Sorting | None:
    """The order asked for, behind a position; None for the list's own order. Raises Refusal for a position that is
    none of such a list."""
    if sort is None:
        return None
    if position is None:
        return Sorting(sort)
    try:
        value, id = json.loads(position)
    except ValueError:
        raise foreign_cursor() from None
    return Sorting(sort, (value, id))


def position_of(item: Mapping[str, Any], sort: str | None) -> str:
    """Where a page ends with an item: its id, with its value where the list has another order than its own."""
    id: str = item["id"]
    return id if sort is None else json.dumps([item[sort.removeprefix("-")], id])
