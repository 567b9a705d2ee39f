"""Tables of a report that can be had alone."""

from typing import Literal

ReportPart = Literal[
    "figures",
    "criteria",
    "tanks",
    "weights",
    "levers",
    "plan",
    "plan_worst",
    "plan_margins",
    "plan_consumption",
]
