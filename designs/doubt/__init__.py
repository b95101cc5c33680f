"""What is not known of a design, and what hangs on it: machines drawn from its ranges, each judged like any other."""

from designs.doubt.outcome import DRAWS, FEW, SURE, Outcome, standing, under_doubt, unsure

__all__ = ["DRAWS", "FEW", "SURE", "Outcome", "standing", "under_doubt", "unsure"]
