"""The terminal; does not reason."""
