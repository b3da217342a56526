"""Cars, wheel sets, wheels, places: frozen data, and the garage file that holds them."""
