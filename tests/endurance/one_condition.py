"""Many clients editing one condition: one winner for each revision, no update lost."""

import threading
from collections.abc import Callable
from dataclasses import dataclass, field

import httpx

CLIENTS = 16


@dataclass
class Edits:
    """What the clients were told: by the title each attempt wrote."""

    won: dict[str, tuple[int, str]] = field(default_factory=dict)
    """Number and digest of the revision it made."""
    lost: list[str] = field(default_factory=list)
    """Refused: somebody else was faster."""
    unknown: list[str] = field(default_factory=list)
    """The connection broke before an answer."""


def edit(address: str, condition: str, wins: int, meanwhile: Callable[[Edits], None] | None = None) -> Edits:
    """Let every client revise the condition until it won `wins` times; `meanwhile` runs beside them."""
    edits = Edits()
    start = threading.Barrier(CLIENTS)
    threads = [
        threading.Thread(target=_client, args=(address, condition, number, wins, edits, start))
        for number in range(CLIENTS)
    ]
    for thread in threads:
        thread.start()
    if meanwhile is not None:
        meanwhile(edits)
    for thread in threads:
        thread.join(120)
        assert not thread.is_alive()
    return edits


def _client(
    address: str, condition: str, number: int, wins: int, edits: Edits, start: threading.Barrier
) -> None:
    path, mine, attempt = f"/v1/conditions/{condition}", 0, 0
    start.wait()
    while mine < wins:
        attempt += 1
        title = f"client {number}, attempt {attempt}"
        try:
            with httpx.Client(base_url=address, timeout=30, trust_env=False) as http:
                tag = http.get(path).headers.get("ETag", "")
                answer = http.patch(
                    path,
                    json={"title": title},
                    headers={"Content-Type": "application/merge-patch+json", "If-Match": tag},
                )
        except httpx.TransportError:
            edits.unknown.append(title)
            continue
        if answer.status_code == 200:
            edits.won[title] = answer.json()["revision"], answer.json()["digest"]
            mine += 1
        else:
            assert answer.status_code in (412, 503), answer.text
            edits.lost.append(title)


def check(address: str, condition: str, edits: Edits) -> int:
    """Hold what the clients were told against the history; the number of its revisions."""
    lines, next_page = {}, f"/v1/conditions/{condition}/revisions?limit=200"
    with httpx.Client(base_url=address, timeout=30, trust_env=False) as http:
        while next_page:
            page = http.get(next_page).json()
            lines |= {line["revision"]: line for line in page["items"]}
            next_page = page["next"]
    assert sorted(lines) == list(range(1, len(lines) + 1))
    for title, (revision, digest) in edits.won.items():
        assert (lines[revision]["title"], lines[revision]["digest"]) == (title, digest)
    assert len({revision for revision, _ in edits.won.values()}) == len(edits.won)
    for revision in range(2, len(lines) + 1):
        assert lines[revision]["previous_digest"] == lines[revision - 1]["digest"]
        title = lines[revision]["title"]
        assert title in edits.won or title in edits.unknown
        assert title not in edits.lost
    return len(lines)
