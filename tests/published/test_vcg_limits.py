"""Greatest VCG of a box, each criterion of 2008 IS Code Part A 2.2 alone.

Source: closed form. GZ and its areas are linear in KG, so that KG = (area under KN - limit) / (cos - cos); KN of the
section cut exactly by polygon clipping and integrated by quadrature, outside this service. The room of 3 mm is that of
cross curves every 5 degrees. Limits: 2008 IS Code Part A 2.2; curves of maximum VCG: SOLAS II-1/5-1.
"""

import json

import pytest

from service.actions.assess import Assessor
from service.translation.vcg_limits import vcg_limits
from tests.published.box_vessel import km, vessel

ROOM = 0.003
SET = "is-code-2008-a-2.2"
BOX = {
    4.0: {
        "2.2.4-initial-gm": 10.183333333,
        "2.2.1-area-to-30": 10.419473337,
        "2.2.1-area-to-40": 10.30961215,
        "2.2.1-area-30-to-40": 10.212407561,
        "2.2.2-lever": 10.513010971,
    },
    6.0: {
        "2.2.4-initial-gm": 8.405555556,
        "2.2.1-area-to-30": 8.476140362,
        "2.2.1-area-to-40": 8.411511951,
        "2.2.1-area-30-to-40": 8.374919331,
        "2.2.2-lever": 8.542007314,
    },
}
LEAST_GM = {4.0: 0.15, 6.0: 0.180636225}
"""KM less the greatest VCG of the governing criterion."""
GOVERNING = {4.0: "2.2.4-initial-gm", 6.0: "2.2.1-area-30-to-40"}


@pytest.fixture(scope="module")
def answer():
    body = {
        "vessel": vessel(),
        "units": "metric",
        "drafts": list(BOX),
        "trims": [0.0],
        "water_density": 1.025,
        "rule_sets": [SET],
    }
    return json.loads(Assessor().answer_about_vessel(json.dumps(body).encode(), vcg_limits))


@pytest.mark.parametrize("draft", BOX)
def test_each_criterion_by_itself(answer, draft):
    (row,) = (row for row in answer["rows"] if row["draft"] == draft)
    assert row["displacement"] == pytest.approx(2050.0 * draft)
    assert row["km"] == pytest.approx(km(draft))
    found = {criterion["id"].removeprefix("is-code-2008-a-"): criterion for criterion in row["criteria"]}
    for name, highest in BOX[draft].items():
        assert found[name]["status"] == "found"
        assert found[name]["max_vcg"] == pytest.approx(highest, abs=ROOM)
        assert found[name]["min_gm"] == pytest.approx(km(draft) - highest, abs=ROOM)
    assert row["governing"] == f"is-code-2008-a-{GOVERNING[draft]}"
    assert row["max_vcg"] == pytest.approx(BOX[draft][GOVERNING[draft]], abs=ROOM)
    assert row["min_gm"] == pytest.approx(LEAST_GM[draft], abs=ROOM)
    # the clause that is not angles or areas is exact: KM - 0.15 m
    assert found["2.2.4-initial-gm"]["max_vcg"] == pytest.approx(km(draft) - 0.15, abs=1e-9)
