"""Axes, signs and units of the core, in words.

* Lengths in metres, masses in tonnes, densities in t/m3, volumes in m3, angles in degrees (radians only inside
  a function), moments of mass in t.m, areas under a lever curve in metre-radians.
* x from the aft perpendicular, positive forward. y from the centreline, positive to port. z from the baseline,
  positive up. (MSC.1/Circ.1281 chapter 2: LCG from AP forward +, TCG port +, VCG above baseline.)
* Trim is the aft draft minus the forward draft: positive by the stern.
* Heel and list are positive to port. A righting lever curve is drawn for the side she heels to, angles positive.
* One loading condition at a time: plain numbers from the displacement on, arrays along the heels. None means that
  a figure is not available from this booklet; inf that there is none (no opening that floods).
"""

import numpy as np
from numpy.typing import NDArray

CALCULATION_VERSION = "2.3.0"
"""Changes whenever a digit of any answer can move; kept with every stored answer."""

GRAVITY = 9.81
"""m/s2, as used in 2008 IS Code Part A 2.3.2 (value from memory)."""

FOOT = 0.3048
"""m; exact by the international yard and pound agreement of 1959."""

LONG_TON = 1.0160469088
"""t; 2240 lb of 0.45359237 kg, exact."""

Floats = NDArray[np.float64]
