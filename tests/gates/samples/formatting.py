"""Badly laid out."""
x = {  'a':1 }
