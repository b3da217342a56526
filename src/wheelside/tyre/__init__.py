"""What is written on a tyre, and what it can carry."""
