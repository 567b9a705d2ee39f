"""How often a key may ask: a token bucket per key, in the memory of this process.

Several processes each count for themselves; a limit for all of them together belongs to the proxy before them.
"""

import math
import time
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass

MAX_KEYS = 10_000


@dataclass
class _Bucket:
    tokens: float
    filled: float


class RateLimit:
    """`rate` requests a second, `burst` at once; a rate of 0 sets no limit. Belongs to one event loop."""

    def __init__(self, rate: float, burst: int, clock: Callable[[], float] = time.monotonic) -> None:
        self._rate, self._burst, self._clock = rate, burst, clock
        self._buckets: OrderedDict[str, _Bucket] = OrderedDict()

    def take(self, key: str) -> tuple[bool, dict[str, str]]:
        """Whether `key` may ask now, and the header fields that tell it how it stands.

        Fields as in the IETF draft "RateLimit header fields for HTTP": the policy, what is left, and the seconds
        until the bucket is full again (when refused: until one request is let through).
        """
        if not self._rate:
            return True, {}
        bucket = self._bucket(key)
        allowed = bucket.tokens >= 1.0
        if allowed:
            bucket.tokens -= 1.0
        wanted = self._burst if allowed else 1.0
        wait = max(0, math.ceil((wanted - bucket.tokens) / self._rate))
        window = math.ceil(self._burst / self._rate)
        headers = {
            "RateLimit-Policy": f'"default";q={self._burst};w={window}',
            "RateLimit": f'"default";r={int(bucket.tokens)};t={wait}',
        }
        if not allowed:
            headers["Retry-After"] = str(max(1, wait))
        return allowed, headers

    def _bucket(self, key: str) -> _Bucket:
        moment = self._clock()
        bucket = self._buckets.get(key)
        if bucket is None:
            while len(self._buckets) >= MAX_KEYS:
                self._buckets.popitem(last=False)
            bucket = self._buckets[key] = _Bucket(float(self._burst), moment)
        else:
            self._buckets.move_to_end(key)
        bucket.tokens = min(float(self._burst), bucket.tokens + (moment - bucket.filled) * self._rate)
        bucket.filled = moment
        return bucket
