"""Dosing, whole: every method, the scale, the limits, the pre-mix and the mis-dose bench."""

from curedash.domain.dose.compute import apply_accepted, compute_dose, weighed_dose
from curedash.domain.dose.request import METHODS, DoseRequest, Scale
from curedash.domain.dose.result import Contents, Dose, Finding, Ingredient, accepted_words
from curedash.domain.dose.salts import CuringSalt, curing_salts, label_salt, resolve_curing_salt

__all__ = [
    "METHODS",
    "Contents",
    "CuringSalt",
    "Dose",
    "DoseRequest",
    "Finding",
    "Ingredient",
    "Scale",
    "accepted_words",
    "apply_accepted",
    "compute_dose",
    "curing_salts",
    "label_salt",
    "resolve_curing_salt",
    "weighed_dose",
]
