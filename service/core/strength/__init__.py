"""Longitudinal strength in still water: shear forces and bending moments against the limits of her booklet.

    sections.py       areas of her sections by draft; the waterline that carries a distribution of weight
    weight_curve.py   masses along her length: lightship, liquids, weights
    load_curve.py     weight less buoyancy, integrated: shear force and bending moment
    limits.py         permissible values at stations, percent of the limit of a value's own sign
    hold_mass.py      masses in holds, alone and two adjacent ones together
    still_water.py    all of it for one condition
    findings.py       what is worth saying about it

Forces are masses: t, and t.m; times 9.81 they are kN and kNm. Downward is positive, integrated forward from aft
(IACS UR S11.2.1.1): a bending moment is positive when she hogs, a shear force where weight exceeds buoyancy aft of
the section.
"""
