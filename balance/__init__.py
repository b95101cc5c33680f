"""How the machine moves and shakes: kinematics, loads, shaking forces and counterweights."""
