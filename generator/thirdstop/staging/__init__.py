"""Recipe and studio to Staging: everything in metres, with shape and material."""
