"""A whole-number programme under construction: variables, rows, and HiGHS to solve it."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Literal

Outcome = Literal["best", "none", "out of time"]


@dataclass
class Programme:
    """Whole-number variables with costs, and rows that hold sums of them between bounds."""

    costs: list[float] = field(default_factory=list)
    most: list[float] = field(default_factory=list)
    rows: list[tuple[dict[int, float], float, float]] = field(default_factory=list)

    def variable(self, most: float, cost: float = 0) -> int:
        """A variable from 0 to `most`; its index."""
        self.costs.append(cost)
        self.most.append(most)
        return len(self.costs) - 1

    def row(self, terms: dict[int, float], least: float = -math.inf, most: float = math.inf) -> None:
        """Hold a weighted sum of variables between bounds."""
        self.rows.append((terms, least, most))

    def solve(self, seconds: float = 30.0) -> tuple[Outcome, list[int]]:
        """The cheapest values, or that there are none, or that time ran out before it was known."""
        import numpy as np
        from scipy.optimize import Bounds, LinearConstraint, milp
        from scipy.sparse import coo_array

        if not self.costs:
            feasible = all(least <= 0 <= most for _, least, most in self.rows)
            return ("best" if feasible else "none"), []
        entries = [(r, v, c) for r, (terms, _, _) in enumerate(self.rows) for v, c in terms.items()]
        constraints = []
        if self.rows:
            rows, columns, values = zip(*entries, strict=True) if entries else ((), (), ())
            matrix = coo_array((values, (rows, columns)), shape=(len(self.rows), len(self.costs))).tocsr()
            constraints = [LinearConstraint(matrix, [r[1] for r in self.rows], [r[2] for r in self.rows])]
        answer = milp(
            np.array(self.costs, dtype=float),
            constraints=constraints,
            integrality=np.ones(len(self.costs)),
            bounds=Bounds(0, np.array(self.most, dtype=float)),
            options={"time_limit": seconds, "mip_rel_gap": 0.0},
        )
        found: list[int] = [] if answer.x is None else [round(v) for v in answer.x]
        if answer.status == 0:
            return "best", found
        if answer.status == 2:
            return "none", []
        return "out of time", found
