"""News of other servers' commits: on PostgreSQL every writing transaction that adds to the feed notifies a channel.

Source: PostgreSQL 15 documentation, NOTIFY and LISTEN: a notification is delivered when its transaction commits.
"""

from collections.abc import Callable

import psycopg
from sqlalchemy import URL

CHANNEL = "loading_changes"


async def listen(url: URL, heard: Callable[[], None]) -> None:
    """Call `heard` once listening, and whenever the feed grows, until cancelled or the connection is lost.

    Raises psycopg.Error when it is lost. `url` must be of PostgreSQL.
    """
    conninfo = url.set(drivername="postgresql").render_as_string(hide_password=False)
    connection = await psycopg.AsyncConnection.connect(
        conninfo, autocommit=True, connect_timeout=5, application_name="loading conditions, listening"
    )
    async with connection:
        await connection.execute(f"LISTEN {CHANNEL}")
        heard()
        async for _ in connection.notifies():
            heard()
