"""What a wheel sensor is known by: its ID, read from print, told apart, drawn anew, shown."""
