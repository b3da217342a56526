"""Drawings as SVG: grids and rulers."""
