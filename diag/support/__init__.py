"""What every other part leans on: errors, clean text, YAML with positions, safe writes."""
