"""Fault finding on return-style electronic fuel injection systems, from complaint to proven repair."""

__version__ = "0.1.0"
