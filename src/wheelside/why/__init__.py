"""Why the lamp is on: from what was seen and tried to causes."""
