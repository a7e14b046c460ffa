"""How good the rules are: simulated jobs, scores, and what closed jobs teach."""
