"""The canonical form is RFC 8785's: its own examples, and the published package on whatever else there is."""

import hashlib
import json

import pytest
import rfc8785
from hypothesis import example, given
from hypothesis import strategies as st

from service.storage import canonical
from service.storage.digest import digest

WHOLE = st.integers(-(2**53) + 1, 2**53 - 1)
VALUES = st.recursive(
    st.none() | st.booleans() | WHOLE | st.floats(allow_nan=False, allow_infinity=False) | st.text(),
    lambda inner: st.lists(inner, max_size=5) | st.dictionaries(st.text(max_size=5), inner, max_size=5),
    max_leaves=20,
)


@given(VALUES)
def test_it_agrees_with_the_published_package(value: object) -> None:
    try:
        expected = rfc8785.dumps(value).decode()
    except (rfc8785.CanonicalizationError, UnicodeEncodeError):
        with pytest.raises(ValueError):
            canonical(value)
    else:
        assert canonical(value) == expected


@given(st.floats(allow_nan=False, allow_infinity=False))
@example(2.0**53)
@example(2.0**53 - 1)
@example(-1e16)
@example(9.9999999999999e-5)
@example(5e-324)
def test_numbers_agree_and_come_back(value: float) -> None:
    assert canonical(value) == rfc8785.dumps(value).decode()
    assert float(canonical([value])[1:-1]) == value


def test_the_example_of_the_scheme() -> None:
    """RFC 8785 section 3.2.2 (input) and 3.2.3 (output); value from memory."""
    given_text = r"""
    {
      "numbers": [333333333.33333329, 1E30, 4.50, 2e-3, 0.000000000000000000000000001],
      "string": "\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"\/",
      "literals": [null, true, false]
    }
    """
    assert canonical(json.loads(given_text)) == (
        '{"literals":[null,true,false],"numbers":[333333333.3333333,1e+30,4.5,0.002,1e-27],'
        '"string":"€$\\u000f\\nA\'B\\"\\\\\\\\\\"/"}'
    )


def test_names_sort_by_utf_16_units() -> None:
    """RFC 8785 section 3.2.3: an emoji comes before U+FB33 although its code point is greater."""
    assert canonical({"\ufb33": 1, "\U0001f600": 2, "\u20ac": 3, "1": 4}) == (
        '{"1":4,"\u20ac":3,"\U0001f600":2,"\ufb33":1}'
    )


def test_one_and_one_point_nought_are_the_same_number() -> None:
    assert canonical([1.0, -0.0, 1, 1e15, 1e16, 1e21, 1e-4, 1e-5, 1e-7]) == (
        "[1,0,1,1000000000000000,10000000000000000,1e+21,0.0001,0.00001,1e-7]"
    )


@pytest.mark.parametrize("value", [float("nan"), float("inf"), 2**53 + 1, "\ud800", {1: 2}, {"a": object()}])
def test_what_json_cannot_carry_has_no_canonical_form(value: object) -> None:
    with pytest.raises(ValueError):
        canonical({"value": value} if not isinstance(value, dict) else value)


def test_anybody_can_compute_a_digest_by_the_written_rule() -> None:
    """The rule of service/storage/digest.py, done by hand."""
    document = '{"title":"Ärger"}'
    record = {"number": 2, "previous": "ab", "margin": 1.0, "document": document, "digest": "left out"}
    envelope = (
        '{"document":"' + hashlib.sha256(document.encode()).hexdigest() + '","kind":"condition_revision",'
        '"margin":1,"number":2,"previous":"ab"}'
    )
    assert digest("condition_revision", record) == hashlib.sha256(envelope.encode()).hexdigest()
