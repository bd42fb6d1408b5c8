"""The case log and the case state recomputed from it; does not talk."""
