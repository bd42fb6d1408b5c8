"""The rule base: its records, reading it from YAML with places, checking it, keeping it compiled."""
