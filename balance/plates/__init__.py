"""Shapes of flat plates, and what they weigh."""
