"""What is kept ready: made once, the least used let go, never more than there is room for."""

from concurrent.futures import ThreadPoolExecutor

from markupsafe import Markup

from service.pages.piece_cache import PieceCache


def test_a_value_is_made_once() -> None:
    kept, made = PieceCache(), []
    for _ in range(3):
        assert kept.value(("a",), lambda: made.append(1) or "piece") == "piece"
    assert len(made) == 1
    assert kept.known(("b",)) is None


def test_the_least_used_goes_first() -> None:
    kept = PieceCache(most=2)
    kept.value(("a",), lambda: 1)
    kept.value(("b",), lambda: 2)
    kept.known(("a",))
    kept.value(("c",), lambda: 3)
    assert [kept.known((name,)) for name in "abc"] == [1, None, 3]


def test_pieces_take_no_more_room_than_there_is() -> None:
    kept = PieceCache(room=100)
    for n in range(20):
        kept.value((n,), lambda: Markup("x" * 30))
    assert sum(kept.known((n,)) is not None for n in range(20)) == 3
    kept.value(("large",), lambda: Markup("x" * 500))
    assert kept.known(("large",)) is not None
    assert kept.known((19,)) is None


def test_many_threads_at_once() -> None:
    kept = PieceCache(most=5, room=200)
    with ThreadPoolExecutor(8) as pool:
        values = list(pool.map(lambda n: kept.value((n % 13,), lambda: Markup(n % 13)), range(4000)))
    assert values == [Markup(n % 13) for n in range(4000)]
