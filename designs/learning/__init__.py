"""What all readings together tell of a machine: weighted draws, forecasts, and what to read next."""
