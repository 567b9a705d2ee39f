"""The README's box barge against the closed form of a box.

Source: definition, for a box of length L and breadth B at draft d: displacement = density L B d, KM = d / 2 +
B^2 / (12 d), MCTC = displacement L / (1200 d), TPC = density L B / 100; free surface moment = density l b^3 / 12.
"""

import json
import re
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from service.core.hull.cross_curves import kn
from tests.published.hulls import box

ROOT = Path(__file__).parents[2]
EXAMPLES = ROOT / "openapi_examples"
LENGTH, BREADTH, DEPTH, WATER = 60.0, 12.0, 6.0, 1.025
CENTIMETRE = 0.01
# lightship, deck load and two tanks, each half full of ballast; a tank without a table keeps its printed centre
MASSES, HEIGHTS = np.array([600.0, 400.0, 153.75, 153.75]), np.array([3.0, 6.5, 1.25, 1.25])
FREE_SURFACE = 2.0 * WATER * 20.0 * 6.0**3 / 12.0


def read(name: str) -> Any:
    return json.loads((EXAMPLES / name).read_text("utf-8"))


def excerpt() -> Any:
    """The answer that the README shows, shortened, to three decimals."""
    return json.loads(re.findall(r"```json\n(.*?)```", (ROOT / "README.md").read_text("utf-8"), re.DOTALL)[0])


DISPLACEMENT = float(MASSES.sum())
DRAFT = DISPLACEMENT / (WATER * LENGTH * BREADTH)
KM = DRAFT / 2.0 + BREADTH**2 / (12.0 * DRAFT)
GM_SOLID = KM - float(MASSES @ HEIGHTS) / DISPLACEMENT
GM_CORRECTED = GM_SOLID - FREE_SURFACE / DISPLACEMENT


def test_the_answer_has_the_km_the_gm_and_the_drafts_of_the_box() -> None:
    answer = read("box-barge.answer.json")
    assert answer["displacement"] == pytest.approx(DISPLACEMENT, abs=1e-9)
    flotation, stability = answer["flotation"], answer["stability"]
    assert flotation["km"] == pytest.approx(KM, abs=CENTIMETRE)
    for place in ("draft_forward", "draft_midship", "draft_aft"):
        assert flotation[place] == pytest.approx(DRAFT, abs=CENTIMETRE)
    assert stability["gm_solid"] == pytest.approx(GM_SOLID, abs=CENTIMETRE)
    assert stability["gm_corrected"] == pytest.approx(GM_CORRECTED, abs=CENTIMETRE)


def test_the_readme_shows_the_gm_and_the_drafts_of_the_box() -> None:
    shown = excerpt()
    assert shown["stability"]["gm_solid"] == pytest.approx(GM_SOLID, abs=CENTIMETRE)
    assert shown["stability"]["gm_corrected"] == pytest.approx(GM_CORRECTED, abs=CENTIMETRE)
    for place in ("draft_forward", "draft_aft"):
        assert shown["flotation"][place] == pytest.approx(DRAFT, abs=CENTIMETRE)
    assert sum(tank["free_surface_moment"] for tank in shown["tanks"]) == pytest.approx(FREE_SURFACE / 2.0)


def test_the_readme_shows_the_area_under_the_levers_of_the_box() -> None:
    """Simpson's first rule over exact levers every degree up to 30; tolerance: 1 in 400."""
    volume = DISPLACEMENT / WATER
    heels = np.arange(31.0)
    vcg = KM - GM_CORRECTED
    gz = np.array([kn(box(LENGTH, BREADTH, DEPTH), volume, h) - vcg * np.sin(np.radians(h)) for h in heels])
    area = np.radians(1.0) / 3.0 * (gz[0] + 4.0 * gz[1::2].sum() + 2.0 * gz[2:-1:2].sum() + gz[-1])
    (row,) = excerpt()["criteria"]
    assert row["clause"] == "A 2.2.1"
    assert row["attained"] == pytest.approx(area, rel=1.0 / 400.0)


@pytest.mark.parametrize("name", ["box-barge", "box-barge-two-mistakes"])
def test_the_tables_posted_are_those_of_the_box(name: str) -> None:
    """Tolerance: half of the last printed digit of each column."""
    vessel = read(f"{name}.request.json")["vessel"]
    for row in vessel["hydrostatics"]["rows"]:
        draft = row["draft"]
        assert row["displacement"] == pytest.approx(WATER * LENGTH * BREADTH * draft, abs=0.051)
        assert row["km"] == pytest.approx(draft / 2.0 + BREADTH**2 / (12.0 * draft), abs=0.000051)
        assert row["tpc"] == pytest.approx(WATER * LENGTH * BREADTH / 100.0)
        assert row["mctc"] == pytest.approx(WATER * LENGTH * BREADTH * LENGTH / 1200.0)
        assert row["lcb"] == row["lcf"] == LENGTH / 2.0
    curves = vessel["cross_curves"]
    for displacement, levers in zip(curves["displacements"], curves["levers"], strict=True):
        exact = [kn(box(LENGTH, BREADTH, DEPTH), displacement / WATER, heel) for heel in curves["heels"]]
        assert levers == pytest.approx(exact, abs=0.000051)


@pytest.mark.parametrize("name", ["box-barge", "box-barge-two-mistakes"])
def test_the_rows_posted_are_close_enough_for_km_and_few_enough_to_read(name: str) -> None:
    """Definition of the error of a chord: a second difference of displacement times KM over eight displacements; and
    KM itself, read between two rows at the barge's draft, is true to a centimetre too."""
    rows = read(f"{name}.request.json")["vessel"]["hydrostatics"]["rows"]
    mass, km = (np.array([row[column] for row in rows]) for column in ("displacement", "km"))
    assert len(rows) <= 36
    assert (np.abs(np.diff(mass * km, 2)) / (8.0 * mass[1:-1])).max() < CENTIMETRE
    assert float(np.interp(DISPLACEMENT, mass, km)) == pytest.approx(KM, abs=CENTIMETRE)
    assert mass[0] <= 600.0
