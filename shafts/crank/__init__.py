"""The crank as one elastic chain: what it is made of, what acts on it, and how it bends and twists."""
