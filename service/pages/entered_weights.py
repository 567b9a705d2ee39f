"""The weights of a condition one by one, as they were entered."""

from typing import Any

from service.wire.assessment import Assessment

MOST = 40
TOLERANCE = 1e-6
"""Relative; what a sum in another order may differ by is far less."""


def weights_one_by_one(record: dict[str, Any]) -> list[dict[str, Any]] | None:
    """The entered weights where their places are those of the answer; None where they are not, or are very many.

    A condition may be entered in other units, and from other axes than the answer's. Whether it was is seen from the
    subtotals of the answer: the entered figures are shown only if they add up to them.
    """
    answer: Assessment = record["assessment"]
    document = record["document"]
    weights: list[dict[str, Any]] = document["weights"]
    if document["units"] != answer["units"]["system"] or not 0 < len(weights) <= MOST:
        return None
    subtotals = {row["category"]: row for row in answer["weights"] if row["kind"] == "weight"}
    categories = {weight["category"] for weight in weights}
    if not categories >= set(subtotals):
        return None  # the service added some
    for category in categories:
        own = [weight for weight in weights if weight["category"] == category]
        row = subtotals.get(category)
        if row is None or not _add_up(own, row):
            return None
    return weights


def _add_up(weights: list[dict[str, Any]], subtotal: Any) -> bool:
    mass = sum(weight["mass"] for weight in weights)
    if abs(mass - subtotal["mass"]) > TOLERANCE * max(1.0, abs(mass)):
        return False
    centre = subtotal["centre"]
    if centre is None:
        return True
    moments = ((name, sum(w["mass"] * w.get(name, 0.0) for w in weights)) for name in ("lcg", "vcg", "tcg"))
    return all(abs(m - mass * centre[name]) <= TOLERANCE * max(1.0, abs(m)) for name, m in moments)
