"""What to change: every change is tried before it is told."""
