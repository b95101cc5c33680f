"""Redesigns: the changes of an option, and the search among many."""
