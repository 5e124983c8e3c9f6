"""Questions answered by search and CP-SAT together: ranked plans, trade-off, conflict, counts."""
