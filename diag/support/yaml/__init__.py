"""YAML with positions, read safely and written back."""
