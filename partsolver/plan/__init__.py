"""The plain statement of a plan: findings, purchase, cost, identity, stand-ins, cautions. No solver, no
search."""
