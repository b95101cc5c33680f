"""All that a design may say of what moves."""
