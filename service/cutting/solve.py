"""The plan of least cost: column generation, and whole numbers of the patterns found (Gilmore and Gomory 1961).

A linear program says what a piece of each length is worth; the fullest bar at these worths is a new pattern, until none is
worth more than it costs. Then the patterns are rounded to whole bars: most by diving (whole parts are fixed, patterns are
generated for the rest), the last by a mixed-integer program over all patterns found. First fit decreasing comes before, so
that there is always a plan, then bars that are as full as can be, which is often proven best already. What is best when the
time ends is told with its bound, which is worked out in whole numbers from the worths (Farley 1990): the solver's tolerances
do not enter it. Of a small problem all patterns are found beforehand, and then the mixed-integer program proves its best
plan by itself, within its tolerances.
"""

from collections.abc import Iterable, Sequence
from fractions import Fraction
from math import ceil, floor, inf
from time import monotonic
from typing import Any

import highspy

from service.cutting.greedy import Chosen, Pattern, Problem, Rest
from service.cutting.knapsack import ROWS_AT_ONCE, Table
from service.cutting.model import Answer, Bar, Missing, Order, Plan, Task, laid

SCALE = 2**30
"""What the dearest bar costs where worths are whole numbers."""
FILLING_SHARE = 0.6
"""Part of a profile's time in which bars are filled before patterns are generated."""
FULLNESS, FONDNESS, FILLED_A_TABLE = (Fraction(99, 100), Fraction(96, 100)), 8, 200
"""How full bars must be, ever less; how much longer pieces are preferred, the more the smaller; patterns tried at once."""
GENERATING_SHARE, DIVING_SHARE = 0.5, 0.75
"""Parts of a profile's time after which patterns are no longer generated, and after which diving ends."""
ROUNDS = 2
"""How often the orders are gone through."""
NOTHING_IS_WORTH_IT = 2**62
"""What no pattern is worth."""
LEAST_CHOICE_S = 0.05
"""Time without which the mixed-integer program is not begun."""
NEARLY = 1e-6
"""The solver's tolerance, of a bar."""
NEARLY_A_UNIT = 0.01
"""What its bound may be off by besides [units of cost]: plans cost whole units."""
EVERY_PATTERN_STEPS = 20_000
"""Steps in which all patterns of a small problem are found; the rest of the search then proves its best plan."""
PRIMAL_SIMPLEX = 4
"""The solver's number for it: a basis stays good for it when patterns are added."""
STEADY = 2
"""How many times the worths that have proven most count where they are mixed with the last ones."""
PATTERNS_A_TABLE, PATTERNS_A_ROW = 40, 4
"""Patterns that are taken from a table at once, and at least of each row of the stock."""
DIVES = ((0.6, 2), (0.9, 4), (1.0, 12))
"""Dives, ever more careful: the part of a bar from which the whole is taken, and tables filled at most for each step."""


class _Master:
    """The linear program over the patterns found: every length often enough, no row of the stock too often."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.patterns: list[Pattern] = []
        self._known: set[Pattern] = set()
        self._asked = problem.demand, problem.left
        self._program = _program()
        self._program.setOptionValue("presolve", "off")
        self._program.setOptionValue("simplex_strategy", PRIMAL_SIMPLEX)
        _add_rows(self._program, problem, problem.demand, problem.left)

    def add(self, patterns: Iterable[Pattern]) -> int:
        """Add those that are new; how many were."""
        new = [one for one in dict.fromkeys(patterns) if one.counts and one not in self._known]
        for pattern in new:
            _add_pattern(self._program, self.problem, pattern)
        self._known.update(new)
        self.patterns += new
        return len(new)

    def ask(self, demand: list[int], left: list[int | None]) -> tuple[list[int], list[float]]:
        """What a piece of each length is worth at a demand, and how often each pattern would be cut."""
        count = len(demand)
        if (demand, left) != self._asked:
            for row, many in enumerate(demand):
                self._program.changeRowBounds(row, many, inf)
            for row, bars in enumerate(left, count):
                self._program.changeRowBounds(row, -inf, inf if bars is None else bars)
            self._asked = list(demand), list(left)
        self._program.run()
        solution = self._program.getSolution()
        worths = [
            max(0, min(floor(dual * SCALE), penalty * SCALE // self.problem.dearest))
            for dual, penalty in zip(solution.row_dual[:count], self.problem.penalties, strict=True)
        ]
        return worths, list(solution.col_value[count:])

    @property
    def value(self) -> float:
        """What all costs as it was asked last, parts of bars allowed."""
        return float(self._program.getInfo().objective_function_value * self.problem.dearest)

    def row_worths(self) -> list[int]:
        """What one bar more of each row of the stock would save."""
        duals = self._program.getSolution().row_dual[len(self.problem.demand) :]
        return [max(0, floor(-dual * SCALE)) for dual in duals]


def _program() -> Any:
    """An empty program of the solver, silent, in one thread."""
    program: Any = highspy.Highs()  # type: ignore[no-untyped-call] # the library has no type for it
    for option, value in (("output_flag", False), ("threads", 1), ("parallel", "off")):
        program.setOptionValue(option, value)
    return program


def _add_rows(program: Any, problem: Problem, demand: Sequence[int], left: Sequence[int | None]) -> None:
    """A row for each length and each row of the stock, and a column for what is missing of each length."""
    for many in demand:
        program.addRow(many, inf, 0, [], [])
    for bars in left:
        program.addRow(-inf, inf if bars is None else bars, 0, [], [])
    for row, penalty in enumerate(problem.penalties):
        program.addCol(penalty / problem.dearest, 0, inf, 1, [row], [1.0])


def _add_pattern(program: Any, problem: Problem, pattern: Pattern) -> None:
    rows = [index for index, _ in pattern.counts]
    counts: list[float] = [many for _, many in pattern.counts]
    rows.append(len(problem.demand) + pattern.stock)
    counts.append(1.0)
    program.addCol(problem.costs[pattern.stock] / problem.dearest, 0, inf, len(rows), rows, counts)


class _Search:
    """The search for the plan of one order: the best choice so far, and the bound that is proven so far."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.best = Rest(problem).first_fit_decreasing()
        self.cost = problem.cost(self.best)
        self.bound = problem.least_cost()
        self._proven = Fraction(0)
        kerfs: dict[int, list[int]] = {}
        for row, stock in enumerate(problem.stock):
            kerfs.setdefault(stock.kerf_um, []).append(row)
        self._groups = list(kerfs.values())

    @property
    def proven(self) -> bool:
        return self.cost == self.bound

    def improve(self, until_s: float) -> None:
        """Look for a better choice and a better bound until it is proven that there is none, or the time has come."""
        time_s = until_s - monotonic()
        if self.proven or time_s <= 0:
            return
        self._fill(until_s - (1 - FILLING_SHARE) * time_s)
        started = monotonic()
        time_s = until_s - started
        if self.proven or time_s <= 0:
            return
        master = _Master(self.problem)
        master.add(self._first_patterns())
        every = self.problem.every_pattern(EVERY_PATTERN_STEPS)
        if every is not None:
            master.add(every)
        self._generate(master, started + GENERATING_SHARE * time_s)
        for rounded_up_from, tables in DIVES:
            if not self.proven and monotonic() < started + DIVING_SHARE * time_s:
                self._dive(master, started + DIVING_SHARE * time_s, rounded_up_from, tables)
        if not self.proven and until_s - monotonic() > LEAST_CHOICE_S:
            self._choose(master, until_s, complete=every is not None)

    def _fill(self, until_s: float) -> None:
        """Cut bars as full as can be, the longest pieces first; what fills no bars any more is cut as it comes.

        Of many lengths there is always something that fills a bar, so this does more for a large order than patterns do
        for which there is no time.
        """
        problem, rest = self.problem, Rest(self.problem)
        chosen: Chosen = []
        longest = problem.lengths[0]
        values = [length * (FONDNESS * longest + length) // (FONDNESS * longest) for length in problem.lengths]
        for fullness in FULLNESS:
            cut: Chosen | None = None
            while cut != [] and any(rest.demand) and monotonic() < until_s:
                usable = [row for row in problem.cheapest if rest.left[row] != 0]
                most = problem.ratio(usable[0]) / fullness if usable else Fraction(0)
                over = [NOTHING_IS_WORTH_IT] * len(problem.stock)
                for row in usable[:ROWS_AT_ONCE]:
                    over[row] = 0
                patterns = [
                    pattern
                    for table in self._tables(values, rest.demand)
                    for pattern in table.patterns(over, most=FILLED_A_TABLE // min(len(over), ROWS_AT_ONCE))
                    if problem.costs[pattern.stock] <= most * problem.weight(pattern)
                ]
                cut = []
                for pattern in sorted(patterns, key=lambda one: one.counts):
                    cut += rest.cut(pattern, min(rest.demand[index] // many for index, many in pattern.counts))
                chosen += cut
        self._offer(chosen)

    def _first_patterns(self) -> Iterable[Pattern]:
        """Those of the first choice, and for each length a bar of it alone, the cheapest there is."""
        yield from (pattern for pattern, _ in self.best)
        for index, wanted in enumerate(self.problem.demand):
            alone = [
                Pattern(row, ((index, min(wanted, many)),))
                for row in range(len(self.problem.stock))
                if (many := self.problem.most(row, index))
            ]
            yield min(alone, key=lambda one: Fraction(self.problem.costs[one.stock], one.counts[0][1]))

    def _generate(self, master: _Master, until_s: float) -> None:
        """Generate patterns for the whole demand, and prove what can be proven from their worths.

        Worths jump about until there are enough patterns, so they are mixed with those that have proven most so far.
        """
        demand = self.problem.demand
        steady, mixing = [0] * len(demand), False
        while not self.proven and monotonic() < until_s:
            worths, _ = master.ask(demand, self.problem.left)
            if ceil(master.value - NEARLY) <= self.bound:
                break  # more patterns could prove no more, and these may do for a plan that meets the bound
            mixed = (
                [(STEADY * old + new) // (STEADY + 1) for old, new in zip(steady, worths, strict=True)] if mixing else worths
            )
            tables = self._tables(mixed, demand)
            if self._prove(mixed, tables):
                steady = mixed
            found = self._add_better(master, tables)
            if not found and not mixing:
                break
            mixing = bool(found)

    def _tables(self, worths: Sequence[int], demand: Sequence[int]) -> list[Table]:
        return [Table(self.problem, rows, values=worths, bounds=demand) for rows in self._groups]

    def _add_better(self, master: _Master, tables: Iterable[Table]) -> int:
        """Add patterns that are worth more than they cost; how many are new."""
        costs = [cost * SCALE // self.problem.dearest for cost in self.problem.costs]
        over = [cost + saved + 1 for cost, saved in zip(costs, master.row_worths(), strict=True)]
        wanted = max(PATTERNS_A_TABLE, len(self.problem.demand) // 4)
        most = max(PATTERNS_A_ROW, wanted // min(len(over), ROWS_AT_ONCE))
        return master.add(pattern for table in tables for pattern in table.patterns(over, most=most))

    def _prove(self, worths: Sequence[int], tables: Iterable[Table]) -> bool:
        """Prove a bound from any worths, and say whether it is the best so far.

        The worths are scaled down until no bar of an unlimited row is worth more than it costs.

        What a bar of a limited row is worth beyond its cost is taken off for each of its bars.
        """
        problem = self.problem
        costs = [Fraction(cost * SCALE, problem.dearest) for cost in problem.costs]
        values = {row: value for table in tables for row, value in table.values.items()}
        scale = min(
            (costs[row] / value for row, value in values.items() if problem.left[row] is None and value), default=Fraction(1)
        )
        scale = min(scale, Fraction(1))
        total = scale * sum(many * worth for many, worth in zip(problem.demand, worths, strict=True))
        for row, value in values.items():
            total += (problem.left[row] or 0) * min(Fraction(0), costs[row] - scale * value)
        proven, before = total * problem.dearest / SCALE, self._proven
        self._proven = max(before, proven)
        self.bound = max(self.bound, ceil(proven))
        return proven > before

    def _offer(self, chosen: Iterable[tuple[Pattern, int]]) -> None:
        """Take a choice if it is better, cut in this order, and completed where something is missing."""
        rest, done = Rest(self.problem), []
        for pattern, times in chosen:
            done += rest.cut(pattern, times)
        done += rest.first_fit_decreasing()
        cost = self.problem.cost(done)
        if cost < self.cost:
            self.best, self.cost = done, cost

    def _dive(self, master: _Master, until_s: float, rounded_up_from: float, tables: int) -> None:
        """Fix whole bars step by step, and generate patterns for what is left."""
        rest, chosen = Rest(self.problem), []
        while any(rest.demand) and monotonic() < until_s:
            for _ in range(tables):
                worths, times = master.ask(rest.demand, rest.left)
                if not self._add_better(master, self._tables(worths, rest.demand)):
                    break
            _, times = master.ask(rest.demand, rest.left)
            fixed = self._fixed(rest, list(zip(master.patterns, times, strict=True)), rounded_up_from)
            if not fixed:
                break
            chosen += fixed
        self._offer(chosen)

    def _fixed(self, rest: Rest, asked: list[tuple[Pattern, float]], rounded_up_from: float) -> Chosen:
        """Cut the whole parts of what is asked; where there are none, what is nearest to a whole bar."""
        fixed: Chosen = []
        for pattern, times in asked:
            if times >= 1 - NEARLY:
                fixed += rest.cut(pattern, floor(times + NEARLY))
        if not fixed:
            for pattern, times in sorted(asked, key=lambda one: -one[1]):
                whole = all(rest.demand[index] >= many for index, many in pattern.counts)
                if times > NEARLY and (not fixed or (times > rounded_up_from and whole)):
                    fixed += rest.cut(pattern, 1)
        return fixed

    def _choose(self, master: _Master, until_s: float, *, complete: bool) -> None:
        """Choose whole numbers of the patterns found, as well as the time allows.

        Where these are `complete`, all that there are, the solver's own bound is one for every plan.
        """
        problem, patterns = self.problem, list(dict.fromkeys([*master.patterns, *(one for one, _ in self.best)]))
        program, slacks = _program(), len(problem.demand)
        _add_rows(program, problem, problem.demand, problem.left)
        for pattern in patterns:
            _add_pattern(program, problem, pattern)
        columns = slacks + len(patterns)
        program.changeColsIntegrality(columns, list(range(columns)), [highspy.HighsVarType.kInteger] * columns)
        times = dict.fromkeys(patterns, 0)
        for pattern, many in self.best:
            times[pattern] += many
        known = [*problem.missing(self.best), *times.values()]
        program.setSolution(columns, list(range(columns)), [float(one) for one in known])
        # what is proven ends it as soon as it is met; the option `objective_target` is compared before presolve's offset
        costs = [*problem.penalties, *(problem.costs[pattern.stock] for pattern in patterns)]
        program.addRow(
            self.bound / problem.dearest, inf, columns, list(range(columns)), [one / problem.dearest for one in costs]
        )
        program.setOptionValue("mip_rel_gap", 0.0)
        program.setOptionValue("mip_abs_gap", 0.5 / problem.dearest)
        program.setOptionValue("time_limit", max(0.0, until_s - monotonic()))
        program.run()
        values = list(program.getSolution().col_value)
        if len(values) == columns:
            rounded = ((pattern, round(value)) for pattern, value in zip(patterns, values[slacks:], strict=True))
            self._offer((pattern, many) for pattern, many in rounded if many)
        if complete:
            proven = program.getInfo().mip_dual_bound * problem.dearest
            if self.bound < proven < inf:
                self.bound = max(self.bound, min(self.cost, ceil(proven - NEARLY_A_UNIT - NEARLY * problem.dearest)))


def solve(task: Task) -> Answer:
    """The plans of a task, each the best that was found in its part of the time."""
    started = monotonic()
    searches = [_Search(Problem(order)) for order in task.orders]
    until_s = started + task.time_limit_s
    for _ in range(ROUNDS):  # what the easy ones leave of their time goes to the others
        waiting = sorted((one for one in searches if not one.proven), key=lambda one: len(one.problem.demand))
        for place, search in enumerate(waiting):
            weights = [len(one.problem.demand) for one in waiting[place:]]
            now = monotonic()
            search.improve(now + (until_s - now) * weights[0] / sum(weights))
    plans = [_plan(order, search) for order, search in zip(task.orders, searches, strict=True)]
    return Answer(plans, f"HiGHS {_program().version()}")


def _plan(order: Order, search: _Search) -> Plan:
    """The plan of a finished search."""
    problem, chosen = search.problem, search.best
    missing = problem.missing(chosen)
    cost = sum(problem.costs[pattern.stock] * times for pattern, times in chosen)
    cost_bound = max(0, search.bound - (search.cost - cost))
    cut = [wanted - lost for wanted, lost in zip(problem.demand, missing, strict=True)]
    return Plan(
        profile=order.profile,
        bars=_bars(order, problem, chosen),
        missing=[Missing(length, many) for length, many in zip(problem.lengths, missing, strict=True) if many],
        cost=cost * problem.unit,
        cost_bound=cost_bound * problem.unit,
        bar_bound=max(problem.least_bars(cut), -(-cost_bound // problem.dearest)),
        optimal=search.proven,
    )


def _bars(order: Order, problem: Problem, chosen: Chosen) -> list[Bar]:
    """The bars of a choice, the longest pieces first, each piece with its reference; equal ones together."""
    waiting: dict[int, list[list[Any]]] = {}
    for piece in reversed(order.pieces):
        waiting.setdefault(piece.length_um, []).append([piece.reference, piece.count])
    bars: dict[tuple[int, tuple[tuple[int, str], ...]], int] = {}
    for pattern, times in sorted(chosen, key=lambda one: one[0].counts):
        for _ in range(times):
            pieces = []
            for index, many in pattern.counts:
                length_um = problem.lengths[index]
                pieces += [(length_um, _next(waiting[length_um])) for _ in range(many)]
            key = pattern.stock, tuple(pieces)
            bars[key] = bars.get(key, 0) + 1
    return [Bar(row, count, *laid(order.stock[row], pieces)) for (row, pieces), count in bars.items()]


def _next(waiting: list[list[Any]]) -> str:
    """The reference of the next piece of a length."""
    first = waiting[-1]
    first[1] -= 1
    if not first[1]:
        waiting.pop()
    return str(first[0])
