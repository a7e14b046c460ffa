"""What may be done now: the state of car and place, the interlock, what steps change. Imports no probability."""
