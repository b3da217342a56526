"""What readings say over weeks and years: of each tyre whether it loses air, how fast, and when the lamp would come."""
