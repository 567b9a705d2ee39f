"""Lines out of blocks, wherever the blocks are cut."""

from hypothesis import given
from hypothesis import strategies as st

from service.api.batch.lines import Line, LineSplitter

LIMIT = 10


def _lines(blocks: list[bytes], limit: int = LIMIT) -> list[Line]:
    splitter = LineSplitter(limit)
    return [line for block in blocks for line in splitter.feed(block)] + list(splitter.finish())


def _expected(text: bytes, limit: int) -> list[Line]:
    """The plain way, with the whole text at hand."""
    lines = []
    for number, piece in enumerate(text.split(b"\n"), start=1):
        stripped = piece.strip(b" \t\r\n")
        if len(piece) > limit:
            lines.append(Line(number, None))
        elif stripped:
            lines.append(Line(number, stripped))
    return lines


@given(st.lists(st.text("ab \r\n", max_size=30).map(str.encode), max_size=12))
def test_blocks_may_be_cut_anywhere(blocks: list[bytes]) -> None:
    assert _lines(blocks) == _expected(b"".join(blocks), LIMIT)


def test_last_line_without_a_break_and_line_endings_of_two_kinds() -> None:
    assert _lines([b"a\r\n\r\n b \nc"]) == [Line(1, b"a"), Line(3, b"b"), Line(4, b"c")]


def test_an_endless_line_is_not_kept() -> None:
    splitter = LineSplitter(LIMIT)
    for _ in range(1000):
        assert list(splitter.feed(b"x" * 1000)) == []
        assert len(splitter._rest) <= LIMIT
    assert list(splitter.feed(b"x\nshort\n")) == [Line(1, None), Line(2, b"short")]
