"""A design with some of its entries changed, and all that must agree with them."""
