"""The bearings: sizes, ratings, life, stiffness and play."""
