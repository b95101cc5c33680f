"""The case on its feet: a body that the moving parts shake."""
