"""The pages: what a phone or a desk sees of a book."""
