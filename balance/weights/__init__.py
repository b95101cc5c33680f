"""The counterweights: what they are to weigh, what they are cut from, where they fit, and what holds them."""
