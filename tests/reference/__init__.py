"""An independent reference for light transport: a general path tracer fed with the scene's JSON alone.

Nothing here imports the exposure engine; `scenes` builds stagings to compare the two on.
"""
