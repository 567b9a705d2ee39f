"""Form of the motor ship Halvenmoor, a small general cargo ship of our own invention.  Metres."""

from .ship_form import ShipForm, levels

FORM = ShipForm(
    length=89.0,
    breadth=14.4,
    depth=8.0,
    draft=5.8,
    bilge_radius=1.25,
    rise_of_floor=0.0,
    transom=-3.2,
    entrance_start=(55.0, 64.0),
    entrance_power=(1.75, 2.5),
    forefoot=1.6,
    stem_rake=0.55,
    run_start=(35.0, 23.0),
    run_power=(1.65, 2.4),
    run_end=(3.6, -9.0),
    counter=(2.2, 7.0),
    sheer_forward=(64.0, 0.9),
    sheer_aft=(16.0, 0.3),
    poop=(18.85, 2.4),
    forecastle=(80.0, 2.5),
)

# closer in the bilge and about the counter, where the sections bend
HULL = FORM.hull(5.0, levels((0.0, 1.3, 8.0, 11.8), (26, 50, 12)))
