"""The rule base as a two-layer network of causes and findings, ready for sums; no talk here.

Each cause that is present makes each finding show one of its abnormal states, or leaves it alone;
so does everything outside the rule base (the background). A finding shows a state when at least one
of them made it show that state and none another. With two states this is the noisy-OR of the
literature. Facts of the engine or its history do not show because of a fault: they make a cause
more or less common, and count as odds.

Only what a sign says is kept: a cause that a finding says nothing about has no entry there, so a
turn costs as much as its findings have signs, however many causes there are.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from diagnose.knowledge.model import Cause, Finding, Knowledge
from diagnose.named import Named

Columns = Mapping[int, float]
"""A figure for some of the causes, by their place in the network; the others have the usual one."""

NONE = ""  # the last column: a cause that is not in the rule base
_NEVER = "never"
ANY = "unknown"  # the setting of an engine of which neither build nor service was told
_LEAST = 0.02  # no single circumstance may speak more than 1 : 50 for or against


class Showing(Named):
    """How one finding shows; `states` are its abnormal states, in the order of the rest.

    `shows[s][c]` is the chance that cause c makes it show state s (0 where missing); `leak[s]` the
    background; `odds[s][c]` what a state does to the odds of c beyond that (1 where missing).
    `misread` is the chance that an answer is wrong; `mistaken[s]` the chance to report state s
    where it is not. `denies[s][c]` is what seeing the part in state s does to the odds of a cause
    that a fault of it proves: found sound, it clears the cause. The normal state stands last.
    `usual[s]` is the chance of state s with one fault, whichever it is.
    """

    finding: str
    states: tuple[str, ...]
    normal: str
    shows: tuple[Columns, ...]
    leak: tuple[float, ...]
    odds: tuple[Columns, ...]
    misread: float
    mistaken: tuple[float, ...]
    denies: tuple[Columns, ...]
    usual: tuple[float, ...]


class Network(Named):
    """The causes with their prior odds, and how every finding bears on them.

    `circumstances[f][s][c]` is what state s of a circumstance does to the odds of cause c.
    """

    causes: tuple[str, ...]
    prior: Mapping[str, tuple[float, ...]]
    showings: Mapping[str, Showing]
    circumstances: Mapping[str, Mapping[str, Columns]]
    groups: Mapping[str, str]
    columns: Mapping[str, int]

    def column(self, cause: str) -> int:
        """The column of a cause id."""
        return self.columns[cause]


def build_network(knowledge: Knowledge) -> Network:
    """Turn the words of the rule base into figures, once per rule base."""
    causes = (*knowledge.causes, NONE)
    signs, priors = _signs_by_finding(knowledge), _priors(knowledge)
    showings, circumstances = {}, {}
    for finding in knowledge.findings.values():
        if finding.is_circumstance:
            circumstances[finding.id] = _circumstance(knowledge, finding, signs[finding.id])
        else:
            showings[finding.id] = _showing(knowledge, finding, signs[finding.id], priors[ANY])
    groups = {f.id: f.same_symptom for f in knowledge.findings.values() if f.same_symptom}
    columns = {cause: column for column, cause in enumerate(causes)}
    return Network(causes, priors, showings, circumstances, groups, columns)


Signs = list[tuple[int, str, float]]


def _signs_by_finding(knowledge: Knowledge) -> dict[str, Signs]:
    often = knowledge.words.how_often
    out: dict[str, Signs] = {key: [] for key in knowledge.findings}
    for column, cause in enumerate(knowledge.causes.values()):
        for sign in cause.signs:
            out[sign.finding].append((column, sign.state, often[sign.how_often]))
    return out


def _priors(knowledge: Knowledge) -> dict[str, tuple[float, ...]]:
    settings = knowledge.words.settings
    out = {}
    for setting in ("after_build", "in_service"):
        weights = [_weight(knowledge, c, setting) for c in knowledge.causes.values()]
        unit = settings["expected_faults"] / sum(weights)
        shares = [min(weight * unit, 0.5) for weight in weights]
        out[setting] = (*shares, settings["none_of_these"])
    pairs = zip(out["after_build"], out["in_service"], strict=True)
    out[ANY] = tuple((one + other) / 2 for one, other in pairs)
    return out


def _weight(knowledge: Knowledge, cause: Cause, setting: str) -> float:
    return knowledge.words.how_common[getattr(cause.how_common, setting)]


def _misread(knowledge: Knowledge, finding: str) -> float:
    check = knowledge.check_of(finding)
    return knowledge.words.settings["misread"] if check is None else check.misread


def _showing(
    knowledge: Knowledge, finding: Finding, signs: Signs, prior: Sequence[float]
) -> Showing:
    states = tuple(s for s in finding.known_states if s != finding.normal)
    words, settings = knowledge.words.background, knowledge.words.settings
    leak = [words[finding.background.get(s, "rare")] for s in states]
    misread = _misread(knowledge, finding.id)
    mistaken = [misread / max(len(states), 1)] * len(states)
    shows, odds = _by_state(signs, states, finding.normal, leak, knowledge.words.how_often[_NEVER])
    for columns in shows:
        columns[len(knowledge.causes)] = settings["none_shows"] / len(states)
    proofs = _proofs(knowledge, finding)
    for row, state in enumerate(states):
        if any(state in proving for proving in proofs.values()):
            leak[row] = min(leak[row], words["none"])
            shows[row][len(knowledge.causes)] = words["none"]  # what proves a cause needs no other
            mistaken[row] = min(mistaken[row], settings["mistaken_proof"])
    return Showing(
        finding.id,
        states,
        finding.normal,
        tuple(shows),
        tuple(leak),
        tuple(odds),
        misread,
        tuple(mistaken),
        tuple(
            {
                c: settings["disproved"]
                for c, proving in proofs.items()
                if state == finding.normal and state not in proving
            }
            for state in (*states, finding.normal)
        ),
        tuple(_usual(prior, *row) for row in zip(shows, leak, strict=True)),
    )


def _usual(prior: Sequence[float], shows: Columns, leak: float) -> float:
    shown = sum(prior[c] * share for c, share in shows.items()) / sum(prior)
    return leak + (1 - leak) * shown


def _by_state(
    signs: Signs, states: tuple[str, ...], normal: str, leak: Sequence[float], never: float
) -> tuple[list[dict[int, float]], list[dict[int, float]]]:
    """What the causes show more often than the background, and the odds of what they show less.

    A state that a cause never shows is not explained by it, however rare the state is otherwise.
    """
    shows: list[dict[int, float]] = [{} for _ in states]
    odds: list[dict[int, float]] = [{} for _ in states]
    for column, state, share in signs:
        if state == normal and len(states) > 1:
            continue
        row, here = (0, 1 - share) if state == normal else (states.index(state), share)
        if here < leak[row]:
            odds[row][column] = here / leak[row]
        elif here > (0.5 if state == normal else never):
            shows[row][column] = here
    return shows, odds


def _proofs(knowledge: Knowledge, finding: Finding) -> dict[int, set[str]]:
    """The states of a part looked at that prove a cause: they hardly show without it.

    What is heard or felt with the engine running proves nothing by itself.
    """
    check = knowledge.check_of(finding.id)
    if check is None or knowledge.access[check.access].engine_running:
        return {}
    return {
        column: {sign.state for sign in cause.signs if sign.finding == finding.id}
        for column, cause in enumerate(knowledge.causes.values())
        if cause.confirm.finding == finding.id
    }


def _circumstance(knowledge: Knowledge, finding: Finding, signs: Signs) -> Mapping[str, Columns]:
    share = usual_shares(knowledge, finding)
    out: dict[str, dict[int, float]] = {s: {} for s in share}
    by_cause: dict[int, dict[str, float]] = {}
    for column, state, value in signs:
        by_cause.setdefault(column, {})[state] = value
    for column, said in by_cause.items():
        for state, value in _completed(said, share).items():
            out[state][column] = min(max(value / share[state], _LEAST), 1 / _LEAST)
    return out


def usual_shares(knowledge: Knowledge, finding: Finding) -> dict[str, float]:
    """How common each state of a circumstance is in all engines."""
    words = knowledge.words.background
    share = {s: words[finding.background[s]] for s in finding.background}
    rest = [s for s in finding.known_states if s not in share]
    left = max(1 - sum(share.values()), 0.05)
    share |= {s: left / len(rest) for s in rest}
    total = sum(share.values())
    return {s: v / total for s, v in share.items()}


def _completed(said: dict[str, float], share: dict[str, float]) -> dict[str, float]:
    """The states a cause does not mention share what is left, as they do in all engines."""
    rest = {s: v for s, v in share.items() if s not in said}
    left = max(1 - sum(said.values()), 0.0)
    total = sum(rest.values()) or 1.0
    return {
        **{s: v for s, v in said.items() if s in share},
        **{s: left * v / total for s, v in rest.items()},
    }
