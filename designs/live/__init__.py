"""A design that is changed while one looks: its text with undo, what follows from it, and the page that shows both."""
