"""Where the store is: a file in the user's data folder, or the one address the person set."""

from __future__ import annotations

import os
from pathlib import Path

STORE, DATA, WHO = "DIAGNOSE_STORE", "DIAGNOSE_DATA", "DIAGNOSE_WHO"
_FILE = "cases.db"


def data_folder() -> Path:
    """The folder for what must last; `DIAGNOSE_DATA` names another."""
    named = os.environ.get(DATA)
    if named:
        return Path(named)
    if os.name == "nt":
        return Path(os.environ.get("LOCALAPPDATA", "~")).expanduser() / "diagnose" / "data"
    return Path(os.environ.get("XDG_DATA_HOME") or "~/.local/share").expanduser() / "diagnose"


def store_address() -> str:
    """The address of the store: `DIAGNOSE_STORE`, else the file in the data folder."""
    return os.environ.get(STORE) or f"sqlite:///{data_folder() / _FILE}"


def is_begun() -> bool:
    """Whether there is a store to look into; to look must not make one."""
    return bool(os.environ.get(STORE)) or (data_folder() / _FILE).exists()


def who_writes() -> str:
    """Who is at this desk, as they set it; nothing is taken from the machine unasked."""
    return os.environ.get(WHO, "").strip()
