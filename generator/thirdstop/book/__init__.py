"""Text to Book: strict YAML with positions, quantities, the schema of studio and recipe files."""
