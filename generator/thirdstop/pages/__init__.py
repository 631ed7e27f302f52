"""View models and rendering: everything above to HTML."""
