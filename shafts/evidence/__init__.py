"""What a shaft's own model says a dial ought to read."""
