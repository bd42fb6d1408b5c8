"""Players that practise by themselves: the best policy, a sensible one, and one that guesses.

None of them sees what is hidden: they choose from the assessment of the log alone.
Run as a program it prints the table over many seeds.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable
from random import Random
from statistics import mean, median

from diagnose.cases.assess import Assessment, Workbench, load_workbench
from diagnose.cases.log import Statement
from diagnose.language.index import load_index
from diagnose.practice import asking
from diagnose.practice.asking import Ask
from diagnose.practice.drawing import draw
from diagnose.practice.exercise import Exercise
from diagnose.practice.score import Score, score

MOST_STEPS = 120
Player = Callable[[Exercise, Random], Ask]


class Remembering(Workbench):
    """A workbench that works a log out once: playing, judging and the next player ask the same."""

    __slots__ = ()
    known: dict[object, Assessment] = {}

    def assess(self, statements: Iterable[Statement]) -> Assessment:
        """What stands in the memory, else worked out."""
        told = tuple(statements)
        key = (self.knowledge.digest, self.sheet and self.sheet.id, told)
        if key not in self.known:
            self.known[key] = super().assess(told)
        return self.known[key]


def best(play: Exercise, chance: Random) -> Ask:
    """Do what the planner does: its check, then the repair with the best chance per minute."""
    now = play.view
    if now.plan is not None:
        again = now.plan.settles[0] in play.stand.looked
        return Ask(asking.LOOK, now.plan.settles, again=again)
    sure = now.chance(play.bench, now.repair)
    return Ask(asking.COMMIT, (now.repair,), sure=sure)


def sensible(play: Exercise, chance: Random) -> Ask:
    """Hold the likeliest cause against its cheapest open signs; commit at four in five."""
    now, knowledge = play.stand.now, play.knowledge
    ranked = [r for r in now.ranking.ranked if r.cause not in play.tried]
    if not ranked or len(play.steps) > 25:
        return Ask(asking.GIVE_UP)
    if ranked[0].p > 0.8 or len(play.steps) > 18:
        return Ask(asking.COMMIT, (ranked[0].cause,), sure=ranked[0].p)
    often = knowledge.words.how_often
    known = {*play.stand.looked, *now.state.known, *now.state.cannot}
    running = {a.id for a in knowledge.access.values() if a.engine_running}
    if now.must_not_run:  # anybody sensible stops the engine when told to
        known |= {
            f for f, c in knowledge.settled_by.items() if knowledge.checks[c].access in running
        }
    looks = []
    for place, suspect in enumerate(ranked[:3]):
        for sign in knowledge.causes[suspect.cause].signs:
            if sign.finding not in known and often[sign.how_often] >= 0.6:
                check = knowledge.checks[knowledge.settled_by[sign.finding]]
                access = knowledge.access[check.access]
                reach = 0 if access.id in now.state.open else access.minutes
                looks.append((check.minutes + reach + 15 * place, sign.finding))
    if not looks:
        return Ask(asking.COMMIT, (ranked[0].cause,), sure=ranked[0].p)
    return Ask(asking.LOOK, (min(looks)[1],))


def guessing(play: Exercise, chance: Random) -> Ask:
    """Look anywhere; now and then commit to one of the ten likeliest."""
    now, knowledge = play.stand.now, play.knowledge
    if len(play.steps) > 20:
        return Ask(asking.GIVE_UP)
    if chance.random() < 0.25 and now.ranking.ranked:
        return Ask(asking.COMMIT, (chance.choice(now.ranking.ranked[:10]).cause,), sure=0.5)
    left = [f for f in knowledge.settled_by if f not in play.stand.looked]
    return Ask(asking.LOOK, (chance.choice(left),))


def run(play: Exercise, player: Player, seed: int) -> Score:
    """Let a player play an exercise to its end; its result."""
    play_out(play, player, seed)
    return score(play)


def play_out(play: Exercise, player: Player, seed: int) -> None:
    """Let a player play an exercise to its end."""
    chance = Random(seed)
    for _ in range(MOST_STEPS):
        if play.done:
            break
        ask = player(play, chance) if not play._asks_root else Ask(asking.NOTHING)
        play.turn += 1
        play._answers()[ask.kind](ask)


PLAYERS: dict[str, Player] = {"best": best, "sensible": sensible, "guessing": guessing}


def table(bench: Workbench, seeds: range, level: int | None = None) -> dict[str, list[Score]]:
    """Every player on every seed; the levels in turn unless one is given."""
    index = load_index(bench.knowledge)
    out: dict[str, list[Score]] = {name: [] for name in PLAYERS}
    for seed in seeds:
        scenario = draw(bench, seed, level or seed % 5 + 1)
        for name, player in PLAYERS.items():
            result = run(Exercise(bench, index, scenario), player, seed)
            out[name].append(result._replace(steps=()))
    return out


def print_table(scores: dict[str, list[Score]]) -> None:
    """The table as plain lines."""
    print(f"{'player':10} solved  lost(mean) lost(median) max  minutes  wrong  danger  brier")
    for name, found in scores.items():
        briers = [s.brier for s in found if s.brier is not None]
        lost = [s.lost for s in found]
        print(
            f"{name:10} {mean(s.solved for s in found):6.1%} {mean(lost):10.1f}"
            f" {median(lost):10.1f} {max(lost):7.1f} {mean(s.minutes for s in found):8.1f}"
            f" {mean(s.wrong_parts for s in found):6.2f} {mean(s.dangers for s in found):6.2f}"
            f" {mean(briers):6.3f}"
        )


if __name__ == "__main__":
    first, last = (["0", *sys.argv[1:]])[-2:]
    print_table(table(load_workbench(), range(int(first), int(last))))
