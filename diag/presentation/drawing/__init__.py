"""A drawing of this car's fuel system: what is where, where this step is, what was read and what is suspected."""
