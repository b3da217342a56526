"""A car to practise on: invented control units that answer as real ones would, on a bus or behind an adapter."""

from __future__ import annotations

from wheelside.demo.practice.car import PracticeCar, run_on
from wheelside.demo.practice.habits import AdapterHabits, Habits
from wheelside.demo.practice.served import serve_pty, serve_tcp
from wheelside.demo.practice.told import practice_car
from wheelside.demo.practice.unit import PracticeUnit
from wheelside.demo.practice.wheels import PractisedWheel

__all__ = [
    "AdapterHabits",
    "Habits",
    "PracticeCar",
    "PracticeUnit",
    "PractisedWheel",
    "practice_car",
    "run_on",
    "serve_pty",
    "serve_tcp",
]
