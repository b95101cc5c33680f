"""Values over the cycle: how they grow with speed, their harmonics, their largest and least."""
