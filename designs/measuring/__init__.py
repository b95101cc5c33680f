"""What was found on the machine itself: readings as a file gives them, and what follows from them."""
