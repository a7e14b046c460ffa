"""The next step: what has to be settled, what each check would tell, when to repair and when to end."""
