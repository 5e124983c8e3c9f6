"""Expected performance: uses, resource speeds, expected time, speed-up and its interval."""
