"""Callers of ``design()``: the same calculation asked another question."""
