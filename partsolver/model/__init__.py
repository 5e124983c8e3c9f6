"""The CP-SAT model: picks, cost, time, goals, solving, alternatives. The only place beside rules' post() with
ortools."""
