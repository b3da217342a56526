"""A second module that uses the solver."""

from ortools.sat.python import cp_model

MODEL = cp_model.CpModel
