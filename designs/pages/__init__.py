"""Designs as pictures and pages: each figure once, for the page, its PDF, `--plot` and notebooks alike."""
