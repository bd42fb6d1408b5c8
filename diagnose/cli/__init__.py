"""Commands and exit codes."""
