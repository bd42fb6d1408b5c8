"""The page about one case; it reasons nothing, it shows what the case says."""
