"""Calls about webhooks: who is told of changes, and what became of each message."""

from collections.abc import AsyncIterator
from typing import cast

from service.client.asynchronous.connection import AsyncConnection
from service.client.attempts import json_of
from service.client.documents import JSON, MERGE_PATCH, Document, Filter, address, parameters, text_of
from service.wire.webhook import Delivery, NewWebhook, Redelivery, Webhook


class AsyncWebhookCalls(AsyncConnection):
    """Webhooks, by the rules of Standard Webhooks. What they bring is checked by `verify_webhook`."""

    def list_webhooks(self, **filters: Filter) -> AsyncIterator[Webhook]:
        """Webhooks of the key that asks; all for an administrator."""
        return self._pages("/v1/webhooks", parameters(**filters))

    async def add_webhook(self, request: Document) -> NewWebhook:
        """Make a webhook. The answer alone shows its secret. Where the connection is lost after the request was sent,
        this is not done again: look at `list_webhooks` then."""
        headers = {"Content-Type": JSON}
        answer = await self._send(
            "POST", "/v1/webhooks", repeatable=False, content=text_of(request), headers=headers
        )
        return cast(NewWebhook, json_of(answer))

    async def get_webhook(self, webhook: str) -> Webhook:
        """One webhook, without its secret."""
        return cast(Webhook, await self._get(address("v1", "webhooks", webhook)))

    async def patch_webhook(self, webhook: str, change: Document) -> Webhook:
        """Change a webhook, pause it, let it go on; sending what differs, as a merge patch (RFC 7396)."""
        headers = {"Content-Type": MERGE_PATCH}
        path = address("v1", "webhooks", webhook)
        return cast(
            Webhook, json_of(await self._send("PATCH", path, content=text_of(change), headers=headers))
        )

    async def delete_webhook(self, webhook: str) -> Webhook:
        """Delete a webhook with all of its deliveries. Where the connection is lost after the request was sent, this is
        not done again."""
        path = address("v1", "webhooks", webhook)
        return cast(Webhook, json_of(await self._send("DELETE", path, repeatable=False)))

    def list_deliveries(self, webhook: str, **filters: Filter) -> AsyncIterator[Delivery]:
        """Messages of a webhook and what became of them, newest first."""
        return self._pages(address("v1", "webhooks", webhook, "deliveries"), parameters(**filters))

    async def redeliver(self, webhook: str, deliveries: list[str] | None = None) -> Redelivery:
        """Send messages again, under the ids they had; all dead ones where none is named."""
        wanted = {} if deliveries is None else {"deliveries": deliveries}
        path = address("v1", "webhooks", webhook, "redeliver")
        return cast(Redelivery, await self._ask(path, wanted))

    async def test_webhook(self, webhook: str) -> Delivery:
        """Send a test to a webhook, once; `list_deliveries` says soon what became of it. Where the connection is lost
        after the request was sent, this is not done again."""
        path = address("v1", "webhooks", webhook, "test")
        return cast(Delivery, json_of(await self._send("POST", path, repeatable=False)))

    async def set_webhook_secret(self, webhook: str, *, overlap_hours: int = 24) -> NewWebhook:
        """Give a webhook another secret; for these hours both sign. The answer alone shows it."""
        path, headers = address("v1", "webhooks", webhook, "secret"), {"Content-Type": JSON}
        text = text_of({"overlap_hours": overlap_hours})
        return cast(
            NewWebhook,
            json_of(await self._send("POST", path, repeatable=False, content=text, headers=headers)),
        )
