"""From the engine to answers: clicks, places and surfaces that bring about what a recipe wants."""
