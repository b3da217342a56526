"""The air card: what to set now, and from when the lamp must be lit."""
