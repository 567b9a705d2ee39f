"""The working as a worksheet: what an officer needs to follow it with a pencil and the booklet.

Sums by hand: GM = KM - KG - FSC, draft aft = draft at the LCF + trim x LCF / Lbp (Derrett and Barrass, Ship Stability
for Masters and Mates), from the printed digits alone.
"""

import json
import re
from functools import cache

import pytest

from service.actions.assess import Assessor
from service.cli.worksheet_text import worksheet_text
from service.demo import read_condition, read_vessel
from service.wire.compact_working import nodes_of


@cache
def sheet() -> str:
    vessel, condition = (
        json.loads(read_vessel("halvenmoor")),
        json.loads(read_condition("halvenmoor", "departure-homogeneous")),
    )
    body = json.dumps({"vessel": vessel, "condition": condition}).encode()
    answer = json.loads(Assessor().worked_answer(body, None))
    titles = {row["id"]: f"{row['clause']}: {row['title']}" for row in answer["criteria"]}
    return worksheet_text(nodes_of(answer["working"]), {"vessel": vessel, "condition": condition}, titles)


def numbers(line: str) -> list[float]:
    return [float(found) for found in re.findall(r"-?\d+(?:\.\d+)?", line.replace("−", "-"))]


def test_places_are_words_that_a_booklet_has_and_rows_count_from_one():
    assert "(vessel: tank No. 5 fuel oil tank port, row 24, sounding)" in sheet()
    assert not re.search(r"\((vessel|condition)[: ]+/", sheet())


def test_no_two_figures_of_several_tables_have_one_name():
    assert "KM, table for a trim of 0 m\n" in sheet()
    assert "0 m: 6.08671   (above: KM, table for a trim of 0 m)" in sheet()
    assert (
        "\nFree surface moment     " not in sheet().split("Drafts and trim")[0].split("Liquids by group")[0]
    )


def test_each_criterion_opens_with_its_clause_and_title():
    titles = re.findall(r"\n\n(A 2\.2\.[0-9]: .*)", sheet())
    assert len(titles) == len(set(titles)) == 6


def test_gm_and_the_draft_aft_follow_with_a_pencil():
    gm = next(line for line in sheet().splitlines() if line.strip().startswith("KM - KG - FSC"))
    km, kg, fsc, found = numbers(gm.split("=", 1)[1])
    assert km - kg - fsc == pytest.approx(found, abs=1e-5)
    lines = sheet().splitlines()
    at = next(i for i, line in enumerate(lines) if line == "Draft aft")
    there = next(line for line in lines[at:] if "T_f + t * LCF / L =" in line)
    draft, trim, lcf, length, found = numbers(there.split("=", 1)[1])
    assert draft + trim * lcf / length == pytest.approx(found, abs=2e-5)
