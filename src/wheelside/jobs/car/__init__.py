"""The car: asked and taught through its diagnostic port."""
