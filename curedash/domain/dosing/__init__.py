"""Dosing, whole: every method, the scale, the limits, the pre-mix and the mis-dose bench."""

from curedash.domain.dosing.compute import apply_accepted, compute_dose, weighed_dose
from curedash.domain.dosing.group import (
    PackShare,
    bag_doses,
    group_request,
    pack_share,
    share_packs,
)
from curedash.domain.dosing.misdose import MisDose, misdose
from curedash.domain.dosing.premix import Premix, premix, premix_for
from curedash.domain.dosing.request import METHODS, DoseRequest, Scale
from curedash.domain.dosing.result import Contents, Dose, Finding, Ingredient, accepted_words
from curedash.domain.dosing.salts import CuringSalt, curing_salts, label_salt, resolve_curing_salt
