"""The hull calculation against closed forms.

Sources: definitions and closed forms, each named at its test; no figures of our own.
Tolerances: a box is exact up to rounding; curved hulls are held to the error of their polygon, which falls
with the square of the spacing of the levels.
"""

import numpy as np
import pytest

from service.core.hull.cross_curves import immersion_angle, kn
from service.core.hull.hull import Hull
from service.core.hull.hydrostatics import draft_at, upright

LENGTH, BREADTH, DEPTH = 60.0, 10.0, 6.0


def box() -> Hull:
    return Hull(
        length=LENGTH,
        half_breadth=lambda x, z: np.full(np.broadcast(x, z).shape, BREADTH / 2.0),
        top=lambda x: np.full(x.shape, DEPTH),
        breaks=(0.0, LENGTH),
        levels=np.array([0.0, DEPTH]),
        nodes=4,
    )


def wigley(draft: float) -> Hull:
    """Parabolic below the draft, wall-sided above it."""

    def half_breadth(x, z):
        along = 1.0 - (2.0 * x / LENGTH - 1.0) ** 2
        return BREADTH / 2.0 * along * (1.0 - (np.maximum(draft - z, 0.0) / draft) ** 2)

    return Hull(
        length=LENGTH,
        half_breadth=half_breadth,
        top=lambda x: np.full(x.shape, 1.2 * draft),
        breaks=(0.0, LENGTH / 2.0, LENGTH),
        levels=np.append(np.linspace(0.0, draft, 801), 1.2 * draft),
    )


def cylinder(radius: float) -> Hull:
    def half_breadth(x, z):
        return np.sqrt(np.maximum(radius**2 - (z - radius) ** 2, 0.0)) + 0.0 * x

    return Hull(
        length=LENGTH,
        half_breadth=half_breadth,
        top=lambda x: np.full(x.shape, 2.0 * radius),
        breaks=(0.0, LENGTH),
        levels=radius * (1.0 - np.cos(np.linspace(0.0, np.pi, 601))),
        nodes=2,
    )


def box_kn(draft: float, heel: float) -> float:
    """KN of a box by clipping its rectangular section by hand (closed form, wedge by wedge).

    Wall-sided while neither deck edge nor bilge cuts the water; afterwards the immersed part is the rectangle
    less its dry triangle (draft above half depth) or the wet triangle alone (draft below it), or a trapezium
    between the sides once both deck and bottom are cut.
    """
    half, tangent = BREADTH / 2.0, np.tan(np.radians(heel))
    area = BREADTH * draft
    if half * tangent <= min(draft, DEPTH - draft):
        y = half**2 * tangent / (3.0 * draft)
        z = draft / 2.0 + half**2 * tangent**2 / (6.0 * draft)
    elif BREADTH * tangent <= DEPTH:
        # one triangle of height h and breadth h / tan: dry above when the deck is cut first, else wet below
        triangle = BREADTH * DEPTH - area if draft > DEPTH / 2.0 else area
        height = np.sqrt(2.0 * triangle * tangent)
        if draft > DEPTH / 2.0:
            dry_y, dry_z = -(half - height / tangent / 3.0), DEPTH - height / 3.0
            y = -triangle * dry_y / area
            z = (BREADTH * DEPTH * DEPTH / 2.0 - triangle * dry_z) / area
        else:
            y, z = half - height / tangent / 3.0, height / 3.0
    else:
        raise AssertionError("beyond the cases used here")
    return float(y * np.cos(np.radians(heel)) + z * np.sin(np.radians(heel)))


@pytest.mark.parametrize("draft", [1.5, 3.0, 4.4])
def test_box_hydrostatics_are_exact(draft: float) -> None:
    """Closed form: V = L B d, KB = d/2, BM = B^2 / 12 d, BML = L^2 / 12 d."""
    row = upright(box(), draft)
    assert row.volume == pytest.approx(LENGTH * BREADTH * draft, rel=1e-12)
    assert row.lcb == pytest.approx(LENGTH / 2.0, rel=1e-12)
    assert row.lcf == pytest.approx(LENGTH / 2.0, rel=1e-12)
    assert row.vcb == pytest.approx(draft / 2.0, rel=1e-12)
    assert row.km == pytest.approx(draft / 2.0 + BREADTH**2 / (12.0 * draft), rel=1e-12)
    assert row.kml == pytest.approx(draft / 2.0 + LENGTH**2 / (12.0 * draft), rel=1e-12)
    assert row.waterplane_area == pytest.approx(LENGTH * BREADTH, rel=1e-12)


@pytest.mark.parametrize("trim", [-1.0, 0.8, 2.0])
def test_trimmed_box_is_exact(trim: float) -> None:
    """Closed form of a trapezoid: volume unchanged, LCB moves by t L / 12 d, KB rises by t^2 / 24 d."""
    draft = 3.0
    row = upright(box(), draft, trim)
    assert row.volume == pytest.approx(LENGTH * BREADTH * draft, rel=1e-12)
    assert row.lcb == pytest.approx(LENGTH / 2.0 - trim * LENGTH / (12.0 * draft), rel=1e-12)
    assert row.vcb == pytest.approx(draft / 2.0 + trim**2 / (24.0 * draft), rel=1e-12)


@pytest.mark.parametrize("draft", [1.5, 3.0, 4.4])
@pytest.mark.parametrize("heel", [2.0, 10.0, 16.0, 22.0, 28.0, 30.9])
def test_box_kn_is_exact_past_deck_and_bilge_immersion(draft: float, heel: float) -> None:
    """Closed form (box_kn); 16 degrees and less is wall-sided, the others cut the deck or bare the bilge."""
    assert kn(box(), LENGTH * BREADTH * draft, heel) == pytest.approx(box_kn(draft, heel), rel=1e-9)


@pytest.mark.parametrize("heel", [3.0, 12.0, 20.0])
def test_wall_sided_formula(heel: float) -> None:
    """Closed form: GZ = sin(heel) * (GM + BM tan^2(heel) / 2) while the sides stay wall-sided."""
    draft, kg = 3.0, 3.4
    row = upright(box(), draft)
    sine, tangent = np.sin(np.radians(heel)), np.tan(np.radians(heel))
    bm = row.km - row.vcb
    expected = sine * (row.km - kg + bm * tangent**2 / 2.0)
    assert kn(box(), row.volume, heel) - kg * sine == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize(("y", "z"), [(5.0, 6.0), (2.0, 5.0), (0.0, 3.5)])
def test_box_immersion_angle(y: float, z: float) -> None:
    """Closed form: wall-sided with the draft held amidships, tan(heel) = (z - d) / y; a point on the
    centreline above half depth of a half-immersed box stays dry to 90 degrees."""
    draft = 3.0
    volume = LENGTH * BREADTH * draft
    if y == 0.0:
        with pytest.raises(ValueError, match="stays dry"):
            immersion_angle(box(), volume, 20.0, y, z, limit=80.0)
        return
    angle = immersion_angle(box(), volume, 20.0, y, z)
    if (z - draft) / y <= (DEPTH - draft) / (BREADTH / 2.0):
        assert angle == pytest.approx(np.degrees(np.arctan((z - draft) / y)), abs=1e-6)
    else:
        # half immersed, the waterplane always passes through the centre of the section
        assert np.tan(np.radians(angle)) == pytest.approx((z - draft) / y, rel=1e-6)


def test_wigley_hull() -> None:
    """Closed form of the parabolic (Wigley) hull: y = B/2 (1 - (2x/L)^2)(1 - (z/T)^2).

    CB = 4/9, CW = 2/3, KB = 5T/8, IT = B^3 L / 12 * 16/35, IL about amidships = B L^3 / 30.
    """
    draft = 3.75
    row = upright(wigley(draft), draft)
    volume = 4.0 / 9.0 * LENGTH * BREADTH * draft
    polygon = 2e-5
    assert row.volume == pytest.approx(volume, rel=polygon)
    assert row.waterplane_area == pytest.approx(2.0 / 3.0 * LENGTH * BREADTH, rel=1e-12)
    assert row.vcb == pytest.approx(5.0 * draft / 8.0, rel=polygon)
    assert row.km - row.vcb == pytest.approx(
        LENGTH * BREADTH**3 / 12.0 * 16.0 / 35.0 / volume, rel=2 * polygon
    )
    assert row.bml == pytest.approx(BREADTH * LENGTH**3 / 30.0 / volume, rel=2 * polygon)


def test_wigley_displaces_as_the_formula_at_other_drafts() -> None:
    """Closed form: at z above the keel the waterplane is 2/3 L B (1 - ((T - z)/T)^2); integrate to z."""
    depth, draft = 3.75, 2.0
    ratio = (depth - draft) / depth
    volume = 2.0 / 3.0 * LENGTH * BREADTH * (draft - depth / 3.0 * (1.0 - ratio**3))
    assert upright(wigley(depth), draft).volume == pytest.approx(volume, rel=2e-5)
    assert draft_at(wigley(depth), volume) == pytest.approx(draft, rel=2e-5)


@pytest.mark.parametrize("heel", [5.0, 30.0, 75.0])
def test_circular_cylinder(heel: float) -> None:
    """Closed form: every normal to the waterplane of a circular section passes through its centre, so
    KM = R at any draft and KN = R sin(heel); half immersed, KB = R - 4R / 3 pi."""
    radius = 4.0
    row = upright(cylinder(radius), radius)
    assert row.volume == pytest.approx(np.pi * radius**2 / 2.0 * LENGTH, rel=1e-5)
    assert row.vcb == pytest.approx(radius - 4.0 * radius / (3.0 * np.pi), rel=1e-5)
    assert row.km == pytest.approx(radius, rel=2e-5)
    assert kn(cylinder(radius), row.volume * 0.7, heel) == pytest.approx(
        radius * np.sin(np.radians(heel)), rel=2e-5
    )


def test_trim_moves_the_lever_of_an_unsymmetrical_hull_only() -> None:
    """Invariant: a box has the same section everywhere, so a small trim changes its KN only by the second
    order of the trim, while wall-sided: z_B rises by t^2 / 24 d (closed form above)."""
    draft, trim, heel = 3.0, 1.0, 8.0
    volume = LENGTH * BREADTH * draft
    cosine = np.cos(np.radians(heel))
    level, trimmed = kn(box(), volume, heel), kn(box(), volume, heel, trim)
    # the trim is held across the inclined water: seen upright in the ship it is t / cos(heel)
    rise = (trim / cosine) ** 2 / (24.0 * draft)
    assert trimmed - level == pytest.approx(rise * np.sin(np.radians(heel)), rel=1e-6)
