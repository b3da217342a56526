"""One function for each thing that a person does. The only room with a clock and a random source of its own."""
