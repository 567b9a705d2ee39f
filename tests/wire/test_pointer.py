"""RFC 6901, section 5: the pointers of its example document."""

import pytest

from service.wire.pointer import pointer_of


@pytest.mark.parametrize(
    ("path", "pointer"),
    [
        ((), ""),
        (("foo",), "/foo"),
        (("foo", 0), "/foo/0"),
        (("",), "/"),
        (("a/b",), "/a~1b"),
        (("c%d",), "/c%d"),
        (("k\"l",), "/k\"l"),
        ((" ",), "/ "),
        (("m~n",), "/m~0n"),
    ],
)  # fmt: skip
def test_examples_of_rfc_6901(path: tuple[str | int, ...], pointer: str) -> None:
    assert pointer_of(path) == pointer
