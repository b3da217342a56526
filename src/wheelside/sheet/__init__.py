"""The ordered steps of one job in the garage, and the evidence that each asks for."""
