"""What the shafts and gear teeth bear."""
