"""The joined problem: its slots and candidates, the join of survey, catalogue, offers and brief."""
