"""What can be wrong with a rule file: a problem is data first; one table makes its sentence."""

from __future__ import annotations

from diagnose.named import Named


class DiagnoseError(Exception):
    """The family of errors a person can put right."""


class Place(Named):
    """Where something stands in a rule file; lines and columns count from 1."""

    file: str
    line: int
    column: int

    def __str__(self) -> str:
        return f"{self.file}:{self.line}:{self.column}"


class Problem(Named):
    """One thing wrong: a code of `SENTENCES`, where it stands, and the values of its sentence."""

    code: str
    place: Place
    values: tuple[str, ...] = ()

    @property
    def sentence(self) -> str:
        """The whole line as a person reads it."""
        return f"{self.place}: {SENTENCES[self.code].format(*self.values)}"


class KnowledgeError(DiagnoseError):
    """The rule base can't be used; carries every problem found, sorted by place."""

    def __init__(self, problems: list[Problem]) -> None:
        self.problems = sorted(problems, key=lambda p: (p.place, p.code))
        super().__init__("\n".join(p.sentence for p in self.problems))

    def __reduce__(self) -> tuple[type[KnowledgeError], tuple[list[Problem]]]:
        """Made anew from its problems in another process: else a pool would wait for ever."""
        return type(self), (self.problems,)


SENTENCES = {
    "band_upside_down": "the low end {0} is above the high end {1}; swap them or mend the figure",
    "band_with_hole": "the band of '{0}' has a hole: {1}; close it",
    "bands_at_odds": "the bands of '{0}' say two things of one value: {1}; mend a figure",
    "cause_alike": "'{0}' and '{1}' have the same signs; give one a sign the other has not",
    "cause_never_falls": "nothing speaks against '{0}'; add a sign this fault does not show",
    "cause_never_first": "with all its usual signs '{0}' stays behind '{1}'; add a sign of its own",
    "cause_unconfirmed": "no check proves '{0}': {1}; confirm it by what it often shows",
    "cause_unreachable": "no sign of '{0}' is shown often or more; add the one that confirms it",
    "confirm_not_a_sign": "'{0} {1}' confirms but is not among the signs; add it there",
    "duplicate_key": "the key '{0}' stands here twice; keep one",
    "finding_unused": "no sign, rule or sum uses '{0}'; use it or take it out",
    "id_not_file_name": "the id '{0}' is not the file's name; name it '{1}'",
    "id_repeated": "the id '{0}' is already used at {1}; choose another",
    "missing_file": "this file is missing; it is needed for {0}",
    "missing_key": "the key '{0}' is missing; add it",
    "not_yaml": "the text can't be read as YAML: {0}; mend it",
    "phrase_shared": "the phrase '{0}' stands for {1} and for {2}; make one more exact",
    "rule_refused": "the rule '{0}' can't be run: {1}",
    "settled_twice": "'{0}' is already settled by the check '{1}'; keep it in one of them",
    "sign_not_applicable": "the sign '{0} {1}' can't be where the cause applies ({2}); drop one",
    "state_unheard": "no phrase of '{0}' is heard as '{1}'; add one in plain words",
    "states_over_one": "the states of '{0}' add up to {1}; they may add up to 1 at most",
    "two_signs_for_two_states": "both states of '{0}' are listed; keep one, the other follows",
    "unit_of_other_kind": "the unit '{0}' does not measure {1}; use another",
    "unknown_access": "unknown access '{0}'{1}",
    "unknown_action": "can't read what follows from the rule: {0}; see DEVELOPERS.md",
    "unknown_cause": "unknown cause '{0}'{1}",
    "unknown_caution": "unknown caution '{0}'{1}",
    "unknown_condition": "can't read the condition '{0}'; write 'FINDING is STATE'",
    "unknown_finding": "unknown finding '{0}'{1}",
    "unknown_key": "unknown key '{0}'; take it out",
    "unknown_note": "no rule sets the note '{0}'{1}",
    "unknown_source": "unknown source '{0}'{1}",
    "unknown_state": "'{0}' has no state '{1}'; it has {2}",
    "unknown_word": "unknown word '{0}'; use one of {1}",
    "unreadable_file": "this file can't be read: {0}",
    "unsettled": "no check settles '{0}'; add one",
    "wrong_type": "'{0}' is not usable here: {1}",
}
