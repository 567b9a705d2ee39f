"""No write is answered before it is committed: what the answer says is there for everybody when its first byte goes.

A probe stands round the application and looks into the database, through a connection of its own, at the moment the
application begins an answer.
"""

import json
from collections.abc import Callable
from typing import Any

import anyio
import httpx
import pytest
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from service.app import create_app
from service.storage import Storage
from tests.api.office import MERGE_PATCH, condition_document, settings_for, vessel_document


class Probe:
    """Notes what `look` sees at the start of each answer."""

    def __init__(self, app: ASGIApp, look: Callable[[], Any]) -> None:
        self.app, self.look = app, look
        self.seen: list[Any] = []

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        async def watched(message: Message) -> None:
            if message["type"] == "http.response.start":
                self.seen.append(self.look())
            await send(message)

        await self.app(scope, receive, watched)


@pytest.mark.parametrize("settled", [True, False], ids=["kept", "refused"])
def test_every_write_is_committed_when_its_answer_begins(migrated_url: str, settled: bool) -> None:
    anyio.run(_run, migrated_url, settled)


async def _run(url: str, settled: bool) -> None:
    app = create_app(settings_for(url))
    reader = Storage(url)

    def look() -> tuple[int, int, int]:
        with reader.transaction() as tx:
            head = tx.changes.head()
            return head.id if head else 0, len(tx.keys.list()), len(tx.audit.list(limit=1000))

    probe = Probe(app, look)
    async with (
        app.router.lifespan_context(app),
        httpx.AsyncClient(transport=httpx.ASGITransport(probe), base_url="http://test", timeout=30) as http,
    ):
        await _write_everything(http, probe, settled)
    reader.close()


async def _write_everything(http: httpx.AsyncClient, probe: Probe, settled: bool) -> None:
    """Every kind of write; after each, the probe must have seen exactly what it left."""

    async def check(answer: httpx.Response, changes: int, keys: int, notes: int) -> httpx.Response:
        assert answer.is_success, answer.text
        assert probe.seen[-1] == (changes, keys, notes), answer.request.url
        return answer

    made = await check(await http.post("/v1/vessels", json=vessel_document()), 1, 0, 1)
    ship = made.headers["Location"]
    tag = {"If-Match": made.headers["ETag"]}
    if not settled:
        before = probe.seen[-1]
        await http.put(ship, json=vessel_document(), headers={"If-Match": '"stale"'})
        await http.post(f"{ship}/conditions", json={})
        assert probe.seen[-2:] == [before, before]
        return
    await check(await http.put(ship, json=vessel_document(name="Other"), headers=tag), 2, 0, 2)
    named = {"Idempotency-Key": "once"}
    made = await check(
        await http.post(f"{ship}/conditions", json=condition_document(), headers=named), 3, 0, 3
    )
    await check(await http.post(f"{ship}/conditions", json=condition_document(), headers=named), 3, 0, 3)
    condition, tag = made.headers["Location"], {"If-Match": made.headers["ETag"]}
    put = await check(await http.put(condition, json=condition_document(title="Two"), headers=tag), 4, 0, 4)
    patch = {**MERGE_PATCH, "If-Match": put.headers["ETag"]}
    await check(await http.patch(condition, content=json.dumps({"title": "Three"}), headers=patch), 5, 0, 5)
    key = await check(await http.post("/v1/keys", json={"name": "Head", "role": "administrator"}), 5, 1, 6)
    head = {"Authorization": f"Bearer {key.json()['token']}"}
    review = await http.post(f"{condition}/revisions/3/reviews", json={"decision": "accepted"}, headers=head)
    await check(review, 6, 1, 7)
    other = await http.post("/v1/keys", json={"name": "Mate", "role": "ship"}, headers=head)
    await check(other, 6, 2, 8)
    place = other.headers["Location"]
    await check(await http.put(f"{place}/scope", json={"vessels": []}, headers=head), 6, 2, 9)
    await check(await http.delete(place, headers=head), 6, 2, 10)
