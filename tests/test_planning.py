"""The order of repairs, and what every plan promises on the shipped rule base."""

import random
from itertools import permutations, product
from math import inf

import pytest

from diagnose.cases.assess import load_workbench
from diagnose.cases.log import Statement
from diagnose.reasoning.lookahead import Look, Lookahead
from diagnose.reasoning.minutes import Repairs

BENCH = load_workbench()
KNOWLEDGE = BENCH.knowledge
UNDO, HELP = 30.0, 600.0


def spent(order: tuple[int, ...], repairs: list[tuple[str, float]], shares: list[float]) -> float:
    """Minutes of one order counted step by step; place -1 is calling for help."""
    open_, total, left = {"outside"}, 0.0, sum(shares)
    for place in order:
        access, minutes = repairs[place] if place >= 0 else ("outside", HELP)
        total += left * (minutes + (0.0 if access in open_ else 90.0))
        open_.add(access)
        left -= shares[place]
        total += left * UNDO if place >= 0 else 0.0
    return total


@pytest.mark.parametrize("seed", range(12))
def test_repairs_by_chance_per_minute_are_the_best_order(seed: int) -> None:
    """The p/c rule of decision-theoretic troubleshooting, repairs behind one cover bundled."""
    rng = random.Random(seed)
    count = 5
    where = ["outside", "cover"] if seed % 2 else ["outside"]
    repairs = [(rng.choice(where), rng.uniform(5, 300)) for _ in range(count)]
    shares = [rng.random() for _ in range(count + 1)]
    orders = permutations([*range(count), -1])
    best = min(spent(order, repairs, shares) for order in orders)
    found = Repairs(repairs, {"outside": 0.0, "cover": 90.0}, UNDO, HELP)
    assert found.expected([*shares, 0.2]) == pytest.approx(best, rel=1e-9)


def test_opening_a_cover_makes_the_repairs_behind_it_cheaper_and_no_other() -> None:
    repairs = Repairs([("outside", 20.0), ("cover", 20.0)], {"cover": 90.0}, 0.0, HELP)
    shares = [0.5, 0.5, 0.0, 0.0]
    assert repairs.expected(shares) == pytest.approx(20 + 0.5 * 110)
    assert repairs.opened("cover").expected(shares) == pytest.approx(20 + 0.5 * 20)
    assert repairs.opened("outside") is repairs


@pytest.mark.parametrize("seed", range(8))
def test_seeing_further_never_looks_dearer(seed: int) -> None:
    """One more look is an offer: it may be left."""
    rng = random.Random(seed)
    repairs = Repairs([("outside", rng.uniform(5, 300)) for _ in range(4)], {}, UNDO, HELP)
    shares = [rng.random() for _ in range(5)] + [0.0]
    looks = []
    for n in range(3):
        yes = [rng.random() for _ in shares]
        rows = (yes, [1 - chance for chance in yes])
        looks.append(Look(f"look{n}", "outside", rng.uniform(1, 30), rows))
    ahead = Lookahead(looks)
    once, bare = ahead.once(shares, repairs), repairs.expected(shares)
    assert repairs.least(shares) - 1e-9 <= once <= bare + 1e-9
    for look in looks:
        exact = ahead.asking_twice(look, shares, repairs, inf)
        assert exact <= ahead.asking(look, shares, repairs)
        for limit in (0.5 * exact, exact, 1.5 * exact):
            found = ahead.asking_twice(look, shares, repairs, limit)
            assert found == exact if exact < limit else found >= limit
    assert ahead.repairing(shares, repairs) <= bare + 1e-9


@pytest.mark.parametrize(("seed", "count"), [*product(range(6), (1, 3, 12))])
def test_a_plan_asks_each_finding_once_and_none_that_is_settled(seed: int, count: int) -> None:
    rng = random.Random(seed * 100 + count)
    said = {
        finding: rng.choice(KNOWLEDGE.findings[finding].known_states)
        for finding in rng.sample(sorted(KNOWLEDGE.findings), count)
    }
    asked = rng.sample(sorted(KNOWLEDGE.findings), 5)
    log = [Statement("asked", finding, 1) for finding in asked]
    log += [Statement("said", finding, 1, state=state) for finding, state in said.items()]
    step = BENCH.assess(log).plan
    if step is not None:
        assert len(set(step.settles)) == len(step.settles)
        assert {KNOWLEDGE.settled_by[f] for f in step.settles} == {step.check}
        assert step.safety or not {*step.settles} & {*asked, *said}
