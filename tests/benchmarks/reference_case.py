"""The case everything is timed on: a ship of 40 tanks and 81 printed heels, conditions of 40 tanks and 20 weights.

The ship is the demonstration ship Halvenmoor with some of her paired tanks put in a second time. Conditions come
from a seeded generator and differ in every quantity, so that no result can be remembered from one to the next.
"""

import json
from collections.abc import Iterator
from random import Random
from typing import Any

from service.demo import read_vessel

Document = dict[str, Any]

TANKS, WEIGHTS, HEELS = 40, 20, 81
RULE_SETS = ["is-code-2008-a-2.2", "is-code-2008-a-2.3"]
NAMED = {"vessel_id": "00000000-0000-0000-0000-000000000000"}
"""Members of a request by id where nobody looks the id up."""
BLOCKS = ("strength", "icing_surfaces", "air_draft_points")
"""Members of the demonstration ship that the reference case does without; `blocks.py` times what they cost."""
CONSUMABLES = ("fuel_oil", "diesel_oil", "lubricating_oil", "fresh_water")
CATEGORIES = ("cargo", "cargo", "cargo", "stores", "deck_cargo")
QUANTITIES = ("mass", "volume", "fill", "sounding")


def vessel_document() -> Document:
    """The ship; the tanks that have a partner are copied, partner and all, until there are 40. Her strength and what
    else no clause here reads is left out, so that the case is the same in every release."""
    vessel: Document = json.loads(read_vessel("halvenmoor"))
    tanks = vessel["tanks"]
    paired = [tank for tank in tanks if tank.get("pair")]
    tanks += [_copied(tank) for tank in paired[: TANKS - len(tanks)]]
    vessel["rule_sets"] = RULE_SETS
    for block in BLOCKS:
        vessel.pop(block)
    vessel["lightship"].pop("segments")
    assert len(tanks) == TANKS
    return vessel


def _copied(tank: Document) -> Document:
    return {**tank, "id": f"{tank['id']}-2", "name": f"{tank['name']}, second", "pair": f"{tank['pair']}-2"}


def conditions(vessel: Document, count: int, seed: int = 1) -> Iterator[Document]:
    """Conditions of the ship, `count` of them, no two alike."""
    random = Random(seed)
    for number in range(count):
        yield {
            "units": "metric",
            "title": f"Reference condition {number + 1}",
            "water_density": round(random.uniform(1.010, 1.026), 4),
            "free_surface": {"basis": "as_filled"},
            "tanks": _fillings(vessel["tanks"], random),
            "weights": [_weight(i, random) for i in range(WEIGHTS)],
            "wind_additions": [{"name": "Cargo on deck", "area": 85.0, "centroid_height": 9.4}],
            "rule_sets": RULE_SETS,
        }


def _fillings(tanks: list[Document], random: Random) -> list[Document]:
    """A quantity in every tank, as a mass, a volume, a percentage or a sounding in turn; sides nearly alike."""
    full = {True: random.uniform(0.3, 0.9), False: random.uniform(0.1, 0.5)}
    return [
        _filling(tank, QUANTITIES[i % 4], full[tank["contents"] in CONSUMABLES] + random.uniform(-0.02, 0.02))
        for i, tank in enumerate(tanks)
    ]


def _filling(tank: Document, quantity: str, part: float) -> Document:
    capacity = tank["capacity"]
    value = {
        "mass": part * capacity * 0.9,
        "volume": part * capacity,
        "fill": part * 100.0,
        "sounding": part * tank["table"]["rows"][-1]["sounding"],
    }[quantity]
    return {"tank": tank["id"], quantity: round(value, 3)}


def _weight(number: int, random: Random) -> Document:
    category = CATEGORIES[number % len(CATEGORIES)]
    return {
        "name": f"{category.replace('_', ' ').capitalize()}, lot {number + 1}",
        "category": category,
        "mass": round(random.uniform(60.0, 110.0), 1),
        "lcg": round(random.uniform(46.0, 55.0), 2),
        "vcg": round(random.uniform(3.5, 7.0), 2),
        "tcg": round(random.uniform(-0.3, 0.3), 2),
    }


def request_bodies(count: int, seed: int = 1, *, vessel: Document | None = None) -> list[bytes]:
    """Bodies for POST /v1/assessments; `vessel` are the members that name her, the whole document when None."""
    document = vessel_document()
    head = json.dumps({"vessel": document} if vessel is None else vessel)[:-1].encode()
    return [
        b'%s, "condition": %s}' % (head, json.dumps(condition).encode())
        for condition in conditions(document, count, seed)
    ]
