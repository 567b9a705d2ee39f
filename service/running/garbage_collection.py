"""How a process that answers requests collects garbage.

Answers are trees of small dictionaries without cycles: they are freed the moment they are sent, and looking for
cycles among them is a tenth of the work under load.
"""

import gc

SELDOM = 50_000


def collect_seldom() -> None:
    """Take what was built so far out of the collector's sight, as it lives as long as the process, and look seldom."""
    gc.freeze()
    gc.set_threshold(SELDOM, 20, 20)
    gc.enable()
