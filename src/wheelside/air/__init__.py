"""The air in a tyre and the air around it."""
