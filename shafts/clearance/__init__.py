"""The clearance between parts: what could meet, how near it comes, and whether what is joined really is."""
