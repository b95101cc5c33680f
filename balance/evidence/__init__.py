"""What readings at the bench say of a machine: laws of scale, string, dial gauge and feeler, each with its doubt."""
