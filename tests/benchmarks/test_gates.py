"""Short forms of the benchmarks with the figures they must not fall behind."""

from __future__ import annotations

from functools import cache
from itertools import permutations

import numpy as np
import pytest
from lengths import tries

from diagnose.reasoning.posterior import many_faults

from . import agreement, calibration, growth, isolating, repair_cost, several
from .engines import small_engine
from .optimum import optimum
from .policies import HELP, Seen, asked_next, minutes_of, planner, repairs_only
from .tables import Table


@cache
def short_costs() -> Table:
    """B1 on a part of the frozen set, the planner alone."""
    return repair_cost.table(each=tries(40, 30), others=tries(30, 10), ways={"planner": planner})


def test_the_optimum_of_repairs_alone_is_the_best_of_all_orders() -> None:
    """With checks too dear to be done only the order of repairs is left to choose."""
    drawn = [small_engine(seed, "even") for seed in range(30)]
    few = [engine for engine in drawn if engine.repairs <= 6]
    for engine in few:
        engine = engine._replace(check_minutes=np.full(len(engine.chances), 1e5))
        orders = np.array(list(permutations(range(engine.repairs))))
        spent = engine.repair_minutes[orders].cumsum(axis=1)
        best = (engine.prior[:-1][orders] * spent).sum(axis=1).min()
        assert optimum(engine) == pytest.approx(best, rel=1e-12)
        assert minutes_of(engine, repairs_only) == pytest.approx(best, rel=1e-12)


def test_the_planner_stays_near_the_optimum() -> None:
    costs = short_costs()
    assert costs.figure("plain: planner", "mean") <= 1.004
    assert costs.figure("plain: planner", "p95") <= 1.02
    assert costs.figure("plain: planner", "worst") <= 1.08
    assert costs.figure("covers: planner", "mean") <= 1.01


def test_nothing_is_better_than_the_optimum() -> None:
    """A ratio below 1 would be a fault of the optimum, not a triumph."""
    assert min(row[-1] for row in short_costs().rows) >= 1 - 1e-9


def test_every_other_way_costs_clearly_more() -> None:
    """The set can tell good from bad: else the gates above would mean nothing."""
    costs = repair_cost.table(each=5, others=1)
    others = [
        row[1] for row in costs.rows if row[0].startswith("plain") and "planner" not in row[0]
    ]
    assert min(others) > 1.15


def test_a_free_check_never_makes_it_dearer() -> None:
    for seed in range(12):
        engine = small_engine(seed, "sparse")
        free = engine._replace(check_minutes=engine.check_minutes * 0 + 1e-9)
        assert minutes_of(free, planner(free)) <= minutes_of(free, repairs_only) + 1e-6


def test_a_likely_cause_is_repaired_before_the_rare_ones_are_told_apart() -> None:
    """What tells the rare ones apart can be asked once the likely repair has failed."""
    engine = small_engine(0, "even")._replace(
        prior=np.array([0.97, 0.01, 0.01, 0.01, 0.0]),
        chances=(np.array([[0.5, 1, 0, 0.5, 0.5], [0.5, 0, 1, 0.5, 0.5]]),),
        check_minutes=np.array([2.0]),
        repair_minutes=np.array([20.0, 400.0, 400.0, 400.0]),
        check_cover=(0,),
        repair_cover=(0, 0, 0, 0),
    )
    choose = asked_next(engine)
    seen = Seen(engine.prior, frozenset(), frozenset((0,)))
    assert choose(engine, seen) is None
    failed = seen._replace(joint=engine.prior * [0, 1, 1, 1, 1])
    assert choose(engine, failed) == 0
    assert HELP < 0


def test_minutes_on_large_engines_against_flowchart_and_random_order() -> None:
    found = isolating.table(models=3, each=tries(16, 5))
    assert found.figure("planner", "/ flowchart") <= 0.60
    assert found.figure("planner", "/ random") <= 0.30


def test_sums_agree_with_the_library() -> None:
    found = agreement.table(sets=8)
    assert max(row[2] for row in found.rows) <= 1e-9


def test_several_faults_are_as_good_as_exact() -> None:
    for row in several.table(cases=25, timed=False).rows:
        assert abs(row[1] - row[2]) <= 0.01
        assert row[4] <= 1e-9


def test_ranking_agrees_with_the_library_on_the_whole_net_and_is_ten_times_as_fast() -> None:
    for seed in range(3):
        case = several.drawn(seed, 0.8)
        theirs = several.asked_whole(several.whole_net(case), case)
        ours = many_faults(several.factors_of(case))
        assert np.abs(theirs - ours).max() <= 1e-9
    assert several.quickness(cases=6).same >= 10


def test_stated_chances_are_those_of_the_exact_posterior() -> None:
    found = calibration.table(cases=150)
    ours = found.figure("ours", "log loss")
    assert ours <= 0.8 * found.figure("prior only", "log loss")
    assert ours == pytest.approx(found.figure("exact posterior", "log loss"), rel=0.04)


def test_a_turn_grows_slower_than_the_rule_base() -> None:
    found = growth.table(sizes=(1, 3), count=5)
    assert found.figure("3x", "turn /") <= 3
    assert found.figure("3x", "MiB /") <= 3.5


def test_three_chainers_derive_the_same() -> None:
    pytest.importorskip("clips")
    pytest.importorskip("durable_rules_engine")
    from . import chainers

    assert [row[3] for row in chainers.table(sets=8).rows] == [1.0, 1.0, 1.0]
