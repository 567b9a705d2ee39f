"""All samples of an uncertain condition at once, as arrays [N] along the samples: what `sampling.py` judges one by one.

    aboard.py    masses, centres and free surfaces of what varies
    upright.py   displacement, drafts and trim on her tables
    heeled.py    at which heels points of her come under water
    levers.py    righting levers to both sides
    strength.py  shear forces, bending moments and masses in holds (with strength/samples_*.py)
    afloat.py    all of it, one `Situation` at a time from there on

The formulas are those of the modules for one condition, where their sources are.
"""
