"""The whole rule book as a handbook to read and print: the same entries and the same physics, nothing written twice."""
