"""A comparison told as a letter, from comparisons that the service makes."""

from typing import Any

import pytest

from service.pages.change_in_words import letter_of
from service.pages.pictures import unbroken
from service.pages.since_accepted import earlier_revision
from tests.api.office import condition_document
from tests.pages.harbour import Harbour


def compared(harbour: Harbour, condition: str, units: str = "metric") -> Any:
    answer = harbour.http.get(
        f"/v1/conditions/{condition}/comparison?from=1&to=2&units={units}", headers=harbour.bearer("reviewer")
    )
    assert answer.status_code == 200, answer.text
    return answer.json()


def test_the_letter_says_since_when_what_and_what_it_did(harbour: Harbour) -> None:
    comparison = compared(harbour, harbour.accepted_then_changed())
    letter = letter_of(comparison)
    figures = {f["name"]: f for f in comparison["figures"]}
    assert letter.since == 1
    assert letter.opening.startswith("Since revision 1 (")
    assert letter.opening.endswith("accepted):")
    assert letter.text.startswith("No. 5 fuel oil tank port 70.8 → 44.3 m³")
    gm = figures["gm_corrected"]
    assert f"GM corrected {gm['before']:.3f} → {gm['after']:.3f} m" in letter.text
    assert "draft aft" in letter.text


def test_the_letter_speaks_the_readers_units(harbour: Harbour) -> None:
    text = letter_of(compared(harbour, harbour.accepted_then_changed(), "us")).text
    assert "2502 → 1564 ft³" in text  # 70.8384 and 44.2740 m³ in cubic feet of 0.3048³ m³
    assert " ft" in text


def test_flips_are_told(harbour: Harbour) -> None:
    condition = harbour.enter("departure-homogeneous")
    harbour.revise(condition, "Timber on deck", **_aboard("timber-loll"))
    comparison = compared(harbour, condition)
    letter = letter_of(comparison)
    assert "The condition: passes → fails, 2 dangers." in letter.text
    for flip in comparison["flips"][:6]:
        assert f"{flip['title']} ({unbroken(flip['clause'])}): pass → fail." in letter.text


def _aboard(name: str) -> dict[str, Any]:
    document = condition_document(name)
    return {member: value for member, value in document.items() if member not in ("title", "voyage")}


def test_nothing_changed_is_said(harbour: Harbour) -> None:
    condition = harbour.enter()
    harbour.revise(condition, "Read again, nothing to change")
    letter = letter_of(compared(harbour, condition))
    assert letter.text == "nothing aboard was changed."


def test_weights_water_and_title_are_told(harbour: Harbour) -> None:
    condition = harbour.enter()
    weights = condition_document()["weights"]
    weights[0] = {**weights[0], "mass": weights[0]["mass"] + 5.0}
    added = {"name": "Spare anchor", "category": "other", "mass": 3.0, "lcg": 80.0, "vcg": 9.0, "tcg": 0.0}
    harbour.revise(condition, "Changes", weights=[*weights[1:], weights[0], added], water_density=1.010)
    text = letter_of(compared(harbour, condition)).text
    assert f"{weights[0]['name']} {weights[0]['mass'] - 5:.1f} → {weights[0]['mass']:.1f} t" in text
    assert "Spare anchor 3.0 t taken aboard" in text
    assert "water density 1.025 → 1.01" in text


@pytest.mark.parametrize(
    ("states", "expected"),
    [
        (["unreviewed"], None),
        (["unreviewed", "unreviewed"], 1),
        (["accepted", "unreviewed", "unreviewed"], 1),
        (["accepted", "returned", "accepted", "returned", "unreviewed"], 3),
        (["unreviewed", "accepted"], 1),
    ],
)
def test_a_revision_is_compared_with_the_last_accepted_one(states: list[str], expected: int | None) -> None:
    history: Any = [{"revision": n, "review_state": s} for n, s in enumerate(states, 1)]
    assert earlier_revision(len(states), history) == expected
