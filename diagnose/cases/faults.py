"""What can be wrong with a store, each told in one sentence with what to do about it."""

from __future__ import annotations

from diagnose.knowledge.problems import DiagnoseError


class StoreError(DiagnoseError):
    """The store can't do what was asked; nothing was half done."""


class StaleView(DiagnoseError):
    """Somebody else wrote into the case since it was last read."""


class NoSuchCase(StoreError):
    """No case has this number."""


class CaseClosed(StoreError):
    """A closed case takes no more statements about the engine."""


_SENTENCES = {
    "full": "the disk is full: nothing of this was written to {where}; make room, then say it "
    "again",
    "read_only": "{where} can't be written: give write permission to the file and its folder, or "
    "name another folder with DIAGNOSE_DATA",
    "no_place": "no store can be opened at {where}: {why}; name a folder that can be written with "
    "DIAGNOSE_DATA",
    "busy": "{where} is busy with another program for too long; try again",
    "damaged": "the store {where} is damaged ({why}); bring back a copy with 'diagnose cases "
    "restore FILE', or move the file away to begin a new one",
    "newer": "the store {where} was written by a newer program (form {theirs}, this one knows up "
    "to {ours}); use the newer program",
    "address": "'{where}' is no address of a store; DIAGNOSE_STORE takes "
    "postgresql://name@host/database or sqlite:///FILE",
    "no_driver": "a shared database needs its driver: pip install 'diagnose[desk]'",
    "gone": "the shared database {where} can't be reached ({why}); nothing of this was written "
    "there, try again when it is back",
    "refused": "the store {where} refused it: {why}",
}


def told(code: str, **values: object) -> StoreError:
    """The error of a code as its sentence."""
    return StoreError(_SENTENCES[code].format(**values))


def no_such_case(number: int) -> NoSuchCase:
    """There is no such case."""
    return NoSuchCase(f"there is no case {number}; 'diagnose cases list' shows those there are")


def case_closed(number: int, status: str, into: int | None) -> CaseClosed:
    """The case takes nothing more, and how it would."""
    if into:
        return CaseClosed(f"case {number} went on as case {into}; use that one")
    return CaseClosed(f"case {number} is {status}; open it again: diagnose cases reopen {number}")


_SIGNS = (
    ("full", ("disk is full", "no space left", "disk full")),
    ("read_only", ("readonly", "read-only", "permission denied")),
    ("busy", ("locked", "busy")),
    ("damaged", ("malformed", "not a database", "disk i/o error", "corrupt")),
    ("no_place", ("unable to open", "not a directory", "no such file")),
)


def code_of(message: str, is_file: bool) -> str:
    """Which fault the words of a database's complaint mean."""
    low = message.lower()
    if not is_file:
        return "gone" if "disk" not in low else "full"
    return next((code for code, signs in _SIGNS if any(s in low for s in signs)), "refused")
