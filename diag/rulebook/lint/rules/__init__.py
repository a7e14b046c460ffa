"""One lint rule per module: ``find(draft)`` yields findings, the module's docstring is the rule's documentation."""
