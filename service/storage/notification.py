"""News of other servers' commits: on PostgreSQL every writing transaction that adds to the feed notifies a channel.

Source: PostgreSQL 15 documentation, NOTIFY and LISTEN: a notification is delivered when its transaction commits.
"""

from collections.abc import Callable

from sqlalchemy import URL

from .errors import Unavailable

CHANNEL = "loading_changes"


async def listen(url: URL, heard: Callable[[], None]) -> None:
    """Call `heard` once listening, and whenever the feed grows, until cancelled or the connection is lost.

    Raises Unavailable when it is lost. `url` must be of PostgreSQL.
    """
    import psycopg  # a tenth of the start of a server on SQLite

    conninfo = url.set(drivername="postgresql").render_as_string(hide_password=False)
    try:
        connection = await psycopg.AsyncConnection.connect(
            conninfo, autocommit=True, connect_timeout=5, application_name="loading conditions, listening"
        )
        async with connection:
            await connection.execute(f"LISTEN {CHANNEL}")
            heard()
            async for _ in connection.notifies():
                heard()
    except psycopg.Error as error:
        raise Unavailable("the connection that listens was lost") from error
