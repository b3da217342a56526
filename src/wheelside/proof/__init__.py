"""The finished record of one job: what was shown, to which evidence level, sealed so that a change shows."""
