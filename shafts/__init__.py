"""How the shafts bend and carry: deflection, bearing loads and clearance between the moving parts."""
