"""Held against the outside world: published worked examples, rule texts, closed forms, independent numerics.

Nothing here is a figure of our own calculation. One file for each source or family of sources; its docstring says
where the values come from and whether they were read or are a "value from memory". Values stand as printed; the room
is half the last printed digit unless a comment says why it is more; errors and contradictions found in the sources are
written at the test. Most examples are posted to `/v1/assessments` with a vessel made for them (`booklet.py`) in the
example's own units; where the service gives no such number (areas of waterplanes, closed forms of hulls) the hull
calculation behind the demonstration ships is asked (`hulls.py`), or the function of the core itself.

    test_derrett_barrass_*.py            Ship Stability for Masters and Mates
    test_nicholls_seamanship_*.py        Nicholls's Seamanship and Nautical Knowledge, in feet and long tons
    test_tupper_introduction.py          Introduction to Naval Architecture
    test_dubey_exercises.py              exercises worked at marinegyaan.com
    test_marinegyaan_stability.py        lessons at marinegyaan.com and marineteacher.com
    test_us_deck_officer_questions.py    questions of the US deck officer examinations
    test_examination_papers.py           questions of other examinations and class papers
    test_worked_ordinates.py             Simpson's rules in class papers
    test_is_code_*.py, test_46_cfr_170.py, test_load_line_convention.py
                                         rule texts: limits, formulae, tables with spot values and checksums
    test_closed_form_hulls.py, test_box_at_large_angles.py
                                         Wigley hull, cylinders, prisms, boxes, the wall-sided formula, loll
    test_level_of_the_waterplane.py      box, wedge, cylinder, a box cut exactly; the demonstration hulls balanced
    test_curve_against_scipy.py          levers, areas, roots and maxima against scipy on the same table

    test_voyage.py, test_vcg_limits.py, test_draft_survey.py, test_inclining.py, test_uncertainty.py
                                         stages of a voyage, greatest VCG of a box, displacement by drafts read, GM and
                                         lightship by weights moved, samples of a condition

Out of scope, because the service does not compute it: longitudinal strength (shear force, bending moment, Murray's
method), shift of grain beyond the areas of its curves, lifting and towing rules
(46 CFR 173), icing and absorption by deck cargo (they are posted as weights), longitudinal GM of semi-submersibles,
wetted surface.
"""
