"""The rule base: its records, reading them from YAML, checking them, a compiled copy."""
