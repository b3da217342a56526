"""Whether a wheel set should go on a car: rim, tyre and radio, each with what it rests on."""
