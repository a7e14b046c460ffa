"""Practice: a car with a hidden fault that answers from the same physics and rule book as real jobs."""
