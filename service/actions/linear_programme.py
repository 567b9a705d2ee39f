"""Linear programmes with whole numbers in them, solved by HiGHS.

The solver is an extra (`highspy`): where it is not installed, whatever needs it is refused.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from math import inf
from types import MappingProxyType

from service.wire.refusal import Refusal

OPTIONS: dict[str, bool | int | float | str] = {
    "output_flag": False,
    "threads": 1,
    "primal_feasibility_tolerance": 1e-9,
    "mip_feasibility_tolerance": 1e-9,
    "mip_rel_gap": 1e-2,
    "mip_heuristic_effort": 0.0,
    "mip_max_nodes": 100,
    "presolve": "off",
    "time_limit": 5.0,
}
"""What the solver is told: how far a row may be off, and where it stops. The limit of nodes is met long before that of
seconds, so that the same request has the same answer."""


@dataclass
class Programme:
    """Columns and rows between a lower and an upper bound; the sum of cost x column is made least."""

    lower: list[float] = field(default_factory=list)
    upper: list[float] = field(default_factory=list)
    cost: list[float] = field(default_factory=list)
    whole: list[bool] = field(default_factory=list)
    row_lower: list[float] = field(default_factory=list)
    row_upper: list[float] = field(default_factory=list)
    rows: list[dict[int, float]] = field(default_factory=list)

    def column(
        self, lower: float = 0.0, upper: float = inf, cost: float = 0.0, *, whole: bool = False
    ) -> int:
        """The number of a new column."""
        self.lower.append(lower)
        self.upper.append(upper)
        self.cost.append(cost)
        self.whole.append(whole)
        return len(self.cost) - 1

    def row(self, coefficients: Mapping[int, float], lower: float = -inf, upper: float = inf) -> None:
        """A new row: the sum of coefficient x column between two bounds."""
        self.rows.append({column: value for column, value in coefficients.items() if value})
        self.row_lower.append(lower)
        self.row_upper.append(upper)

    def cost_of(self, columns: Sequence[float]) -> float:
        """The sum that is made least."""
        return sum(cost * value for cost, value in zip(self.cost, columns))

    def solution(
        self, *, whole: bool = True, held: Mapping[int, tuple[float, float]] = MappingProxyType({})
    ) -> list[float] | None:
        """The columns at the least cost, as near as OPTIONS say; None where nothing fits.

        whole: False lets columns of whole numbers take any. held: other bounds for some columns.

        Raises Refusal (solver_not_installed)."""
        try:
            import highspy
        except ImportError:
            raise Refusal(
                "solver_not_installed", "This installation has no solver for linear programmes."
            ) from None
        model = highspy.HighsLp()
        model.num_col_, model.num_row_ = len(self.cost), len(self.rows)
        model.col_cost_ = self.cost
        model.col_lower_ = [held[k][0] if k in held else lower for k, lower in enumerate(self.lower)]
        model.col_upper_ = [held[k][1] if k in held else upper for k, upper in enumerate(self.upper)]
        model.row_lower_, model.row_upper_ = self.row_lower, self.row_upper
        starts, index, values = [0], list[int](), list[float]()
        for row in self.rows:
            index += row
            values += row.values()
            starts.append(len(index))
        model.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
        model.a_matrix_.start_, model.a_matrix_.index_, model.a_matrix_.value_ = starts, index, values
        if whole and any(self.whole):
            kinds = highspy.HighsVarType
            model.integrality_ = [kinds.kInteger if each else kinds.kContinuous for each in self.whole]
        # not the wrapper around it, which writes a line to standard output
        solver = highspy._Highs()  # type: ignore[attr-defined]
        for name, value in OPTIONS.items():
            solver.setOptionValue(name, value)
        solver.passModel(model)
        solver.run()
        found = highspy.HighsModelStatus
        status = solver.getModelStatus()
        info = solver.getInfo()
        if status == found.kOptimal or (
            status in (found.kSolutionLimit, found.kTimeLimit)
            and info.primal_solution_status == highspy.kSolutionStatusFeasible
        ):
            return list(solver.getSolution().col_value)
        return None
