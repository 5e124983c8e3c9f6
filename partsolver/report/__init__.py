"""Reports: the only place with sentences. Findings are facts; their wording is here, once."""
