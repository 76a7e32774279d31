"""How long parts last, what will fail within a season, and how many spares cover it."""
