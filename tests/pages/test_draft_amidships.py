"""One draft amidships, whichever page says it: with the deflection of the hull, and what it is made of.

Source: a sagging ship is deeper amidships than the straight line between her drafts forward and aft (Derrett and
Barrass, Ship Stability, chapter on draft surveys).
"""

from typing import Any

import pytest

from service.pages.draft_amidships import amidships_in_words, deflection_of
from service.pages.drawings.waterline_sketch import floats_in_words
from tests.pages.conftest import assessment
from tests.pages.harbour import Harbour, text_of_page

NAME = "departure-homogeneous"


@pytest.mark.parametrize(
    ("deflection", "words"),
    [(0.0625, "and 0.062 of sag"), (-0.04, "less 0.040 of hog"), (0.0, ""), (0.0004, "")],
)
def test_both_drafts_and_what_lies_between(deflection: float, words: str) -> None:
    answer: Any = assessment(NAME, deflection=deflection)
    straight, judged = answer["flotation"]["draft_midship"], answer["load_line"]["draft_midship"]
    assert judged == pytest.approx(straight + deflection)
    said = amidships_in_words(answer)
    if words:
        assert said == f"amidships {judged:.3f}: {straight:.3f} {words}"
        assert deflection_of(answer) == deflection
    else:
        assert said == f"amidships {straight:.2f}"
    assert said in floats_in_words(answer)


def test_her_pages_agree(harbour: Harbour) -> None:
    """Key figures, side view, criterion, table and working name the draft that is held against her mark."""
    answer: Any = assessment(NAME, deflection=0.06)
    judged = answer["load_line"]["draft_midship"]
    condition = harbour.enter(deflection=0.06)
    with harbour.reader("ship") as reader:
        text = text_of_page(reader.get(f"/conditions/{condition}"))
        working = text_of_page(reader.get(f"/conditions/{condition}/revisions/1/working"))
    assert text.count(amidships_in_words(answer)) >= 2, "key figures and the words of the drawing"
    assert "amidships with sag" in text
    assert f"Draft amidships with her sag {judged:.3f} m" in text
    assert f"{judged:.3f}" in text, "the criterion"
    assert f"{judged:.4f}" in working
