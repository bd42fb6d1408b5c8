"""Engines with a hidden fault to practise on: drawn or made as a lesson, played, scored."""
