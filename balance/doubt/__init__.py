"""What is not known, as pure numbers: laws of a doubtful number, draws, shares and what decides them."""
