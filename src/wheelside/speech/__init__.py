"""The edge: what is said becomes words, in somebody's units and language."""
