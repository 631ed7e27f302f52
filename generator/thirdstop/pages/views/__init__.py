"""View models: what each page shows, as plain strings and numbers."""
