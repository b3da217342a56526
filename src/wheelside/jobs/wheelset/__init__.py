"""The set: whether one should be bought, how it answers at a gate, the IDs of its sensors."""
