"""The rule book: YAML files -> checked, frozen objects; lint, schema, search, and where the rules lie."""
