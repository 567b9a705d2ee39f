"""Load line questions of navigation notes and examinations, by the marks and allowances of the core.

Sources: imunotes.in, question on winter marks above and below the surface; marinegyaan.com, Stability I, chapter 5
(dock water); MEO Class IV paper 95SCS-4 (India 2001), question 2 (read without its answer, recomputed); International
Convention on Load Lines 1966, regulation 40 with 46 CFR 42.25-20 (constructed values, timber fractions read).
"""

import pytest

from service.core.hydrostatics import Hydrostatics, Row
from service.core.load_line import LoadLine

SALT = 1.025


def table(displacement: float, draft: float, tpc: float, water: float = SALT) -> Hydrostatics:
    """A wall-sided stretch of drafts around one row."""

    def at(d: float) -> Row:
        return {
            "trim": 0.0,
            "draft": d,
            "displacement": displacement + (d - draft) * 100.0 * tpc,
            "lcb": 50.0,
            "lcf": 50.0,
            "km": 8.0,
            "tpc": tpc,
            "mctc": 200.0,
            "vcb": None,
            "tcb": None,
            "block_coefficient": None,
        }

    return Hydrostatics.from_rows(water, True, [at(draft - 1.0), at(draft), at(draft + 1.0)])


def line(
    marks: dict[str, float], hydrostatics: Hydrostatics, length: float = 150.0, allowance: float | None = None
) -> LoadLine:
    found = LoadLine.of(marks, length, hydrostatics, allowance)
    assert found is not None
    return found


def test_imunotes_winter_mark_above_and_below_the_surface():
    """Starboard 60 mm above, port 20 mm below; summer draught 7.2 m, TPC 20. Winter to tropical 15 + 15 cm; 640 t."""
    hydrostatics = table(12000.0, 7.2, 20.0)
    marks = line({"S": 7.2}, hydrostatics)
    winter, tropical = marks.drafts["W"], marks.drafts["T"]
    assert round(100.0 * (7.2 - winter), 1) == 15.0
    mean = winter - 0.5 * (0.060 - 0.020)
    at = [hydrostatics.displacement_at(draft, 0.0, 100.0) for draft in (mean, tropical)]
    assert at[1] - at[0] == pytest.approx(640.0, abs=0.5)


def test_marinegyaan_change_of_draught_between_two_dock_waters():
    """Fresh water allowance 175 mm, from 1.018 to 1.006: 8.4 cm."""
    marks = line({"S": 8.0}, table(14000.0, 8.0, 20.0), allowance=0.175)
    change = marks.permitted("S", 1.006) - marks.permitted("S", 1.018)
    assert round(100.0 * change, 1) == 8.4


def test_meo_95scs_4_cargo_to_load_in_dock_water():
    """16 000 t, TPC 20, draught 9.4 m in water of 1.010, summer draught 9.5 m: allowance 200 mm from the present
    displacement, 120 mm in the dock, 22 cm to load at a TPC of 19.707: 433.56 t (440 with the TPC of salt water)."""
    marks = line({"S": 9.5}, table(16000.0, 9.4, 20.0), allowance=16000.0 / (40.0 * 20.0) / 100.0)
    assert marks.permitted("S", 1.010) == pytest.approx(9.62, abs=1e-9)
    sinkage = 100.0 * (marks.permitted("S", 1.010) - 9.4)
    assert sinkage == pytest.approx(22.0, abs=1e-9)
    assert sinkage * 20.0 * 1.010 / SALT == pytest.approx(433.560976, abs=1e-6)


def test_allowance_of_40_000_tonnes_at_50_a_centimetre():
    """FWA 200 mm, at 1.010 120 mm (marinegyaan.com; shipinspection.eu)."""
    marks = line({"S": 10.0}, table(40000.0, 10.0, 50.0))
    assert marks.allowance == pytest.approx(0.200, abs=1e-9)
    assert marks.permitted("S", 1.010) - 10.0 == pytest.approx(0.120, abs=1e-9)


@pytest.mark.parametrize(
    ("mark", "draft"),
    [
        ("T", 9.1875),
        ("W", 8.8125),
        ("WNA", 8.7625),
        ("F", 9.153846),
        ("TF", 9.341346),
        ("LW", 8.993056),
        ("LT", 9.442708),
        ("LWNA", 8.7625),
    ],
)
def test_regulation_40_and_timber_fractions(mark, draft):
    """Summer 9.0 m, summer timber 9.25 m, 95 m, 12 000 t at 19.5 t a centimetre (constructed)."""
    marks = line({"S": 9.0, "LS": 9.25}, table(12000.0, 9.0, 19.5), length=95.0)
    assert marks.drafts[mark] == pytest.approx(draft, abs=5e-7)
