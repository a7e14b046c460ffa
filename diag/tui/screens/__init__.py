"""One screen a module."""
