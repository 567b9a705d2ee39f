"""Standard normal numbers that anybody gets the same: raw 64-bit words of PCG64, u = ((word >> 11) + 0.5) / 2^53, and
the normal quantile of u.

Source: O'Neill, PCG: A Family of Simple Fast Space-Efficient Statistically Good Algorithms for Random Number
Generation (HMC-CS-2014-0905); Wichura, Algorithm AS 241, Applied Statistics 37 (1988).
"""

from collections.abc import Sequence

import numpy as np

from .conventions import Floats

# Coefficients of AS 241, routine PPND16, as published
_CENTRE = (
    (3.3871328727963666080e0, 1.3314166789178437745e2, 1.9715909503065514427e3, 1.3731693765509461125e4,
     4.5921953931549871457e4, 6.7265770927008700853e4, 3.3430575583588128105e4, 2.5090809287301226727e3),
    (1.0, 4.2313330701600911252e1, 6.8718700749205790830e2, 5.3941960214247511077e3,
     2.1213794301586595867e4, 3.9307895800092710610e4, 2.8729085735721942674e4, 5.2264952788528545610e3),
)  # fmt: skip
_NEAR = (
    (1.42343711074968357734e0, 4.63033784615654529590e0, 5.76949722146069140550e0, 3.64784832476320460504e0,
     1.27045825245236838258e0, 2.41780725177450611770e-1, 2.27238449892691845833e-2, 7.74545014278341407640e-4),
    (1.0, 2.05319162663775882187e0, 1.67638483018380384940e0, 6.89767334985100004550e-1,
     1.48103976427480074590e-1, 1.51986665636164571966e-2, 5.47593808499534494600e-4, 1.05075007164441684324e-9),
)  # fmt: skip
_FAR = (
    (6.65790464350110377720e0, 5.46378491116411436990e0, 1.78482653991729133580e0, 2.96560571828504891230e-1,
     2.65321895265761230930e-2, 1.24266094738807843860e-3, 2.71155556874348757815e-5, 2.01033439929228813265e-7),
    (1.0, 5.99832206555887937690e-1, 1.36929880922735805310e-1, 1.48753612908506148525e-2,
     7.86869131145613259100e-4, 1.84631831751005468180e-5, 1.42151175831644588870e-7, 2.04426310338993978564e-15),
)  # fmt: skip


def uniforms(seed: int, samples: int, sources: int, first: int = 0) -> Floats:
    """[samples, sources] numbers between 0 and 1, both excluded, from sample number `first` on.

    Source: O'Neill, PCG64 (HMC-CS-2014-0905); upper 53 bits of each word."""
    generator = np.random.PCG64(seed)
    generator.advance(first * sources)
    words = generator.random_raw(samples * sources)
    upper = (np.asarray(words, dtype=np.uint64) >> np.uint64(11)).astype(np.float64)
    return ((upper + 0.5) / 2.0**53).reshape(samples, sources)


def normal_quantile(u: Floats) -> Floats:
    """Quantiles of the standard normal distribution at u, 0 < u < 1.

    Source: Wichura, Algorithm AS 241 (PPND16), Applied Statistics 37 (1988)."""
    q = u - 0.5
    found: Floats = q * _ratio(_CENTRE, 0.180625 - q * q)
    outer = np.abs(q) > 0.425
    found[outer] = np.copysign(_in_the_tail(np.minimum(u, 1.0 - u)[outer]), q[outer])
    return found


def _in_the_tail(part: Floats) -> Floats:
    """How far out the quantile lies that leaves a small part beyond it."""
    tail = np.sqrt(-np.log(part))
    return np.where(tail <= 5.0, _ratio(_NEAR, tail - 1.6), _ratio(_FAR, tail - 5.0))


def _ratio(coefficients: Sequence[Sequence[float]], r: Floats) -> Floats:
    above, below = (np.polynomial.polynomial.polyval(r, np.array(row)) for row in coefficients)
    ratio: Floats = above / below
    return ratio
