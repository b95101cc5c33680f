"""How the shafts vibrate and twist."""
