"""The hidden car that answers like a real one, and jobs made up for it."""
