"""What a person says, in everyday words, turned into what may be written down: signs, readings, facts of the car."""
