"""Places of documents in words: no reader of a page meets a JSON pointer (RFC 6901)."""

import re

import pytest

from service.wire.place_in_words import error_in_words, place_in_words
from tests.api.office import vessel_document

SHIP = vessel_document()
TABLED = next(i for i, tank in enumerate(SHIP["tanks"]) if tank.get("table"))
NAME = SHIP["tanks"][TABLED]["name"]


@pytest.mark.parametrize(
    ("pointer", "words"),
    [
        (f"/tanks/{TABLED}/table/rows/4/volume", f"tank {NAME}, row 5, volume"),
        (f"/vessel/tanks/{TABLED}/capacity", f"tank {NAME}, capacity"),
        ("/hydrostatics/rows/0/km", "hydrostatics, row 1, KM"),
        ("/cross_curves/levers/3/2", "cross curves, levers, row 4, column 3"),
        ("/openings/0/x", f"opening {SHIP['openings'][0]['name']}, x"),
        ("/tanks/9999/lcg", "tank 10000, LCG"),
        ("/tanks", "tanks"),
        ("/particulars/length_bp", "particulars, length between perpendiculars"),
        ("/wind_profile/2/centroid_height", "wind profile, row 3, centroid height"),
        ("/rule_sets/1", "rule set 2"),
        ("/a~1b/c~0d", "a/b, c~d"),
        ("", ""),
    ],
)
def test_places(pointer: str, words: str) -> None:
    assert place_in_words(pointer, SHIP) == words


def test_places_of_what_is_no_document() -> None:
    """Whatever was sent, and nothing at all, has places."""
    assert place_in_words("/tanks/3/table/rows/4/volume") == "tank 4, row 5, volume"
    assert place_in_words("/tanks/0/name", {"tanks": [7]}) == "tank 1, name"
    assert place_in_words("/tanks/0/name", {"tanks": {"0": {"name": 3}}}) == "tank 1, name"
    assert place_in_words("/condition/tanks/0/fill", {"tanks": [{"tank": "FP"}]}) == "tank FP, fill"


def test_an_error_begins_with_its_place() -> None:
    assert error_in_words("/tanks/0/lcg", "This must be a number.") == "Tank 1, LCG: This must be a number."
    assert error_in_words("", "This must be an object.") == "This must be an object."


def test_every_place_of_a_ship_has_words() -> None:
    def places(node: object, at: str) -> list[str]:
        inner = node.items() if isinstance(node, dict) else enumerate(node) if isinstance(node, list) else ()
        return [at, *(place for key, value in inner for place in places(value, f"{at}/{key}"))]

    for pointer in places(SHIP, "")[1:]:
        if pointer.endswith("/table"):
            continue  # the tank itself says it
        words = place_in_words(pointer, SHIP)
        assert words, pointer
        assert not re.search(r"/[a-z_]+/|_", words.replace(NAME, "")), words
