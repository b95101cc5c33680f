"""What readings under `measured:` make of a design as it is read."""
