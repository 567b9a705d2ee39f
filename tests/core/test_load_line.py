"""Load line marks and the draft each permits in the water she lies in.

Sources: International Convention on Load Lines 1966, regulations 6 and 40 (T and W at 1/48 of the summer draft, WNA 50
mm for ships up to 100 m, fresh water allowance displacement / (40 TPC) cm: values from memory); dock water allowance in
proportion to density: Derrett and Barrass, Ship Stability, chapter on densities.
"""

import pytest

from service.core.hydrostatics import Hydrostatics
from service.core.load_line import FRESH, LoadLine, fresh_water_allowance
from tests.core.ship import DRAFTS, SALT, hydrostatics, particulars, row, vessel

SUMMER = 6.0
FWA = 9000.0 / (40.0 * 15.0) / 100.0  # 9000 t at 6 m, 15 t/cm: 0.15 m


def line(marks: dict[str, float] | None = None, length: float = 99.0, tables=None) -> LoadLine | None:
    return LoadLine.of({"S": SUMMER} if marks is None else marks, length, tables or hydrostatics())


@pytest.mark.parametrize(
    ("mark", "water", "permitted"),
    [
        ("S", 1.025, SUMMER),
        ("S", 1.030, SUMMER),
        ("S", 1.000, SUMMER + FWA),
        ("S", 0.998, SUMMER + FWA),
        ("S", 1.010, SUMMER + 0.6 * FWA),
        ("F", 1.000, SUMMER + FWA),
        ("F", 1.025, SUMMER),
        ("T", 1.025, SUMMER * 49.0 / 48.0),
        ("T", 1.000, SUMMER * 49.0 / 48.0 + FWA),
        ("TF", 1.000, SUMMER * 49.0 / 48.0 + FWA),
        ("W", 1.025, SUMMER * 47.0 / 48.0),
        ("W", 1.000, SUMMER * 47.0 / 48.0 + FWA),
        ("WNA", 1.025, SUMMER * 47.0 / 48.0 - 0.05),
    ],
)
def test_marks_worked_out_from_the_summer_draft(mark, water, permitted):
    assert line().permitted(mark, water) == pytest.approx(permitted, rel=1e-12)


@pytest.mark.parametrize(("length", "less"), [(99.9, 0.05), (100.0, 0.05), (100.1, 0.0)])
def test_winter_north_atlantic_for_ships_up_to_100_m(length, less):
    made = line(length=length)
    assert made.permitted("WNA", SALT) == pytest.approx(SUMMER * 47.0 / 48.0 - less, rel=1e-12)
    assert made.ordinary == (("T", "S", "W", "WNA") if less else ("T", "S", "W"))


def test_the_length_is_that_of_the_load_line_convention():
    ship = vessel(load_line_drafts={"S": 6.0}, particulars=particulars(length_load_line=101.0))
    assert "WNA" not in ship.load_line.ordinary
    short = vessel(load_line_drafts={"S": 6.0}, particulars=particulars(length_load_line=99.0))
    assert "WNA" in short.load_line.ordinary


CERTIFICATE = {"S": 6.0, "T": 6.2, "W": 5.8, "F": 6.16, "TF": 6.37}


@pytest.mark.parametrize(
    ("mark", "water", "expected"),
    [
        ("T", SALT, 6.2),
        ("W", SALT, 5.8),
        ("WNA", SALT, 5.75),
        ("F", 1.0, 6.16),
        ("F", 1.0125, 6.08),
        ("F", SALT, 6.0),
        ("TF", 1.0, 6.37),
        ("TF", 1.0125, 6.285),
        ("S", 1.0, 6.0 + FWA),
    ],
)
def test_marks_of_the_certificate_go_before_worked_out_ones(mark, water, expected):
    assert line(CERTIFICATE).permitted(mark, water) == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize(("given", "expected"), [({"F": 6.16}, 6.16 + 6.0 / 48.0), ({"T": 6.2}, 6.2 + FWA)])
def test_tropical_fresh_is_tropical_and_the_allowance_of_fresh(given, expected):
    assert line({"S": SUMMER, **given}).permitted("TF", 1.0) == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize("mark", ["LS", "LT", "LW", "LWNA", "LF", "LTF"])
def test_timber_marks_are_only_those_of_the_certificate(mark):
    assert line().permitted(mark, SALT) is None
    if mark not in FRESH:
        assert line({"S": 6.0, mark: 6.3}).permitted(mark, SALT) == 6.3


def test_timber_fresh_lies_above_timber_by_the_lightness_of_the_water():
    made = line({"S": 6.0, "LS": 6.3, "LF": 6.46, "LT": 6.4, "LTF": 6.58})
    assert made.permitted("LF", 1.0125) == pytest.approx(6.38, rel=1e-12)
    assert made.permitted("LTF", 1.0) == pytest.approx(6.58, rel=1e-12)
    assert made.permitted("LTF", SALT) == pytest.approx(6.4, rel=1e-12)


@pytest.mark.parametrize("marks", [None, {}])
def test_a_booklet_without_marks_has_no_load_line(marks):
    assert LoadLine.of(marks, 99.0, hydrostatics()) is None
    assert vessel(load_line_drafts=marks).load_line is None


def test_without_a_summer_draft_nothing_is_worked_out():
    made = line({"T": 6.2})
    assert (made.drafts, made.allowance) == ({"T": 6.2}, None)
    assert made.permitted("T", SALT) == 6.2
    assert [made.permitted(mark, SALT) for mark in ("S", "W", "WNA", "F")] == [None] * 4
    assert made.permitted("TF", SALT) == 6.2, "in salt water she may load to T"
    assert [made.permitted(mark, 1.0) for mark in ("T", "TF")] == [None, None], "no allowance is known"


def test_a_certificate_without_summer_keeps_its_own_allowance_of_tropical_fresh():
    made = line({"T": 6.2, "TF": 6.36})
    assert made.permitted("TF", 1.0) == pytest.approx(6.36, rel=1e-12)
    assert made.permitted("TF", 1.0125) == pytest.approx(6.28, rel=1e-12)


def test_the_allowance_is_that_of_the_summer_draft_in_the_table_nearest_to_even_keel():
    """Displacement over 40 TPC, whatever water the table is for, and whatever she weighs now."""
    assert fresh_water_allowance(SUMMER, hydrostatics()) == pytest.approx(FWA, rel=1e-12)
    rows = [{**row(d, t), "tpc": 15.0 + abs(t)} for t in (-2.0, 0.5, 4.0) for d in DRAFTS]
    # the table at 0.5 m by the stern prints drafts amidships: 6 m there is 6.005 m at the LCF
    expected = 1500.0 * (SUMMER + 0.5 * 0.01) / (40.0 * 15.5) / 100.0
    for density in (SALT, 1.0):
        table = Hydrostatics.from_rows(density, True, rows)
        assert fresh_water_allowance(SUMMER, table) == pytest.approx(expected, rel=1e-12)


def test_tpc_is_that_of_the_summer_draft_too():
    """TPC 10 + d t/cm: 9000 / (40 x 16) cm."""
    rows = [{**row(d), "tpc": 10.0 + d} for d in DRAFTS]
    table = Hydrostatics.from_rows(SALT, True, rows)
    assert fresh_water_allowance(SUMMER, table) == pytest.approx(9000.0 / 640.0 / 100.0, rel=1e-12)
    assert fresh_water_allowance(5.0, table) == pytest.approx(7500.0 / 600.0 / 100.0, rel=1e-12)


@pytest.mark.parametrize("summer", [1.9, 8.1])
def test_off_her_hydrostatic_table_the_allowance_is_unknown(summer):
    """Then salt water marks are known in salt water only, fresh water marks not at all."""
    made = line({"S": summer})
    assert made.allowance is None
    assert made.permitted("S", SALT) == summer
    for mark, water in (("S", 1.0), ("T", 1.01), ("F", 1.0), ("TF", 1.0)):
        assert made.permitted(mark, water) is None


def test_a_fresh_mark_of_the_certificate_needs_no_table():
    made = line({"S": 8.1, "F": 8.3})
    assert made.permitted("F", 1.0) == pytest.approx(8.3, rel=1e-12)
    assert made.permitted("TF", 1.0) == pytest.approx(8.1 + 8.1 / 48.0 + 0.2, rel=1e-12)
