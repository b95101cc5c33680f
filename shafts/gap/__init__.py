"""The gap between moving parts, and all that eats into it."""
