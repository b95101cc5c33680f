"""The body of every part: what it looks like from along the shafts over the turn, and where it lies along them."""
