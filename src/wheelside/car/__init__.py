"""What a car says of itself."""
