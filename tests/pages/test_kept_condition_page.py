"""The condition page is kept ready: never behind the records, never another reader's, and cheap to ask for."""

import gzip
import re
from collections.abc import Callable
from contextlib import ExitStack
from functools import partial
from typing import Any

import httpx
import pytest
from markupsafe import Markup
from sqlalchemy import Engine, event

from service.pages.kept_part import PLACE, KeptPart, around, packed, plain
from service.pages.piece_cache import PieceCache
from tests.pages.harbour import Harbour, form_fields, text_of_page

READINGS = (
    *(("ship", ending) for ending in ("", "?units=us", "/revisions/1")),
    *(("reviewer", "?order=cost"), ("integrator", "")),
)
_OF_THIS_SHOWING = re.compile(r'name="once" value="[\w-]{22}')


def made_now(get: Callable[[], httpx.Response]) -> httpx.Response:
    """A page of which no part is taken from what is kept of the condition."""
    known = PieceCache.known

    def unknown(pieces: PieceCache, key: tuple[object, ...]) -> Any:
        return None if key[0] in ("facts", "content") else known(pieces, key)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(PieceCache, "known", unknown)
        return get()


def test_a_kept_page_is_the_one_that_would_be_made_now(harbour: Harbour) -> None:
    """After everything that can change, for each role, in both systems of units, of the latest and of a revision."""
    condition, other = harbour.enter(title="Kept ready"), harbour.enter(title="Takes force later")
    steps: tuple[Callable[[], Any], ...] = (
        lambda: None,
        lambda: harbour.review(condition, 1, "returned", "Ask again."),
        lambda: harbour.revise(condition, "Other water", water_density=1.015),
        lambda: harbour.review(condition, 2, "accepted"),
        lambda: harbour.set_state(condition, "in_force"),
        lambda: harbour.review(condition, 1, "accepted", "After all."),
        lambda: harbour.set_state(other, "in_force"),
        lambda: harbour.set_state(condition, "withdrawn"),
    )
    path, seen = f"/conditions/{condition}", set()
    with ExitStack() as stack:
        readers = {role: stack.enter_context(harbour.reader(role)) for role, _ in READINGS}
        for step in steps:
            step()
            for role, ending in READINGS:
                kept, made = _both(partial(readers[role].get, path + ending))
                assert kept == made
                seen.add(kept)
    harbour.set_state(other, "withdrawn")
    # The four readings of the latest revision change with each step: otherwise this test could not fail.
    assert len(seen) >= 4 * (len(steps) - 1)


def _both(get: Callable[[], httpx.Response]) -> tuple[str, str]:
    kept, made = get(), made_now(get)
    assert [kept.status_code, made.status_code] == [200, 200]
    return _OF_THIS_SHOWING.sub("", kept.text), _OF_THIS_SHOWING.sub("", made.text)


def test_a_kept_page_has_the_name_the_forms_and_the_rights_of_who_reads(harbour: Harbour) -> None:
    condition = harbour.enter()
    path = f"/conditions/{condition}"
    with (
        harbour.reader("ship") as ship,
        harbour.reader("reviewer") as reviewer,
        harbour.reader(None) as nobody,
    ):
        pages = [reader.get(path) for reader in (ship, reviewer, ship)]
        forms = [form_fields(page.text, f"{path}/state") for page in pages]
        assert forms[0]["token"] == forms[2]["token"] != forms[1]["token"]
        assert len({form["once"] for form in forms}) == 3
        assert ["A reviewer, reviewer" in text_of_page(page) for page in pages] == [False, True, False]
        assert [f'action="{path}/copies"' in page.text for page in pages] == [True, False, True]
        assert nobody.get(path).status_code == 401


def test_a_kept_page_is_not_for_who_may_not_see_the_ship(harbour: Harbour) -> None:
    condition = harbour.enter()
    wanted = {"name": "Another ship", "role": "ship", "vessels": ["ostrel"]}
    made = harbour.http.post("/v1/keys", json=wanted, headers=harbour.bearer("administrator"))
    with harbour.reader("ship") as ship, harbour.reader(None) as other:
        other.post("/sign-in", data={"key": made.json()["token"], "target": "/"})
        assert ship.get(f"/conditions/{condition}").status_code == 200
        assert other.get(f"/conditions/{condition}").status_code == 404


def test_a_kept_page_asks_for_two_rows(harbour: Harbour) -> None:
    """Where the chains of the condition end, and when the reader was last here."""
    condition = harbour.enter()
    asked: list[str] = []

    def note(_connection: Any, _cursor: Any, statement: str, values: Any, *_rest: Any) -> None:
        if condition in str(values) or "FROM visits" in statement:
            asked.append(statement)

    with harbour.reader("ship") as ship:
        for _ in range(2):
            ship.get(f"/conditions/{condition}")
        event.listen(Engine, "before_cursor_execute", note)
        try:
            ship.get(f"/conditions/{condition}")
        finally:
            event.remove(Engine, "before_cursor_execute", note)
    assert ["FROM conditions" in asked[0], "FROM visits" in asked[1], len(asked)] == [True, True, 2]


def test_a_page_is_packed_around_its_kept_part(harbour: Harbour) -> None:
    """The same bytes as one that is not packed."""
    condition = harbour.enter()
    with harbour.reader("integrator") as reader:
        reader.get("/")
        texts = [
            reader.get(f"/conditions/{condition}", headers={"Accept-Encoding": coding})
            for coding in ("gzip", "identity")
        ]
    assert [page.headers.get("content-encoding") for page in texts] == ["gzip", None]
    assert texts[0].content == texts[1].content


def test_streams_packed_apart_are_one_gzip() -> None:
    """RFC 1952: a reader that knows nothing of the parts unpacks the whole and its sum of check is right."""
    middle = "verdict − " * 5000
    for before, after in (("<p>", "</p>"), ("", ""), ("a" * 70_000, "Überall " * 9)):
        parts = around(f"{before}{PLACE}{after}", KeptPart(middle))
        whole = plain(parts)
        assert whole.decode() == before + middle + after
        assert gzip.decompress(packed(parts, whole)) == whole
    assert gzip.decompress(packed([b"alone"], b"alone")) == b"alone"
    assert plain(around("nothing kept", None)) == b"nothing kept"


def test_kept_parts_take_room_in_the_cache() -> None:
    pieces = PieceCache(room=1000)
    for n in range(5):
        pieces.value((n,), lambda: KeptPart("x" * 400))
    pieces.value(("text",), lambda: Markup("y" * 300))
    assert [pieces.known((n,)) is not None for n in range(5)] == [False, False, False, False, True]
