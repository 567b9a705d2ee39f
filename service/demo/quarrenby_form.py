"""Form of the motor ship Quarrenby, a small container feeder of our own invention.  Metres."""

from .ship_form import ShipForm, levels

FORM = ShipForm(
    length=126.0,
    breadth=20.4,
    depth=10.8,
    draft=7.7,
    bilge_radius=1.9,
    rise_of_floor=0.0,
    transom=-4.5,
    entrance_start=(60.0, 76.0),
    entrance_power=(1.55, 2.2),
    forefoot=2.2,
    stem_rake=0.6,
    run_start=(62.0, 44.0),
    run_power=(1.6, 2.3),
    run_end=(5.2, -14.0),
    counter=(3.0, 9.0),
    sheer_forward=(95.0, 0.8),
    sheer_aft=(18.0, 0.2),
    poop=(18.2, 2.6),
    forecastle=(114.8, 2.8),
)

# closer in the bilge and about the counter, where the sections bend
HULL = FORM.hull(7.0, levels((0.0, 2.0, 10.8, 15.6), (20, 40, 12)))
