"""A rim's dimensions, where it comes to lie, and how it is fastened."""
