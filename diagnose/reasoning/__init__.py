"""Facts, chaining, ranking, planning and explaining; does not talk or store."""
