"""From what people type to statements: numbers, units, phrases, negation, intent."""
