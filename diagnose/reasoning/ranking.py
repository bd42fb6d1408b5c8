"""Which causes fit the evidence, how well, and because of what; plans nothing."""

from __future__ import annotations

import math
import operator
from collections.abc import Mapping, Sequence

from diagnose.knowledge.model import Cause, Knowledge, Sign
from diagnose.named import Named
from diagnose.reasoning.inference import Conclusions, about
from diagnose.reasoning.network import ANY, Network
from diagnose.reasoning.posterior import (
    Evidence,
    Factors,
    Ways,
    alone,
    factors,
    several_faults,
    share_of_one_fault,
    shared,
    spelt_out,
    tempered,
)

_SETTING = "setting_"
_MOST_CERTAIN = 0.5
_LEAST_P = 0.001  # causes less likely than this are not listed
FLOOR = 1e-4  # added to a chance before it is weighed by its power, here and in the fit
_RULED_OUT, _NOT_AT_ALL = 1e-12, 1e-9  # odds of a cause that a rule excludes; below it p is 0


class Reason(Named):
    """One sign or rule that speaks for a cause, with the factor it puts on its odds."""

    rule: str
    finding: str
    text: str
    source: str
    weight: float


class Ranked(Named):
    """One cause and the chance `p` that it is there.

    `p` weighs two views of the same evidence: that there is exactly one fault, and that each
    cause may be there whatever the others do. Nobody knows beforehand which engine it is.
    """

    cause: str
    p: float


class Talk(Named):
    """How `near` the words of a person came to those of the causes, 1 being near.

    `fresh` is the same, less for every finding told in a later turn than the words. `alike` is the
    log odds that what was told puts on the causes as counted messages have it, and `share` how much
    of it is left beside the findings told since.
    """

    near: Mapping[str, float]
    fresh: Mapping[str, float]
    alike: Mapping[str, float] = {}
    share: float = 0.0


class Ranking(Named):
    """All causes, likeliest first, and the evidence they were weighed on.

    `shares` are the chances when at most one fault is there, in the network's order, with "no
    fault at all" last; `given` is the evidence they rest on. `certain` are the causes more likely
    there than not, whatever words were used.
    """

    ranked: tuple[Ranked, ...]
    certain: tuple[str, ...]
    none_of_these: float
    no_fault: float
    shares: tuple[float, ...]
    used: tuple[Evidence, ...]
    given: Factors

    def p(self, cause: str) -> float:
        """The probability of one cause."""
        return next((r.p for r in self.ranked if r.cause == cause), 0.0)


def rank(
    knowledge: Knowledge,
    network: Network,
    conclusions: Conclusions,
    evidence: Sequence[Evidence],
    talk: Talk,
) -> Ranking:
    """Rank every cause that the rules leave standing.

    The words of the `talk` count far more in the order of the causes than in the shares, which
    decide what is checked and when asking ends: words may not take the place of a look. Beside
    them, what was heard in passing counts with the doubt that it was misheard.
    """
    used = _one_name_each(network, evidence)
    settings, prior = knowledge.words.settings, _prior(network, conclusions)
    views = _views(network, prior, [e._replace(doubt=0.0) for e in used], settings)
    shares, p = views.shares, views.p(prior)
    ranked = _ranked(network, p)
    certain = tuple(r.cause for r in ranked if r.p > _MOST_CERTAIN)
    if talk.near:  # words may order the causes, but take the place of no check
        little = _odds(network, talk.near, settings["talked_about_at_most"])
        shares = _drawn_shares(shares, little)
        much = _odds(network, talk.fresh, settings["talked_about"])
        odds = [*map(operator.mul, little, much)]
        doubted = _views(network, prior, used, settings) if any(e.doubt for e in used) else views
        drawn = doubted.drawn(odds)
        if talk.alike:
            drawn = drawn.drawn(_alike(network, talk, drawn.p(prior), settings))
        p = drawn.p(prior)
        ranked = _ranked(network, p)
    rest = (p[-1], shares[-1], tuple(shares))
    return Ranking(ranked, certain, *rest, tuple(used), views.given)


class _Views(Named):
    """Two views of the same evidence: exactly one fault (`single`), and any number (`many`).

    `one` is the chance of the first; `shares` are those of the first before they are tempered.
    """

    one: float
    single: Sequence[float]
    many: Sequence[float]
    shares: Sequence[float]
    given: Factors

    def p(self, prior: Sequence[float]) -> list[float]:
        """The chance of each cause, and last of what is not listed, weighing both views."""
        return [
            self.one * alone_ + (1 - self.one) * with_others if start > _NOT_AT_ALL else 0.0
            for alone_, with_others, start in zip(self.single, self.many, prior, strict=False)
        ]

    def drawn(self, odds: Sequence[float]) -> _Views:
        """Both views with the odds of the words put on them."""
        return self._replace(
            single=_drawn_shares(self.single, odds), many=_drawn_chances(self.many, odds)
        )


def _views(
    network: Network,
    prior: Sequence[float],
    evidence: Sequence[Evidence],
    settings: Mapping[str, float],
) -> _Views:
    ways = [(c, factors(network, prior, way)) for c, way in spelt_out(evidence)]
    many, likely_one, likely_many = several_faults(ways, prior)
    one = share_of_one_fault(likely_one, likely_many, settings["one_fault"])
    shares = _shares(ways, settings["well_without_complaint"])
    exponent = settings["tempering"]
    single = shared([share**exponent for share in shares])
    return _Views(one, single, tempered(many, prior, exponent), shares, ways[0][1])


def _ranked(network: Network, p: Sequence[float]) -> tuple[Ranked, ...]:
    rows = zip(network.causes[:-1], p, strict=False)
    found = [Ranked(cause, chance) for cause, chance in rows if chance > _LEAST_P]
    return tuple(sorted(found, key=lambda r: (-r.p, r.cause)))


def reasons_for(
    knowledge: Knowledge, conclusions: Conclusions, ranking: Ranking, cause: str
) -> list[Reason]:
    """The signs and rules that speak for a cause, strongest first."""
    known = {e.finding: e.state for e in ranking.used}
    record = knowledge.causes[cause]
    reasons = [
        reason
        for sign in record.signs
        if known.get(sign.finding) == sign.state
        and (reason := _sign_reason(knowledge, record, sign)) is not None
    ]
    for pointer in conclusions.pointers:
        if pointer.cause == cause and pointer.odds > 1:
            rule = knowledge.rules[pointer.rule]
            finding = about(rule.when[0])
            weight = math.log(pointer.odds)
            reasons.append(Reason(rule.id, finding, rule.because, rule.source, weight))
    return sorted(reasons, key=lambda r: (-r.weight, r.rule))


def _one_name_each(network: Network, evidence: Sequence[Evidence]) -> list[Evidence]:
    """One symptom told under two names counts once: keep the name that says most."""
    best: dict[str, tuple[tuple[bool, float, str], Evidence]] = {}
    for item in evidence:
        group = network.groups.get(item.finding, item.finding)
        showing = network.showings.get(item.finding)
        abnormal = showing is not None and item.state != showing.normal
        row = showing.states.index(item.state) if showing is not None and abnormal else 0
        leak = showing.leak[row] if showing is not None else 0.0
        order = (not abnormal, leak, item.finding)
        if group not in best or order < best[group][0]:
            best[group] = (order, item)
    return sorted((e for _, e in best.values()), key=lambda e: e.finding)


def _prior(network: Network, conclusions: Conclusions) -> list[float]:
    setting = next((s for s in network.prior if f"{_SETTING}{s}" in conclusions.notes), ANY)
    odds = [p / (1 - p) for p in network.prior[setting]]
    for pointer in conclusions.pointers:
        odds[network.column(pointer.cause)] *= pointer.odds
    for cause in conclusions.ruled_out:
        odds[network.column(cause)] = _RULED_OUT
    return [one / (1 + one) for one in odds]


def _odds(network: Network, near: Mapping[str, float], most: float) -> list[float]:
    """What the words put on the odds of each cause."""
    return [most ** near.get(cause, 0.0) for cause in network.causes[:-1]]


def _alike(
    network: Network, talk: Talk, p: Sequence[float], settings: Mapping[str, float]
) -> list[float]:
    """What the likeness to counted messages puts on the odds of each cause, of chance `p` so far.

    The chances so far count by a power, as the weights were fitted beside them: signs and words
    were heard in the same message, and are partly the same. All of it fades with what comes later.
    """
    much = 1 + (settings["counted"] - 1) * talk.share
    power = much * (1 + (settings["counted_beside"] - 1) * talk.share) - 1
    return [
        math.exp(much * talk.alike.get(cause, 0.0)) * (chance + FLOOR) ** power
        for cause, chance in zip(network.causes[:-1], p, strict=False)
    ]


def _drawn_shares(shares: Sequence[float], odds: Sequence[float]) -> list[float]:
    """Shares moved toward the causes talked about; all causes together keep theirs."""
    causes, rest = shares[: len(odds)], shares[len(odds) :]
    moved = [*map(operator.mul, causes, odds)]
    scale = sum(causes) / (sum(moved) or 1.0)
    return [*(one * scale for one in moved), *rest]


def _drawn_chances(chances: Sequence[float], odds: Sequence[float]) -> list[float]:
    """The same for chances that do not share anything: by odds, what is all but sure stays so."""
    causes, rest = chances[: len(odds)], chances[len(odds) :]
    scale = sum(causes) / (sum(map(operator.mul, causes, odds)) or 1.0)
    moved = [chance * factor * scale for chance, factor in zip(causes, odds, strict=True)]
    drawn = [one / (1 - chance + one) for chance, one in zip(causes, moved, strict=True)]
    return [*drawn, *rest]


def _shares(ways: Ways, well: float) -> list[float]:
    """One-fault shares with a last place for "no fault at all".

    `well` is the odds that nothing is wrong as long as nothing abnormal was told.
    """
    rows = [[*alone(given), math.prod(given.leak) if given.leak else well] for _, given in ways]
    chances = [chance for chance, _ in ways]
    return shared(
        [math.fsum(map(operator.mul, chances, column)) for column in zip(*rows, strict=True)]
    )


def _sign_reason(knowledge: Knowledge, cause: Cause, sign: Sign) -> Reason | None:
    weight = _sign_weight(knowledge, sign)
    if weight <= 0:
        return None
    rule = f"{cause.id}/{sign.finding}/{sign.state}"
    return Reason(rule, sign.finding, sign.because, sign.source, weight)


def _sign_weight(knowledge: Knowledge, sign: Sign) -> float:
    """How much a sign, once seen, speaks for its cause: the log of the factor on the odds."""
    finding = knowledge.findings[sign.finding]
    share = knowledge.words.how_often[sign.how_often]
    words = knowledge.words.background
    abnormal = {s: words[w] for s, w in finding.background.items()}
    usual = abnormal.get(sign.state, max(1 - sum(abnormal.values()), 0.05))
    return math.log(share / usual)
