"""An invented household to try Wheelside on, and three invented sets on offer."""

from __future__ import annotations

from datetime import date
from importlib.resources import files

DEMO_DAY = date(2026, 11, 25)
"""The day for which the demo household is told."""
DEMO_FILE = "household.toml"
PURCHASES_FILE = "purchases.toml"
PORT_FILE = "practice.toml"
DBC_FILE = "practice.dbc"


def household() -> bytes:
    """The garage file of the demo household."""
    return files(__package__).joinpath(DEMO_FILE).read_bytes()


def port_card() -> bytes:
    """The port card of the car to practise on."""
    return files(__package__).joinpath(PORT_FILE).read_bytes()


def dbc() -> bytes:
    """The DBC file that the port card names: what the car to practise on broadcasts."""
    return files(__package__).joinpath(DBC_FILE).read_bytes()


def purchases() -> bytes:
    """The garage file with three sets on offer, and the car they are wanted for."""
    return files(__package__).joinpath(PURCHASES_FILE).read_bytes()
