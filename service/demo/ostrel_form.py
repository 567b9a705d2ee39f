"""Form of the offshore supply vessel Ostrel, a ship of our own invention.  Feet."""

from .ship_form import ShipForm, levels

FORM = ShipForm(
    length=190.0,
    breadth=42.0,
    depth=17.0,
    draft=13.0,
    bilge_radius=4.0,
    rise_of_floor=0.75,
    transom=-4.0,
    entrance_start=(92.0, 116.0),
    entrance_power=(1.7, 2.3),
    forefoot=6.0,
    stem_rake=0.6,
    run_start=(96.0, 62.0),
    run_power=(1.7, 2.6),
    run_end=(10.0, -58.0),
    counter=(4.0, 15.0),
    sheer_forward=(120.0, 4.0),
    sheer_aft=(20.0, 0.0),
    poop=(-4.0, 0.0),
    forecastle=(126.0, 8.5),
)

# closer over the floor and in the bilge, where the sections bend
HULL = FORM.hull(11.0, levels((0.0, 0.75, 4.75, 17.0, 31.0), (3, 25, 35, 14)))
