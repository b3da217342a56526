"""What to ask an owner next, how it is asked, and what an answer makes of the garage."""
